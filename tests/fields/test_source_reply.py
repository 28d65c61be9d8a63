"""What is kept of one body's shell is never taken for another body's."""

import numpy as np
import pytest

from shell_cases import ball, solved_shell

MATERIALS = ((80.0, 0.3), (4.0, 2.0))


class Keeping:
    """A store in memory."""

    def __init__(self):
        self.kept = {}
        self.found = 0

    def load(self, key):
        self.found += key in self.kept
        return self.kept.get(key)

    def save(self, key, arrays):
        self.kept[key] = {name: np.array(value) for name, value in arrays.items()}


def solved(material, **store):
    body = ball(0.06, *material, voxels=8, frequency_hz=127.7e6)
    return solved_shell(body, stand_off_m=0.02, spacing_m=0.03, modes=10, relative_residual=1e-3, **store)


@pytest.fixture(scope="module")
def alone():
    """Every material by itself, nothing kept."""
    return [solved(material) for material in MATERIALS]


def test_two_materials_of_one_shape_share_a_store(alone):
    """The order of the modes depends on the material: the second may not be given those of the first."""
    store = Keeping()
    for material, apart in zip(MATERIALS, alone, strict=True):
        shared = solved(material, store=store)
        np.testing.assert_array_equal(shared.noise_resistance_ohm, apart.noise_resistance_ohm)
        np.testing.assert_array_equal(shared.transverse_field_t, apart.transverse_field_t)
    assert store.found == 0


def test_what_was_kept_is_found_again(alone):
    store = Keeping()
    first, again = (solved(MATERIALS[0], store=store) for _ in range(2))
    assert store.found == len(store.kept) > 0
    np.testing.assert_array_equal(again.noise_resistance_ohm, first.noise_resistance_ohm)
    np.testing.assert_array_equal(first.transverse_field_t, alone[0].transverse_field_t)
