"""Where a stiff array comes to rest and its gaps, against spheres in spheres."""

from dataclasses import replace

import numpy as np
import pytest

from loopwright.bodies import layered_elliptic_cylinder, layered_sphere
from loopwright.cohort import fit_of, put_on
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import Element, Layout
from made_draping import EGG, brief_text, film_on_egg, laid

FORMER_M, PATIENT_M, STAND_OFF_M = 0.080, 0.070, 0.008


def ball(radius_m):
    return layered_sphere(radius_m, tissue_names=["Muscle"], thicknesses_m=[])


def rings(*polar_angles, radius_m=FORMER_M + STAND_OFF_M, segments=90):
    """Rings about the y axis on a sphere, by their angle from it: +y is behind."""
    turn = 2 * np.pi * np.arange(segments) / segments
    elements = []
    for number, angle in enumerate(polar_angles):
        around = np.stack(
            [np.sin(angle) * np.cos(turn), np.full(segments, np.cos(angle)), np.sin(angle) * np.sin(turn)], axis=1
        )
        vertices = radius_m * around / np.cos(np.pi / segments * np.sin(angle))
        centre = (0.0, radius_m * np.cos(angle), 0.0)
        elements.append(
            Element(name=f"E{number}", shape="circle", size_m=2 * radius_m * np.sin(angle), centre_m=centre,
                    normal=(0.0, 1.0, 0.0), vertices_m=vertices, gap_nodes=(0,))
        )  # fmt: skip
    return Layout(
        elements=tuple(elements), neighbours=(), neighbour_distance_m=(), least_skin_distance_m=0.0,
        least_conductor_distance_m=None, notes=(),
    )  # fmt: skip


def worn(layout, patient_m, *, rest, give_m=0.0):
    return put_on(layout, laid_on=ball(FORMER_M), patient=ball(patient_m), rest=rest, give_m=give_m)


def test_a_ball_in_the_middle_has_the_difference_of_radii_everywhere():
    found = worn(rings(0.4, 1.2, 2.0), PATIENT_M, rest="centre")
    np.testing.assert_allclose(found.gap_m, FORMER_M - PATIENT_M, atol=1e-9)
    fit = fit_of(found)
    assert fit.gap_percentile_95_m == pytest.approx(FORMER_M - PATIENT_M)
    assert fit.gap_shares[10] + fit.gap_shares[9] == pytest.approx(1.0)
    assert fit.touching_share == 0


def test_a_ball_that_lies_behind_touches_there_and_leaves_the_rest_in_front():
    """Moved by t towards +y, a ball is |p - t y| - r from a point p; a ring about y stops it all along itself."""
    back, front = 0.5, 2.4
    found = worn(rings(back, front), PATIENT_M, rest="back")
    radius = FORMER_M + STAND_OFF_M
    near = PATIENT_M + STAND_OFF_M
    # The chords of the ring sag by parts of a micrometre, so the way is that of the ring's circle.
    way = radius * np.cos(back) - np.sqrt(near**2 - (radius * np.sin(back)) ** 2)
    assert -found.shift_m[1] == pytest.approx(-way if way < 0 else way, abs=3e-6)
    ahead = np.sqrt(radius**2 + way**2 - 2 * radius * way * np.cos(front)) - PATIENT_M - STAND_OFF_M
    assert found.gap_m.max() == pytest.approx(ahead, abs=5e-6)
    assert found.gap_m.min() == pytest.approx(0, abs=2e-6)
    assert found.layout.elements[0].centre_m[1] == pytest.approx(radius * np.cos(back) - way, abs=3e-6)


def test_a_shell_laid_on_the_chest_touches_there_and_takes_larger_patients_too():
    """A ring of polar angle a about -y stops a ball of any size on its whole length."""
    ring = rings(2.5)
    for patient in (PATIENT_M, FORMER_M, 0.095):
        found = worn(ring, patient, rest="front")
        assert np.ptp(found.skin_distance_m) < 2e-5
        np.testing.assert_allclose(found.gap_m, 0, atol=3e-5)
    radius, near = FORMER_M + STAND_OFF_M, PATIENT_M + STAND_OFF_M
    way = -radius * np.cos(2.5) - np.sqrt(near**2 - (radius * np.sin(2.5)) ** 2)
    assert worn(ring, PATIENT_M, rest="front").shift_m[1] == pytest.approx(way, abs=3e-5)


def test_a_shell_too_narrow_for_a_chest_stands_on_its_edge_and_off_the_middle():
    found = worn(rings(2.2, 2.9), 0.095, rest="front")
    radius, near = FORMER_M + STAND_OFF_M, 0.095 + STAND_OFF_M
    way = -radius * np.cos(2.2) - np.sqrt(near**2 - (radius * np.sin(2.2)) ** 2)
    inner = np.sqrt(radius**2 + way**2 + 2 * radius * way * np.cos(2.9)) - near
    assert inner > 1e-3
    assert found.gap_m.max() == pytest.approx(inner, abs=5e-5)
    assert found.gap_m.min() == pytest.approx(0, abs=3e-5)


def test_who_is_larger_than_the_former_does_not_go_in_unless_padding_gives():
    with pytest.raises(OutsideModelError, match=r"5\.0 mm are missing"):
        worn(rings(0.5, 2.4), 0.085, rest="centre")
    found = worn(rings(0.5, 2.4), 0.085, rest="centre", give_m=5.1e-3)
    assert fit_of(found).gap_least_m == pytest.approx(-5e-3, abs=1e-6)


def test_an_array_in_front_only_has_nothing_that_stops_the_patient():
    with pytest.raises(OutsideModelError, match="rest: centre"):
        worn(rings(2.6), PATIENT_M, rest="back")


def test_an_array_laid_on_the_patient_has_no_gap():
    found = put_on(rings(0.5), laid_on=ball(FORMER_M), patient=ball(FORMER_M), rest=None, give_m=0.0)
    assert fit_of(found).gap_largest_m == 0
    assert fit_of(found).skin_distance_median_m == pytest.approx(STAND_OFF_M, abs=1e-5)


def test_padding_that_gives_lets_the_patient_sink_in_by_as_much():
    without, with_give = (worn(rings(0.3, 2.4), PATIENT_M, rest="back", give_m=give) for give in (0.0, 1e-3))
    assert -with_give.shift_m[1] > -without.shift_m[1] + 0.9e-3
    assert with_give.gap_m.min() == pytest.approx(-1e-3, abs=2e-6)


def test_columns_lie_on_their_backs_too():
    former = layered_elliptic_cylinder((0.15, 0.10), 0.4, tissue_names=["Muscle"], thicknesses_m=[])
    patient = layered_elliptic_cylinder((0.13, 0.09), 0.4, tissue_names=["Muscle"], thicknesses_m=[])
    turn = 2 * np.pi * np.arange(60) / 60
    vertices = np.stack([0.02 * np.cos(turn), np.full(60, 0.1105), 0.02 * np.sin(turn)], axis=1)
    element = Element(name="E1", shape="circle", size_m=0.04, centre_m=(0.0, 0.1105, 0.0), normal=(0.0, 1.0, 0.0),
                      vertices_m=vertices, gap_nodes=(0,))  # fmt: skip
    layout = Layout(elements=(element,), neighbours=(), neighbour_distance_m=(), least_skin_distance_m=0.0,
                    least_conductor_distance_m=None, notes=())  # fmt: skip
    found = put_on(layout, laid_on=former, patient=patient, rest="back", give_m=0.0)
    # In the middle of the back the ends of both half-axes meet, 10 mm apart.
    assert -found.shift_m[1] == pytest.approx(0.01, abs=2e-4)


def test_half_of_the_conductors_length_is_closer_than_the_median_however_it_is_cut_into_segments():
    """A long ring over a short one of as many segments: the long one decides on the median."""
    near, far = rings(np.pi / 2, radius_m=0.090), rings(0.2, radius_m=0.100)
    both = replace(near, elements=(*near.elements, *far.elements))
    found = fit_of(worn(both, PATIENT_M, rest="centre"))
    assert found.skin_distance_median_m == pytest.approx(0.020, abs=1e-4)
    assert found.skin_distance_percentile_95_m == pytest.approx(0.030, abs=1e-4)


def test_the_layout_tells_how_close_it_comes_to_the_patient_and_not_to_its_former():
    found = worn(rings(0.4, 1.2, 2.0), PATIENT_M, rest="centre")
    assert found.layout.least_skin_distance_m == pytest.approx(FORMER_M + STAND_OFF_M - PATIENT_M, abs=1e-6)


def test_padding_gives_by_less_than_the_way_between_conductor_and_former():
    with pytest.raises(OutsideModelError, match="would enter the patient"):
        worn(rings(0.5, 2.4), PATIENT_M, rest="centre", give_m=9e-3)


def test_a_small_patient_is_not_carried_past_a_distant_back():
    ring = rings(0.05, radius_m=0.208)
    found = put_on(ring, laid_on=ball(0.200), patient=ball(0.020), rest="back", give_m=0.0)
    way = 0.208 * np.cos(0.05) - np.sqrt(0.028**2 - (0.208 * np.sin(0.05)) ** 2)
    assert -found.shift_m[1] == pytest.approx(way, abs=3e-6)


def test_padding_fills_no_hollow_that_the_array_bridged():
    """A ring that stood 20 mm off its former, over a hollow, stops nobody who keeps 8 mm from it."""
    far = rings(0.5, radius_m=FORMER_M + 0.020)
    with pytest.raises(OutsideModelError, match=r"5\.0 mm are missing"):
        worn(far, FORMER_M + 0.005, rest="centre")
    found = put_on(
        far, laid_on=ball(FORMER_M), patient=ball(FORMER_M + 0.005), rest="back", give_m=0.0, padding_m=STAND_OFF_M
    )
    assert found.skin_distance_m.min() == pytest.approx(STAND_OFF_M, abs=1e-6)
    assert found.gap_m.min() == pytest.approx(STAND_OFF_M - 0.020, abs=1e-5)


def test_a_film_that_was_laid_on_the_patient_has_the_gap_beyond_its_layers():
    """Along the conductors: what the film's own map tells, within the sag of chords and the lean of the film."""
    _, solid, layout = laid(brief_text(body=EGG))
    fit = fit_of(put_on(layout, laid_on=solid, patient=solid, rest=None, give_m=0.0))
    of_elements = list(film_on_egg().film.gaps.of_elements_m.values())
    assert fit.gap_least_m == 0.0
    assert fit.gap_median_m == pytest.approx(np.median(of_elements), abs=0.3e-3)
    assert fit.gap_largest_m > max(of_elements)
