"""Stylised limbs: circumferences as measured, bones inside the muscle, volumes of formulas."""

import numpy as np
import pytest
from scipy.special import ellipe

from loopwright.bodies import grid_around, limb, voxel_fractions
from loopwright.bodies.limb import INSIDES, LIMB_TISSUES
from loopwright.ground.tables import stylised_figure_rows

AGES = [row.age for row in stylised_figure_rows()]


@pytest.mark.parametrize(
    ("part", "age", "around_cm"),
    [("thigh", "5 years", 33), ("knee", "newborn", 12.5), ("wrist", "adult male", 17.2), ("thigh", "adult female", 56)],
)
def test_circumference_is_the_one_of_the_table(part, age, around_cm):
    b, a = sorted(limb(part, age, 0.2).skin.semi_axes_m)
    assert 400 * a * ellipe(1 - (b / a) ** 2) == pytest.approx(around_cm, rel=1e-4)


def test_two_arms_fill_what_the_trunk_without_arms_leaves():
    """A grown man's trunk with arms has half-axes of 200 and 100 mm, without them 170 and 98 (from memory)."""
    arm = limb("upper arm", "adult male", 0.3).skin.semi_axes_m[0]
    assert 2 * arm**2 == pytest.approx(0.2 * 0.1 - 0.17 * 0.098, rel=0.01)


@pytest.mark.parametrize("age", AGES)
@pytest.mark.parametrize("part", INSIDES)
def test_bones_lie_in_the_muscle_and_apart(part, age):
    solid = limb(part, age, 0.2)
    muscle = solid.regions[2].shape
    turn = np.linspace(0, 2 * np.pi, 400)
    ring = np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=1)
    bones = [region.shape for region in solid.regions if region.tissue == 3]
    for bone in bones:
        assert np.all(muscle.contains(np.asarray(bone.centre_m) + ring * bone.semi_axes_m[0]))
    if len(bones) == 2:
        assert np.subtract(bones[0].centre_m, bones[1].centre_m)[0] > 2 * bones[0].semi_axes_m[0]
    assert min(solid.volumes_m3) > 0


@pytest.mark.parametrize("spacing_m", [6e-3, 4e-3, 2e-3])
def test_thin_skin_of_a_child_keeps_its_volume(spacing_m):
    solid = limb("thigh", "1 year", 0.1)
    grid = grid_around(solid, spacing_m)
    radius = 0.26 / (2 * np.pi)
    skin = np.pi * (radius**2 - (radius - 0.66e-3) ** 2) * 0.1
    found = voxel_fractions(solid, grid)[LIMB_TISSUES.index("Skin (Dry)")].sum() * grid.voxel_volume_m3
    assert found == pytest.approx(skin, rel=1e-8)


def test_limb_says_what_it_is():
    solid = limb("upper arm", "5 years", 0.2)
    assert any("no patient" in caution for caution in solid.cautions)
    assert any("cristy1987" in note and "from memory" in note for note in solid.notes)
    assert any("33 cm" in note and "from memory" in note for note in limb("thigh", "5 years", 0.2).notes)
