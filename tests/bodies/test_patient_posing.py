"""Patients in poses: bones keep their lengths, skin its volume, the back lies on a plane, cuts are closed."""

import numpy as np
import pytest

from loopwright.bodies.patients.building import stance_of
from loopwright.bodies.patients.cropping import closed_part, crop_of, framed_m
from loopwright.bodies.patients.joints import bent, elbow, knee, share_of, shoulder, turned_m, wrist
from loopwright.bodies.patients.patient import patient_surface
from loopwright.bodies.patients.posing import CONTACT_OF_SKIN, lying, pressed
from loopwright.brief.records import AgeAfterTerm, PoseRequest

BONES = [("shoulder", "elbow"), ("elbow", "wrist"), ("wrist", "middle knuckle"), ("hip", "knee"), ("knee", "ankle")]


@pytest.fixture(scope="module", params=[("male", 30.0), ("female", 1.0)], ids=["adult", "one year"])
def standing(request):
    sex, age_years = request.param
    return stance_of(patient_surface(sex, AgeAfterTerm(age_years=age_years)))


@pytest.fixture(scope="module")
def laid(standing):
    return lying(standing, PoseRequest())


def test_a_turn_keeps_distances_and_a_full_one_is_none():
    points = np.array([[1.0, 2.0, 3.0], [0.0, -1.0, 0.5]])
    centre, axis = np.array([0.2, 0.1, -0.3]), np.array([1.0, 2.0, 2.0]) / 3
    turned = turned_m(points, centre, axis, 1.1)
    assert np.linalg.norm(turned - centre, axis=1) == pytest.approx(np.linalg.norm(points - centre, axis=1))
    assert (turned - points) @ axis == pytest.approx(0, abs=1e-12)
    assert turned_m(points, centre, axis, 2 * np.pi) == pytest.approx(points)


@pytest.mark.parametrize("joint", [wrist, elbow, knee, shoulder])
def test_no_angle_changes_nothing(standing, joint):
    same = bent(standing, joint(standing, "left"), 0.0)
    assert np.abs(same.surface.vertices_m - standing.surface.vertices_m).max() < 1e-15


@pytest.mark.parametrize(
    "pose",
    [
        PoseRequest(),
        PoseRequest(arms="up"),
        PoseRequest(knee_bend_rad=1.5, elbow_bend_rad=1.5, wrist_bend_rad=1.0),
        PoseRequest(arms="up", knee_bend_rad=2.0, elbow_bend_rad=2.0, wrist_bend_rad=-1.0),
    ],
    ids=["down", "up", "bent", "far"],
)
def test_bones_keep_their_lengths_and_skin_its_volume(standing, pose):
    posed = lying(standing, pose).stance
    for side in ("left", "right"):
        for start, end in BONES:
            before, after = (
                np.linalg.norm(one.landmarks_m[f"{side} {end}"] - one.landmarks_m[f"{side} {start}"])
                for one in (standing, posed)
            )
            assert after == pytest.approx(before, rel=1e-9), (side, start, end)
    assert posed.surface.volume_m3 == pytest.approx(standing.surface.volume_m3, rel=0.015)


def test_bends_are_those_that_were_asked_for(standing):
    posed = lying(standing, PoseRequest(knee_bend_rad=1.0, elbow_bend_rad=1.2)).stance.landmarks_m

    def angle(side, first, joint, last):
        a = posed[f"{side} {joint}"] - posed[f"{side} {first}"]
        b = posed[f"{side} {last}"] - posed[f"{side} {joint}"]
        return np.arccos(a @ b / np.linalg.norm(a) / np.linalg.norm(b))

    assert angle("left", "shoulder", "elbow", "wrist") == pytest.approx(1.2, abs=1e-6)
    assert angle("right", "shoulder", "elbow", "wrist") == pytest.approx(0.0, abs=1e-6)
    rest = angle("right", "hip", "knee", "ankle")
    assert angle("left", "hip", "knee", "ankle") == pytest.approx(1.0, abs=rest + 0.02)


def test_the_back_lies_flat_on_the_table_and_no_skin_passes_it(laid):
    vertices, table = laid.stance.surface.vertices_m, laid.table_m
    assert vertices[:, 1].max() <= table
    areas = laid.stance.surface.area_vectors_m2
    middles = laid.stance.surface.corners_m[..., 1].mean(axis=1)
    contact = areas[middles > table - 1e-3, 1].sum()
    assert 0.9 * CONTACT_OF_SKIN < contact / laid.stance.surface.area_m2 < 2 * CONTACT_OF_SKIN


def test_pressing_keeps_the_volume(standing):
    flat, _ = pressed(standing)
    assert flat.surface.volume_m3 == pytest.approx(standing.surface.volume_m3, rel=1e-6)


def test_arms_lie_beside_the_body_and_free_of_it(laid):
    stance = laid.stance
    for side, sign in (("left", 1), ("right", -1)):
        wrist_at, shoulder_at = (stance.landmarks_m[f"{side} {name}"] for name in ("wrist", "shoulder"))
        assert wrist_at[2] < shoulder_at[2]
        hand = stance.surface.vertices_m[share_of(stance, side, "hand") > 0.9]
        thighs = stance.surface.vertices_m[share_of(stance, side, "thigh") > 0.9]
        assert (sign * hand[:, 0]).min() > (sign * thighs[:, 0]).max()


def test_arms_up_reach_past_the_head(standing):
    posed = lying(standing, PoseRequest(arms="up")).stance
    head = posed.surface.vertices_m[posed.share("head") > 0.5, 2].max()
    assert all(posed.landmarks_m[f"{side} middle fingertip"][2] > head for side in ("left", "right"))


@pytest.mark.parametrize("limb", [("thigh", "shank", "foot"), ("upper arm", "forearm", "hand")])
def test_a_limb_taken_off_is_closed(laid, limb):
    part = closed_part(laid.stance.surface, share_of(laid.stance, "left", *limb) > 0.5)
    edges = part.triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    ways = {(int(a), int(b)) for a, b in edges}
    assert len(ways) == len(edges)
    assert all((b, a) in ways for a, b in ways)
    assert 0.005 < part.volume_m3 / laid.stance.surface.volume_m3 < 0.25


@pytest.mark.parametrize("part", ["knee", "elbow", "wrist", "hand"])
def test_a_limb_runs_along_z_from_its_joint(laid, part):
    crop = crop_of(part, laid.stance, margin_m=0.03)
    joint = {"knee": "left knee", "elbow": "left elbow"}.get(part, "left wrist")
    above = {"knee": "left hip", "elbow": "left shoulder"}.get(part, "left elbow")
    assert framed_m(laid.stance.landmarks_m[joint], crop) == pytest.approx(0, abs=1e-12)
    way = framed_m(laid.stance.landmarks_m[above], crop)
    assert way[:2] == pytest.approx(0, abs=1e-12)
    assert way[2] > 0
