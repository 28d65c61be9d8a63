"""Arrays on carriers: a film round a limb is the wrapped array; on an egg it stands off; a cloth is strained."""

import re

import numpy as np
import pytest
import shapely

from loopwright import bodies, layouts
from loopwright.brief import read_brief
from loopwright.fields import LoopCoupling
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import FilmPlacement, covered_surface, film_laid, pattern_of
from loopwright.layouts.nearness import heights_over_m
from made_draping import EGG, STAND_OFF_M, brief_text, cloth_on_egg, draped, film_on_egg, film_on_limb, laid

KNEE = "{shape: patient, sex: female, age: 5 years, part: knee, voxel: 8 mm}"


def test_layers_make_the_stand_off():
    brief, _, layout = laid(brief_text())
    assert brief.array.tiling.stand_off_m == pytest.approx(STAND_OFF_M, abs=0.5e-6)
    film = film_on_limb().film
    assert film.stack.stand_off_m == pytest.approx(STAND_OFF_M, rel=1e-9)
    assert [layer.name for layer in film.stack.layers] == ["polyimide", "foam", "fabric"]
    assert layout.drawn.stand_offs_m.min() == brief.array.tiling.stand_off_m


def test_round_a_limb_a_film_has_neither_gap_nor_strain():
    film = film_on_limb().film
    assert film.gaps.gap_m.max() < 5e-6
    assert film.strain.largest < 1e-4
    assert film_on_limb().follow.largest < 1e-4
    assert np.abs(film_on_limb().conductor_strain).max() < 5e-4
    assert film.slits.plan.number == 0
    assert film.gores.plan.number == 1
    assert film_on_limb().slit_pattern is None


def test_round_a_limb_a_film_lies_as_the_array_that_is_wrapped():
    """Without a carrier a tiling is wrapped round a column without stretch; chords of the film's hull are inside."""
    _, _, on_film = laid(brief_text())
    _, _, wrapped = laid(brief_text(carrier="", stand_off="5.5675 mm"))
    for one, other in zip(on_film.elements, wrapped.elements, strict=True):
        assert one.vertices_m == pytest.approx(other.vertices_m, abs=2e-5)
    bends = {bend.pair: bend for bend in film_on_limb().bends}
    left = dict(zip(wrapped.coupling_left.pairs, wrapped.coupling_left.coefficients, strict=True))
    assert bends.keys() == left.keys()
    for pair, bend in bends.items():
        assert bend.coefficient == pytest.approx(left[pair], abs=2e-4)
        assert bend.overlap == pytest.approx(bend.flat_overlap, abs=1e-6)


@pytest.mark.parametrize(("shape", "expected"), [("circle", 0.7345), ("square", 0.9011)])
def test_a_pair_on_a_film_has_its_zero_where_the_bent_table_puts_it(shape, expected):
    """60 mm radius at the conductor, 0.2 mm between the wires, filaments: zeros by Neumann's integral."""
    text = brief_text(body=LIMB_50, carrier="{kind: film}", stand_off="")
    for old, new in (
        ("shape: circle", f"shape: {shape}"), ("count: 8", "count: 2"), ("rows: 2", "rows: 1"),
        ("size: 50 mm", "size: 80 mm"), ("overlap: 0.78", "overlap: zero coupling\n    crossing_separation: 0.14 mm"),
        ("polyimide, thickness: 50 um", "polyimide, thickness: 9.9825 mm"),
    ):  # fmt: skip
        assert old in text
        text = text.replace(old, new)
    brief = read_brief(text, "pair.yaml")
    assert brief.array.tiling.stand_off_m == pytest.approx(0.010, abs=1e-9)
    layout = layouts.arrange_on(
        brief.array,
        bodies.solid_of(brief.body),
        segments_per_element=96,
        coupling=LoopCoupling(conductor_radius_m=0.05e-3, frequency_hz=1e6),
    )
    assert layout.overlaps[0] == pytest.approx(expected, abs=3e-3)


LIMB_50 = "{shape: elliptic cylinder, semi_axes: [50 mm, 50 mm], height: 300 mm, voxel: 6 mm, material: Muscle}"


def test_on_an_egg_a_film_stands_off_and_what_follows_is_squeezed():
    found = film_on_egg()
    film = found.film
    assert film.strain.largest < 1e-4
    assert film.gaps.median_m > 0.5e-3
    assert found.follow.compression.max() > 0.01
    mark = found.pattern.marks_m["widest gap"]
    assert mark == pytest.approx(film.gaps.grid.nodes_m[film.gaps.worst_node].tolist())


def test_distances_are_stand_off_and_gap():
    """Medians along each conductor: the layers and the gap, with what higher layers and chords change."""
    found = film_on_egg()
    _, _, layout = laid(brief_text(body=EGG))
    expected = layout.drawn.stand_offs_m + np.array(list(found.film.gaps.of_elements_m.values()))
    assert found.skin_distance_m[:, 1] == pytest.approx(expected, abs=0.3e-3)
    assert found.least_surface_m == pytest.approx(layout.least_skin_distance_m - 35e-6 / 2, abs=1e-9)


def test_a_cloth_follows_the_skin_and_is_squeezed_as_the_egg_asks():
    found = cloth_on_egg()
    assert found.film is None
    assert found.skin_distance_m[:, 0].min() > 7.5e-3
    brief, _, layout = laid(brief_text(body=EGG, carrier="{kind: stretching, stretch_limit: 2 %}", stand_off="8 mm"))
    plain = laid(brief_text(body=EGG, carrier="", stand_off="8 mm"))[2]
    for one, other in zip(layout.elements, plain.elements, strict=True):
        assert np.array_equal(one.vertices_m, other.vertices_m)
    assert found.stretch_limit == brief.array.carrier.stretch_limit == 0.02
    curvature = 1 / (0.09**2 / 0.075 + 0.008) / (0.12**2 / 0.075 + 0.008)  # of the egg's front at 8 mm
    innermost = found.conductor_strain[[1, 2, 5, 6], 1]
    assert -innermost == pytest.approx(np.full(4, curvature * 0.025**2 / 6), rel=0.1)


def test_bending_moves_resonances_up_and_couplings_down():
    """A bent loop encloses less: its inductance falls, its resonance rises by half of that."""
    shift = film_on_limb().shift
    assert np.all(shift.laid_h < shift.flat_h)
    assert shift.relative == pytest.approx(np.sqrt(shift.flat_h / shift.laid_h) - 1, rel=0.2)
    round_it = [bend for bend in film_on_limb().bends if bend.pair[1] == bend.pair[0] + 1]
    assert all(bend.coefficient < bend.flat_coefficient for bend in round_it)


def test_on_a_patients_knee_elements_stay_outside_and_gaps_are_those_of_the_film_laid_by_hand():
    text = brief_text(body=KNEE)
    brief, solid, layout = laid(text)
    nodes = np.concatenate([element.vertices_m for element in layout.elements])
    surface = covered_surface(solid)
    assert heights_over_m(nodes, surface).min() > 0.9 * STAND_OFF_M
    found = draped(text)
    placement = layouts.placement_towards(solid, brief.array.tiling.facing, turned_rad=0.0)
    by_hand = film_laid(
        pattern_of(found.pattern.elements, margin_m=0.009, conductor_width_m=0.0),
        surface,
        FilmPlacement(point_m=placement.point_m, outwards=placement.outwards),
        stand_off_m=brief.array.tiling.stand_off_m,
        spacing_m=0.005,
    )
    assert found.film.gaps.p95_m == pytest.approx(by_hand.gaps.p95_m, rel=0.02)
    assert found.film.gaps.median_m == pytest.approx(by_hand.gaps.median_m, rel=0.02)


def test_every_slit_opens_at_the_edge_of_the_film():
    found = film_on_egg()
    edge = shapely.LinearRing(found.pattern.outline_m)
    slits = found.film.slits.slits_m
    assert len(slits) >= 3
    assert all(edge.distance(shapely.Polygon(slit)) < 1e-9 for slit in slits)


def test_a_turned_film_turns_its_pattern():
    straight, turned = (
        laid(brief_text(carrier=f"{{kind: film, turned: {angle}, padding: [{{name: foam, thickness: 5 mm}}]}}"))[2]
        for angle in ("0 deg", "90 deg")
    )
    centres = [np.ptp([element.centre_m[2] for element in one.elements]) for one in (straight, turned)]
    assert centres == pytest.approx([0.039, 3 * 0.039], abs=1.5e-3)


def test_a_film_past_the_cut_of_a_patient_is_refused():
    text = brief_text(body=KNEE.replace("part: knee", "part: knee, margin: 60 mm")).replace(
        "size: 50 mm", "size: 90 mm"
    )
    with pytest.raises(OutsideModelError, match="past a plane across z where the body is cut"):
        laid(re.sub("rows: 2", "rows: 4", text))
