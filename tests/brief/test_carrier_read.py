"""What the brief says of carriers: layers make the stand-off, old briefs keep their text, slips have a remedy."""

import hashlib
import json
from math import pi

import pytest

from loopwright.brief import read_brief
from loopwright.brief.told import told
from loopwright.ground.errors import BriefError
from made_draping import CLOTH, FILM, STAND_OFF_M, brief_text


def read(**changes):
    return read_brief(brief_text(**changes), "carrier.yaml")


def complaint(text):
    with pytest.raises(BriefError) as caught:
        read_brief(text, "carrier.yaml")
    assert len(caught.value.complaints) == 1, str(caught.value)
    return caught.value.complaints[0]


def test_a_film_takes_its_stand_off_from_its_layers_and_says_so():
    brief = read()
    assert brief.array.tiling.stand_off_m == pytest.approx(STAND_OFF_M, rel=1e-6)
    used = {default.field: default for default in brief.defaults_used}
    assert used["array.tiling.stand_off"].value == "5.5675 mm"
    assert "layers" in str(used["array.tiling.stand_off"].source)
    assert brief.array.film.gap_limit_m == pytest.approx(8e-3)
    assert brief.array.film.compression_limit == pytest.approx(0.03)


def test_the_other_side_of_the_film_may_be_worn_inwards():
    carrier = FILM.replace("kind: film", "kind: film, towards_skin: encapsulation, turned: -30 deg")
    brief = read(carrier=carrier)
    assert brief.array.tiling.stand_off_m == pytest.approx(STAND_OFF_M - 50e-6, rel=1e-6)
    assert brief.array.film.turned_rad == pytest.approx(-pi / 6)
    assert "-30 deg" in {one.value for one in told(brief)}


def test_a_stand_off_that_agrees_with_the_layers_is_taken_as_written():
    assert read(stand_off="5.57 mm").array.tiling.stand_off_m == pytest.approx(5.57e-3)


def test_a_brief_without_carrier_keeps_its_text_and_one_with_it_adds_to_it():
    """The digest is that of the text before there were carriers: what was computed then is found again."""
    plain = read(carrier="", stand_off="8 mm")
    assert "carrier" not in plain.canonical()
    digest = hashlib.sha256(plain.canonical().encode()).hexdigest()
    assert digest == "3a73a4c2607dda14fc517ccce44b568efa274b9b1b9c64bc3aee2d302a99a9d3"
    cloth = json.loads(read(carrier=CLOTH, stand_off="8 mm").canonical())
    assert cloth["array"].pop("carrier") == {"kind": "stretching", "stretch_limit": 0.02}
    assert cloth == json.loads(plain.canonical())


@pytest.mark.parametrize(
    ("old", "new", "field", "said"),
    [
        (FILM, "{kind: paper}", "array.carrier.kind", "film, stretching"),
        (FILM, FILM.replace("kind: film, ", ""), "array.carrier.kind", "film, stretching"),
        ("thickness: 5 mm}", "thickness: 0 mm}", "array.carrier.padding[1].thickness", "10 um to 80 mm"),
        ("thickness: 5 mm}", "depth: 5 mm, thickness: 5 mm}", "array.carrier.padding[1].depth", "name, thickness"),
        ("margin: 9 mm", "margin: 9", "array.carrier.margin", "1 mm to 100 mm"),
        ("margin: 9 mm", "turned: 400 deg", "array.carrier.turned", "-180 deg to 180 deg"),
        ("margin: 9 mm", "gap_limit: 1 m", "array.carrier.gap_limit", "0.1 mm to 100 mm"),
        ("margin: 9 mm", "compression_limit: 80 %", "array.carrier.compression_limit", "0.01 % to 50 %"),
        ("margin: 9 mm", "form: ball", "array.carrier.form", "cylinder, cone"),
        ("margin: 9 mm", "foam: 5 mm", "array.carrier.foam", "write it below `padding`"),
        (FILM, "{kind: film}", "array.carrier.padding", "500 um or more"),
        (FILM, "{kind: stretching, stretch_limit: 2}", "array.carrier.stretch_limit", "0.01 % to 50 %"),
        ("gaps: 4\n", "gaps: 4\n    stand_off: 9 mm\n", "array.tiling.stand_off", "leave `stand_off` out"),
        ("span: patch", "span: whole", "array.carrier", "no flat film closes round a body"),
    ],
)  # fmt: skip
def test_slips_are_told(old, new, field, said):
    text = brief_text()
    assert old in text
    text = text.replace(old, new)
    if new == "span: whole":
        text = text.replace("    size: 50 mm\n", "").replace("rows: 2", "rows: 1")
    if new.startswith(("{kind: paper", "{kind: stretching", "{margin")):
        text = text.replace("gaps: 4\n", "gaps: 4\n    stand_off: 9 mm\n")
    found = complaint(text)
    assert found.field == field
    assert said in str(found)


def test_a_carrier_needs_a_tiling():
    text = brief_text()
    start, end = text.index("  tiling:"), text.index("  carrier:")
    element = "{name: A1, shape: circle, diameter: 50 mm, centre: [0 mm, -70 mm, 0 mm], normal: [0, -1, 0], gaps: 4}"
    found = complaint(f"{text[:start]}  elements:\n    - {element}\n{text[end:]}")
    assert found.field == "array.carrier"
    assert "beside `tiling` only" in str(found)
