"""The flat film in the directory of a run: read back by other programs; and the pictures that the section names."""

from xml.etree import ElementTree as ET

import ezdxf
import numpy as np
import pytest
import shapely

from loopwright.dossier.draping import draping_section
from loopwright.formats.patterns import write_patterns
from loopwright.formats.pictures.films import draped_pictures
from made_draping import cloth_on_egg, film_on_egg, film_on_limb

NAMES = tuple(f"E{k + 1:02d}" for k in range(8))


def outlines_mm(path, layer):
    space = ezdxf.readfile(path).modelspace()
    return [np.array(line.get_points("xy")) for line in space.query(f'LWPOLYLINE[layer=="{layer}"]')]


def test_the_film_is_drawn_true_to_scale_with_its_slits_in_a_drawing_of_their_own(tmp_path):
    draped = film_on_egg()
    write_patterns(tmp_path, draped)
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "pattern.dxf", "pattern.svg", "pattern_slit.dxf", "pattern_slit.svg",
    ]  # fmt: skip
    (outline,) = outlines_mm(tmp_path / "pattern.dxf", "FILM_OUTLINE")
    width, height = 3 * 39 + 50 + 2 * 9, 39 + 50 + 2 * 9  # pitches, a size and the margins, in mm
    assert np.ptp(outline, axis=0) == pytest.approx([width, height], rel=0.01)
    assert len(outlines_mm(tmp_path / "pattern.dxf", "ELEMENT_CENTRE_LINE")) == 8
    assert not outlines_mm(tmp_path / "pattern.dxf", "SLIT")
    slits = outlines_mm(tmp_path / "pattern_slit.dxf", "SLIT")
    assert 0 < len(slits) <= draped.film.slits.plan.number
    film = shapely.Polygon(outline).buffer(1e-6)
    assert all(film.contains(shapely.Polygon(slit)) for slit in slits)


def test_the_svg_holds_the_same_lines(tmp_path):
    write_patterns(tmp_path, film_on_egg())
    root = ET.parse(tmp_path / "pattern.svg").getroot()  # noqa: S314 - our own file
    groups = {group.get("id"): group for group in root if group.tag.endswith("}g")}
    lines = [one for one in groups["ELEMENT_CENTRE_LINE"] if one.tag.endswith("polygon")]
    drawn = [np.array([pair.split(",") for pair in line.get("points").split()], dtype=float) for line in lines]
    expected = outlines_mm(tmp_path / "pattern.dxf", "ELEMENT_CENTRE_LINE")
    for one, other in zip(drawn, expected, strict=True):
        assert one * [1, -1] == pytest.approx(other, abs=1e-3)
    assert [text.text for text in groups["NAME"]] == list(NAMES)


def test_without_slits_there_is_one_drawing_and_for_a_cloth_none(tmp_path):
    write_patterns(tmp_path, film_on_limb())
    assert sorted(path.name for path in tmp_path.iterdir()) == ["pattern.dxf", "pattern.svg"]
    other = tmp_path / "cloth"
    other.mkdir()
    write_patterns(other, cloth_on_egg())
    assert not list(other.iterdir())


@pytest.mark.parametrize("draped", [film_on_limb, film_on_egg, cloth_on_egg])
def test_every_picture_that_the_section_names_is_drawn(draped):
    found = draped()
    pictures = draped_pictures(found)
    assert tuple(picture.name for picture in pictures) == draping_section(found, NAMES).pictures
    assert all(picture.png.startswith(b"\x89PNG") and picture.caption for picture in pictures)
