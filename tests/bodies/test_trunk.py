"""The stylised trunk: lungs inside the muscle, and masses that can be those of a child."""

import numpy as np
import pytest

from loopwright.bodies import child_trunk
from loopwright.bodies.trunk import INTERIORS
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.tables import child_trunk_rows


def test_the_ages_are_those_of_the_packaged_table():
    assert set(INTERIORS) == {row.age for row in child_trunk_rows()}


@pytest.mark.parametrize("age", INTERIORS)
def test_lungs_keep_a_wall_of_muscle(age):
    solid = child_trunk(age)
    muscle, lung = solid.regions[2].shape, solid.regions[3].shape
    turn, rise = np.meshgrid(np.linspace(0, 2 * np.pi, 200), np.linspace(0, np.pi / 2, 50))
    unit = np.stack([np.cos(turn) * np.cos(rise), np.sin(turn) * np.cos(rise), np.sin(rise)], axis=-1).reshape(-1, 3)
    surface = np.asarray(lung.centre_m) + np.asarray(lung.semi_axes_m) * unit
    assert np.all(muscle.contains(surface))
    assert muscle.clearance_m(surface).min() > 1e-3


@pytest.mark.parametrize("age", INTERIORS)
def test_lungs_are_each_others_mirror_and_apart(age):
    solid = child_trunk(age)
    points = np.random.default_rng(9).uniform(-1, 1, (5000, 3)) * np.asarray(solid.box_m[1])
    mirrored = points * [-1, 1, 1]
    assert np.array_equal(solid.label(points), solid.label(mirrored))
    assert solid.regions[3].shape.volume_m3 == pytest.approx(solid.regions[4].shape.volume_m3, rel=1e-12)
    on_middle_plane = points * [0, 1, 1]
    assert not np.any(solid.label(on_middle_plane) == 3)


@pytest.mark.parametrize(
    ("age", "lung_mass_kg"), [("newborn", 0.060), ("1 year", 0.150), ("5 years", 0.300), ("10 years", 0.500)]
)
def test_lung_volume_suits_the_mass_of_the_organ(age, lung_mass_kg):
    """ICRP 89 reference masses of lung with blood; inflated lung of 0.26 to 0.40 g/cm^3 (from memory) spans them."""
    volume_m3 = child_trunk(age).volumes_m3[3]
    assert 260 < lung_mass_kg / volume_m3 < 400


def test_trunk_says_what_it_is():
    solid = child_trunk("5 years")
    assert any("stylised" in caution and "no patient" in caution for caution in solid.cautions)
    assert any("from memory" in note for note in solid.notes)


def test_an_unknown_age_is_refused():
    with pytest.raises(OutsideModelError, match="5 years"):
        child_trunk("40 years")
