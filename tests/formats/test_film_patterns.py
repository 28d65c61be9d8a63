"""Drawings of flat films: read back by other programs, true to scale, every line on its layer."""

from dataclasses import replace
from xml.etree import ElementTree as ET

import ezdxf
import numpy as np
import pytest
import shapely

from film_bodies import rectangle
from loopwright.formats.patterns import LAYERS, pattern_dxf, write_pattern_dxf, write_pattern_svg
from loopwright.formats.pictures.films import gap_picture, pattern_picture, strain_picture
from loopwright.layouts import (
    EllipsoidSkin,
    FilmGaps,
    conductor_edges_m,
    disc_strain,
    elements_cut,
    fewest_gores,
    film_grid,
    flat_element,
    pattern_of,
)

WIDTH = 2e-3
ELEMENTS = (
    flat_element("E01", "circle", size_m=0.06, centre_m=(-0.025, 0.0), segments=48, gaps=4),
    flat_element("E02", "square", size_m=0.05, centre_m=(0.03, 0.01), segments=48, gaps=2, layer=1),
)
SLIT = np.array([[0.07, -0.04], [0.072, -0.04], [0.072, -0.02], [0.07, -0.02]])
PATTERN = replace(
    pattern_of(ELEMENTS, margin_m=0.02, conductor_width_m=WIDTH), slits_m=(SLIT,), marks_m={"widest gap": (0.06, 0.0)}
)
SKIN = EllipsoidSkin(semi_axes_m=(0.1, 0.08, 0.12))
FOOT = SKIN.feet_towards(np.array([[0.0, -1.0, 0.0]]))


@pytest.fixture(scope="module")
def drawing(tmp_path_factory):
    path = tmp_path_factory.mktemp("films") / "film.dxf"
    write_pattern_dxf(path, PATTERN)
    return ezdxf.readfile(path)


def polygons(drawing, layer):
    lines = [e for e in drawing.modelspace().query("LWPOLYLINE") if e.dxf.layer == layer]
    return [shapely.Polygon(line.get_points("xy")) for line in lines if line.closed]


def test_dxf_is_in_millimetres_with_layers_named_by_what_they_hold(drawing):
    assert drawing.header["$INSUNITS"] == 4
    assert {layer.dxf.name for layer in drawing.layers} >= set(LAYERS)
    used = {entity.dxf.layer for entity in drawing.modelspace()}
    assert used == set(LAYERS)
    assert not drawing.audit().errors


def test_dxf_holds_the_film_at_its_size(drawing):
    (film,) = polygons(drawing, "FILM_OUTLINE")
    reach = 21.0  # margin and half a conductor
    left, low = -55.2 - reach, -30.1 - reach
    assert film.bounds == pytest.approx((left, low, 55.0 + reach, 35.0 + reach), abs=0.2)
    assert film.area == pytest.approx(np.prod(1e3 * np.ptp(PATTERN.outline_m, axis=0)), rel=1e-9)
    circle, square = polygons(drawing, "ELEMENT_CENTRE_LINE")
    assert circle.area == pytest.approx(np.pi * 30**2, rel=1e-9)
    assert square.length == pytest.approx(200.0, rel=1e-9)
    assert [slit.area for slit in polygons(drawing, "SLIT")] == pytest.approx([40.0], rel=1e-9)


def test_dxf_holds_conductors_at_their_width(drawing):
    """Area between the edges is width times length, and edges are those of an independent offset."""
    outer_circle, inner_circle, outer_square, inner_square = polygons(drawing, "CONDUCTOR_EDGE")
    assert outer_square.area - inner_square.area == pytest.approx(2 * 200.0, rel=1e-9)
    (centre, _) = polygons(drawing, "ELEMENT_CENTRE_LINE")
    assert outer_circle.area - inner_circle.area == pytest.approx(2 * centre.length, rel=1e-9)
    for edge, way in ((outer_circle, 1.0), (inner_circle, -1.0)):
        independent = centre.buffer(way, join_style="mitre")
        assert edge.symmetric_difference(independent).area < 1e-6


def test_dxf_marks_every_gap_across_its_conductor(drawing):
    gaps = [e for e in drawing.modelspace().query("LWPOLYLINE") if e.dxf.layer == "CONDUCTOR_GAP"]
    assert len(gaps) == 4 + 2
    uppermost = np.array(gaps[0].get_points("xy"))
    assert uppermost.mean(axis=0) == pytest.approx([-25.0, 1e3 * ELEMENTS[0].outline_m[0, 1]], abs=1e-6)
    assert np.ptp(uppermost[:, 1]) == pytest.approx(4.0, rel=0.01)
    names = {e.dxf.text for e in drawing.modelspace().query("TEXT")}
    assert names == {"E01", "E02", "widest gap"}


def test_the_same_pattern_makes_the_same_file():
    assert pattern_dxf(PATTERN) == pattern_dxf(PATTERN)


def test_svg_is_true_to_scale(tmp_path):
    path = tmp_path / "film.svg"
    write_pattern_svg(path, PATTERN)
    root = ET.parse(path).getroot()  # noqa: S314 - our own file
    width, height = (float(root.get(side).removesuffix("mm")) for side in ("width", "height"))
    assert root.get("width").endswith("mm")
    assert [width, height] == pytest.approx([float(v) for v in root.get("viewBox").split()[2:]])
    assert [width, height] == pytest.approx(1e3 * np.ptp(PATTERN.outline_m, axis=0) + 10.0, abs=1e-2)
    groups = {group.get("id"): group for group in root}
    assert set(groups) == set(LAYERS)
    film, circle = (
        shapely.Polygon([tuple(map(float, p.split(","))) for p in groups[name][0].get("points").split()])
        for name in ("FILM_OUTLINE", "ELEMENT_CENTRE_LINE")
    )
    assert film.area == pytest.approx(np.prod(1e3 * np.ptp(PATTERN.outline_m, axis=0)), rel=1e-5)
    assert circle.area == pytest.approx(np.pi * 30**2, rel=1e-5)
    square = groups["ELEMENT_CENTRE_LINE"][1].get("points").split()
    assert np.mean([float(p.split(",")[1]) for p in square]) == pytest.approx(-10.0)  # up is up: y runs downwards there
    mark = groups["MARK"].findall("{http://www.w3.org/2000/svg}text")[0]
    assert mark.text == "widest gap"
    assert float(mark.get("y")) == pytest.approx(-4.0)


def test_names_that_mean_something_to_xml_are_escaped(tmp_path):
    odd = replace(ELEMENTS[0], name="<1 & 2>")
    write_pattern_svg(tmp_path / "odd.svg", replace(PATTERN, elements=(odd,)))
    root = ET.parse(tmp_path / "odd.svg").getroot()  # noqa: S314 - our own file
    assert "<1 & 2>" in {text.text for text in root.iter("{http://www.w3.org/2000/svg}text")}


def test_conductors_that_a_slit_goes_through_are_named():
    assert elements_cut(PATTERN) == ()
    across = rectangle(0.03, 1e-3) + np.array([-0.055, 0.0])
    into = rectangle(4e-4, 4e-4) + np.array([0.03, 0.035])  # lies wholly within the upper side of the square
    assert elements_cut(replace(PATTERN, slits_m=(across,))) == ("E01",)
    assert elements_cut(replace(PATTERN, slits_m=(into,))) == ("E02",)
    assert "through the conductors of E01" in pattern_picture(replace(PATTERN, slits_m=(across,))).caption


def test_edges_of_a_square_have_square_corners():
    outer, inner = conductor_edges_m(ELEMENTS[1], width_m=WIDTH)
    assert np.ptp(outer, axis=0) == pytest.approx([0.052, 0.052])
    assert np.ptp(inner, axis=0) == pytest.approx([0.048, 0.048])


def test_pictures_tell_their_figures():
    grid = film_grid(PATTERN.outline_m, spacing_m=6e-3)
    gaps = FilmGaps(grid=grid, gap_m=np.abs(grid.nodes_m[:, 0]) / 8, of_elements_m={})
    gap = gap_picture(PATTERN, gaps, limit_m=8e-3)
    assert gap.png.startswith(b"\x89PNG")
    assert "9.5 mm" in gap.caption
    assert gaps.share_above(8e-3) == pytest.approx(1 - 0.128 / np.ptp(PATTERN.outline_m[:, 0]), abs=1e-3)
    assert f"{100 * gaps.share_above(8e-3):.0f} % of the area is above 8 mm" in gap.caption
    strain = disc_strain(SKIN, FOOT, radius_m=0.06, stand_off_m=3e-3)
    drawn = strain_picture(PATTERN, strain, limit=0.02)
    assert f"{100 * strain.compression.max():.1f} %" in drawn.caption
    gores = fewest_gores(SKIN, FOOT, width_m=0.12, length_m=0.08, limit=0.02, stand_off_m=3e-3)
    assert "gores dashed" in pattern_picture(replace(PATTERN, slits_m=()), gores).caption
