"""What is inside patients: masses against the reference person, organs under their cover, shares that add up."""

import numpy as np
import pytest

from loopwright.bodies import place, solid_of, tissues_of
from loopwright.bodies.hydration import WATER_EPS_R, wetter_permittivity
from loopwright.bodies.patients.balloons import Balloon, blown_up, quick_depth
from loopwright.bodies.patients.bones import tube
from loopwright.bodies.patients.building import patient_body
from loopwright.brief.records import AgeAfterTerm, BodyMeasures, GestationalAge, PatientRequest, TissueWater
from loopwright.ground.reference_masses import reference_masses

AGES = [("male", 0.0), ("female", 30.0)]
FITTED = ("skin", "fat under the skin", "heart", "liver", "spleen", "kidneys", "brain")


def patient(sex, age_years, part="whole body", **further):
    age = AgeAfterTerm(age_years=age_years)
    return PatientRequest(sex=sex, age=age, part=part, **{"voxel_m": 5e-3, **further})


@pytest.fixture(scope="module", params=AGES, ids=lambda of: f"{of[0]} {of[1]:g}")
def whole(request):
    return patient_body(patient(*request.param))


def test_organs_weigh_what_those_of_the_reference_person_weigh(whole):
    off = {mass.name: mass.off for mass in whole.masses}
    assert [off[name] for name in FITTED] == pytest.approx([0] * len(FITTED), abs=0.02)


def test_what_has_no_room_or_is_not_whole_is_within_its_honest_bound(whole):
    """Lungs of infants are short of inflated volume, the skeleton is long bones, spine and skull; muscle fills."""
    off = {mass.name: mass.off for mass in whole.masses}
    assert -0.4 < off["lung"] < 0.01
    assert -0.62 < off["skeleton"] < -0.3
    assert -0.15 < off["muscle"] < 0.25
    assert abs(off["whole body"]) < 0.12


def test_tissues_fill_the_skin(whole):
    volumes = np.array(whole.solid.volumes_m3)
    assert volumes.min() > 0
    assert volumes.sum() == pytest.approx(whole.solid.skin.surface.volume_m3, rel=1e-3)


def test_organs_and_bones_lie_under_the_fat(whole):
    """By exact distances, not by those that placed them."""
    muscle = whole.solid.regions[2].shape
    for region in whole.solid.regions[3:]:
        if region.within == 2:
            depth = muscle.depth_m(region.shape.surface.vertices_m[::3])
            name = whole.solid.tissue_names[region.tissue]
            assert np.mean(depth < 0) < 0.02, name
            assert depth.min() > -2e-3, name


def test_organs_keep_apart(whole):
    """No point of one lies in another of the same parent."""
    inner = [region for region in whole.solid.regions if region.within == 2]
    for one in inner:
        surface, areas = one.shape.surface, one.shape.surface.area_vectors_m2
        outward = areas / np.linalg.norm(areas, axis=1, keepdims=True)
        points = (surface.corners_m.mean(axis=1) - 3e-4 * outward)[::9]
        for other in inner:
            if other is not one:
                assert np.mean(other.shape.contains(points)) < 0.03


def test_a_child_on_its_grid_has_shares_that_add_up():
    body = place(patient("female", 1.0, voxel_m=8e-3), frequency_hz=123.2e6)
    volumes = body.voxel_fraction.sum(axis=(1, 2, 3), dtype=float) * body.grid.voxel_volume_m3
    assert body.voxel_fraction.min() >= 0
    assert body.voxel_cover().max() <= 1 + 1e-5
    assert volumes.sum() == pytest.approx(body.solid.skin.surface.volume_m3, rel=1e-3)
    assert volumes == pytest.approx(np.array(body.solid.volumes_m3), rel=0.03)


@pytest.mark.parametrize(
    "part",
    [pytest.param("head", marks=pytest.mark.long), pytest.param("trunk", marks=pytest.mark.long), "knee", "hand"],
)
def test_a_part_ends_at_its_cuts_and_its_tissues_fill_it(part):
    solid = solid_of(patient("male", 5.0, part, margin_m=0.03))
    lower, upper = np.array(solid.box_m)
    cuts = (solid.skin.lower_m[2], solid.skin.upper_m[2])
    ends = [end for end, cut in ((lower[2], cuts[0]), (upper[2], cuts[1])) if np.isfinite(cut)]
    assert ends == pytest.approx([cut for cut in cuts if np.isfinite(cut)], abs=1e-9)
    assert len(ends) == {"head": 1, "trunk": 2, "knee": 2, "hand": 1}[part]
    volumes = np.array(solid.volumes_m3)
    assert volumes.min() > 0
    assert volumes.sum() == pytest.approx(solid.skin.volume_m3, rel=1e-3)


def test_more_margin_is_more_body_at_the_same_place():
    little, much = (solid_of(patient("male", 5.0, "knee", margin_m=margin)) for margin in (0.02, 0.05))
    assert much.box_m[0][2] == pytest.approx(little.box_m[0][2] - 0.03)
    assert much.skin.volume_m3 > little.skin.volume_m3
    inside = np.array([[0.0, 0.0, 0.0], [0.01, 0.0, 0.02]])
    assert np.array_equal(little.label(inside), much.label(inside))


def test_a_preterm_child_takes_the_newborn_by_mass_and_says_so():
    request = PatientRequest(sex="female", age=GestationalAge(gestation_weeks=30), part="whole body", voxel_m=5e-3)
    found = patient_body(request)
    whole = next(mass for mass in found.masses if mass.name == "whole body")
    assert whole.off == pytest.approx(0, abs=0.05)
    assert any("times mass over mass" in note for note in found.solid.notes)


def test_measures_of_the_patient_reach_the_solid():
    heavy = patient_body(patient("male", 30.0, measures=BodyMeasures(mass_kg=100.0)))
    middle = patient_body(patient("male", 30.0))
    assert heavy.solid.skin.surface.volume_m3 > 1.25 * middle.solid.skin.surface.volume_m3


def test_a_balloon_stops_at_planes_and_cover():
    """A ball of 50 mm under a cover of 5 mm, a plane 10 mm from its middle: the cap of a sphere that is left."""
    ball = blown_up(Balloon(centre_m=(0, 0, 0), semi_axes_m=(0.05,) * 3), 4 / 3 * np.pi * 0.05**3, _far, cover_m=0)
    assert ball.volume_m3 == pytest.approx(4 / 3 * np.pi * 0.05**3, rel=1e-6)
    balloon = Balloon(centre_m=(0, 0, 0), semi_axes_m=(0.05,) * 3, upper_m=(np.inf, np.inf, 0.01))
    found = blown_up(balloon, 1.0, quick_depth(ball), cover_m=0.005)
    assert found.vertices_m[:, 2].max() == pytest.approx(0.01, abs=1e-12)
    r, h = 0.045, 0.035
    cap = np.pi * h**2 * (r - h / 3)
    assert found.volume_m3 == pytest.approx(4 / 3 * np.pi * r**3 - cap, rel=0.03)


def _far(points_m):
    return np.full(len(points_m), 1.0)


def test_a_tube_holds_the_volume_of_a_cone():
    cone = tube(np.array([[0, 0, 0], [0, 0, 0.05], [0, 0, 0.1]]), np.array([0.02, 0.015, 0.01]))
    assert cone.volume_m3 == pytest.approx(np.pi * 0.1 / 3 * (0.02**2 + 0.02 * 0.01 + 0.01**2), rel=1e-3)


def test_reference_masses_are_those_of_the_table_and_between_them():
    newborn, year = reference_masses("male", 0.0), reference_masses("male", 1.0)
    half = reference_masses("male", 0.5)
    assert newborn.organs_kg["liver"] == pytest.approx(0.13)
    assert half.organs_kg["brain"] == pytest.approx((newborn.organs_kg["brain"] + year.organs_kg["brain"]) / 2)
    assert reference_masses("female", 40.0).organs_kg == reference_masses("female", 20.0).organs_kg
    assert not reference_masses("male", 20.0).from_memory


def test_water_raises_permittivity_up_to_that_of_water():
    assert wetter_permittivity(63.5, adult=0.76, patient=0.76) == pytest.approx(63.5)
    assert wetter_permittivity(63.5, adult=0.76, patient=1.0) == pytest.approx(WATER_EPS_R)
    request = patient("male", 0.0, "head", hydration=(TissueWater(tissue="Muscle", adult=0.76, patient=0.82),))
    dry, wet = (tissues_of(one, frequency_hz=128e6) for one in (request.model_copy(update={"hydration": ()}), request))
    assert [a == b for a, b in zip(dry, wet, strict=True)] == [tissue.name != "Muscle" for tissue in dry]
    assert wet[2].eps_r / dry[2].eps_r == pytest.approx(wet[2].sigma_s_per_m / dry[2].sigma_s_per_m)
    assert "sensitivity" in wet[2].note
