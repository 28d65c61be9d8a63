"""The examples, the starter and the reference page: they are read, and they say what the code does."""

import re
from importlib import resources
from pathlib import Path

import pytest

from brief.renew import REFERENCE
from loopwright.brief import SphereRequest, TrunkRequest, read_brief
from loopwright.brief.metals import METALS
from loopwright.brief.reference import reference_page
from loopwright.brief.told import told
from loopwright.brief.topics.facts import ring_perimeter_m

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
BIBLIOGRAPHY = ROOT / "docs" / "references.bib"


def example(name):
    return read_brief((EXAMPLES / name).read_text(encoding="utf-8"), name)


def starter_text():
    return (resources.files("loopwright.cli") / "starter.yaml").read_text(encoding="utf-8")


def test_trunk_example():
    brief = example("child-trunk-16.yaml")
    assert brief.body == TrunkRequest(age="5 years", voxel_m=0.006)
    tiling = brief.array.tiling
    assert (tiling.count, tiling.rows, tiling.span, tiling.stand_off_m) == (16, 2, "whole", 0.012)
    # Half-axes 97 and 73.5 mm with 12 mm of air: eight elements in a ring, so 100 mm each.
    pitch_m = ring_perimeter_m(0.109, 0.0855) / 8
    assert pitch_m / tiling.overlap == pytest.approx(0.1009, abs=1e-4)
    assert [acceleration.reduction for acceleration in brief.imaging.accelerations] == [2, 3, 4, 4, 1]


def test_sphere_example():
    brief = example("head-sphere-32.yaml")
    assert isinstance(brief.body, SphereRequest)
    assert brief.body.radius_m == 0.084
    assert (brief.body.material.eps_r, brief.body.material.sigma_s_per_m) == (63, 0.5)
    assert brief.array.count == 32
    assert brief.conductor.body_temperature_k == 293.15


def test_starter_reads():
    brief = read_brief(starter_text(), "brief.yaml")
    assert brief.array.count == 8


@pytest.mark.parametrize(
    ("out", "instead"),
    [
        ("  field: 3 T ", "  # proton_frequency"),
        ("    - {name: 2 left-right", "    # - {name: 2 x 2"),
        ("  region:", "  # region: {kind: whole body"),
        ("  region:", "  # region: {kind: sphere"),
        ("  region:", "  # region: {kind: tissue"),
        ("#", "    # - {kind: shifted"),
        ("#", "    # - {kind: simultaneous slices"),
        ("#", "  # nucleus"),
        ("#", "  # b0_direction"),
        ("#", "  # magnetisation"),
        ("#", "  # material: copper"),
        ("#", "  # measured_resistance"),
        ("#", "  # capacitor_q"),
        ("#", "  # other_series_resistance"),
        ("#", "  # body_temperature"),
        ("#", "  # coil_temperature"),
        ("#", "  # bandwidth"),
        ("#", "    # crossing_separation"),
        ("#", "  # segments_per_element"),
        ("#", "  # relative_residual"),
        ("#", "  # coarse_voxel_ratio"),
        ("#", "  # band_fraction"),
        ("#", "  # frequencies"),
    ],
)
def test_what_the_starter_offers_in_comments_can_be_written(out, instead):
    lines = [line for line in starter_text().splitlines() if out == "#" or not line.startswith(out)]
    (at,) = (number for number, line in enumerate(lines) if line.startswith(instead))
    lines[at] = lines[at].replace("# ", "", 1)
    assert read_brief("\n".join(lines), "brief.yaml")


def test_the_topics_that_the_starter_offers_in_comments_can_be_written():
    text = starter_text()
    offered = {}
    for block in re.findall(r"^# [a-z_]+: +# .*\n(?:#   .*\n)+", text, re.MULTILINE):
        written = re.sub("^# ", "", block, flags=re.MULTILINE)
        offered[written.partition(":")[0]] = written
    assert set(offered) == {
        "capacitors",
        "circuit",
        "tolerances",
        "family",
        "interface",
        "conductor_choice",
        "transmit",
        "heat",
    }
    assert read_brief("\n".join([text, *offered.values()]), "brief.yaml").family is not None


def test_the_other_body_and_the_elements_of_the_starter_can_be_written():
    text = starter_text()
    body = re.search(r"(?<=^body:\n)(?P<first>(?:  \w.*\n)+)  #\n(?P<other>(?:  # .*\n)+)", text, re.MULTILINE)
    text = text.replace(body["first"], "").replace(
        body["other"], re.sub("^  # ", "  ", body["other"], flags=re.MULTILINE)
    )
    tiling = re.search(r"  tiling:\n(?:    .*\n)+", text)[0]
    elements = re.search(r"  # elements:.*\n(?:  #   .*\n)+", text)[0]
    text = text.replace(tiling, "").replace(elements, re.sub("^  # ", "  ", elements, flags=re.MULTILINE))
    text = re.sub(r"  accelerations:\n.*\n", "", text)
    brief = read_brief(text, "brief.yaml")
    assert len(brief.body.layers) == 2
    assert [element.shape for element in brief.array.elements] == ["circle", "square"]


def test_starter_comments_name_the_defaults():
    """A comment that shows a default must show the one that is taken."""
    text = starter_text()
    for default in read_brief(text, "brief.yaml").defaults_used:
        key = default.field.rsplit(".", 1)[-1]
        shown = re.findall(rf"^ +# {key}: (.+?)(?: +#.*)?$", text, re.MULTILINE)
        if shown and key not in {"region", "slices"}:
            assert default.value in shown


def test_reference_page_is_what_the_code_says():
    """Renew with `python tests/brief/renew.py`."""
    assert REFERENCE.read_text(encoding="utf-8") == reference_page()


def test_reference_page_has_every_key_of_the_examples():
    page = reference_page()
    for name in ("child-trunk-16.yaml", "head-1-year-16.yaml", "head-sphere-32.yaml"):
        for key in re.findall(r"^ *(?:- \{)?(\w+):", (EXAMPLES / name).read_text(encoding="utf-8"), re.MULTILINE):
            assert f"`{key}" in page


def test_told_in_engineers_units():
    said = {line.field: line.value for line in told(example("child-trunk-16.yaml"))}
    assert said["body.shape"] == "trunk"
    assert said["array.tiling.stand_off"] == "12 mm"
    assert said["conductor.thickness"] == "35 um"
    assert said["conductor.coil_temperature"] == "20 degC"
    assert said["conductor.conductivity"] == "58 MS/m"
    assert said["imaging.accelerations[3].field_of_view"] == "[240 mm, 420 mm]"
    assert said["imaging.voxel_volume"] == "8 mm^3"
    assert said["scanner.proton_frequency"] == "123.2 MHz"
    assert said["computation.relative_residual"] == "0.0001"


def test_sources_are_in_the_bibliography():
    listed = set(re.findall(r"^@\w+\{(\w+),", BIBLIOGRAPHY.read_text(encoding="utf-8"), re.MULTILINE))
    assert {metal.source.key for metal in METALS.values() if metal.source.key} | {"gabriel1996"} <= listed
