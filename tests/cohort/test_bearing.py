"""What patients bear, against formulas."""

import re
from dataclasses import replace
from math import acos, pi, sqrt

import numpy as np
import pytest

from loopwright.bodies import layered_elliptic_cylinder, layered_sphere
from loopwright.brief import read_cohort
from loopwright.cohort import Asked, cases_of, held_against
from loopwright.cohort.bearing import strap_pressure_pa, waist_radius_m
from loopwright.cohort.covering import covered_area_m2
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent
from loopwright.layouts import Element, Layout
from loopwright.study import carry_out_case
from small_study import SMALL_STUDY


def discs(*centres_m, radius_m=0.04, segments=96):
    turn = 2 * pi * np.arange(segments) / segments
    flat = radius_m * np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=1)
    elements = tuple(
        Element(name=f"E{n}", shape="circle", size_m=2 * radius_m, centre_m=(x, 0.0, 0.0), normal=(0.0, 0.0, 1.0),
                vertices_m=flat + np.array([x, 0.0, 0.0]), gap_nodes=(0,))
        for n, x in enumerate(centres_m)
    )  # fmt: skip
    return Layout(elements=elements, neighbours=(), neighbour_distance_m=(), least_skin_distance_m=0.0,
                  least_conductor_distance_m=None, notes=())  # fmt: skip


def test_a_disc_covers_its_own_area():
    assert covered_area_m2(discs(0.0)) == pytest.approx(pi * 0.04**2, rel=1e-3)


@pytest.mark.parametrize("distance", [0.03, 0.05, 0.07])
def test_what_two_discs_cover_both_counts_once(distance):
    lens = 2 * 0.04**2 * acos(distance / 0.08) - distance / 2 * sqrt(4 * 0.04**2 - distance**2)
    assert covered_area_m2(discs(0.0, distance)) == pytest.approx(2 * pi * 0.04**2 - lens, rel=0.01)


def test_a_strap_presses_by_its_pull_over_the_radius_where_the_section_bends_most():
    waist = layered_elliptic_cylinder((0.15, 0.10), 0.4, tissue_names=["Muscle"], thicknesses_m=[])
    assert waist_radius_m(waist) == pytest.approx(0.10**2 / 0.15)
    ball = layered_sphere(0.08, tissue_names=["Muscle"], thicknesses_m=[])
    assert strap_pressure_pa(30.0, waist_radius_m(ball)) == pytest.approx(375)


def figures(array, patient="small"):
    wanted = read_cohort(SMALL_STUDY, "study.yaml")
    cases = cases_of(wanted.request, wanted.planned, Asked.FIT)
    case = next(c for c in cases if (c.planned.array.name, c.planned.patient.name) == (array, patient))
    return carry_out_case(case, Means(progress=Silent(), store=Forgetful())).figures, wanted.request.limits


def test_a_weighed_array_on_the_skin_presses_by_its_weight_over_what_touches():
    found, limits = figures("on the skin")
    assert found.bearing.mass_kg == 0.12
    # The flat base of the cap that a disc of 27.5 mm, laid along the shortest lines of a sphere of 68 mm, becomes.
    base = pi * (0.068 * np.sin(0.0275 / 0.068)) ** 2
    assert found.bearing.covered_area_m2 == pytest.approx(2 * base, rel=0.02)
    assert found.fit.touching_share == 1
    assert found.bearing.weight_pressure_pa == pytest.approx(0.12 * 9.80665 / found.bearing.covered_area_m2)
    assert found.bearing.strap_pressure_pa == pytest.approx(30 / 0.06)
    told = "; ".join(held_against([found.bearing], limits))
    assert "mass: 120 g, within 500 g" in told
    assert "over 2 g/cm²" in told  # 120 g over 48 cm^2
    assert "not assessed" in told


def test_a_stiff_array_presses_nobody_and_weighs_its_conductor_at_least():
    found, _ = figures("shell")
    assert np.isnan(found.bearing.weight_pressure_pa)
    copper = 8960 * pi * 0.45e-3**2 * 2 * pi * 0.06
    assert found.bearing.mass_kg == pytest.approx(copper, rel=0.03)


def test_the_limits_hold_for_the_patient_who_bears_most_of_each_kind():
    """An array that grows with its patient is heaviest on one, and heaviest over its area on another."""
    found, limits = figures("on the skin")
    heavy = replace(found.bearing, mass_kg=1.5, mass_per_area_kg_per_m2=1.0)
    told = "; ".join(held_against([found.bearing, heavy], limits))
    assert "mass: 1500 g, over 500 g" in told
    assert re.search(r"mass over area: 2\.\d+ g/cm², over 2 g/cm²", told)
