"""A small closed loop against the polygon that it stands for."""

import numpy as np
import pytest

from loopwright.fields.small_loops import electric_component_v_per_m, magnetic_component_t
from loopwright.fields.wires import magnetic_field_t_per_a, vector_potential_component
from loopwright.ground.constants import MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S
from wire_cases import equal_area_polygon

FREQUENCY_HZ = 298e6
RADIUS_M = 1e-3
POINTS = np.random.default_rng(3).uniform(0.03, 0.3, size=(20, 3)) * [1, -1, 1]
CENTRE = np.array([0.01, 0.02, -0.01])
MOMENT = np.pi * RADIUS_M**2


def polygon(direction):
    """Small circle right-handed about an axis of the frame."""
    flat = equal_area_polygon(RADIUS_M, 32)
    return CENTRE + np.roll(flat, direction + 1, axis=1)


@pytest.mark.parametrize("direction", range(3))
@pytest.mark.parametrize("axis", range(3))
def test_it_is_the_limit_of_a_polygon(direction, axis):
    wavenumber = 2 * np.pi * FREQUENCY_HZ / SPEED_OF_LIGHT_M_PER_S
    loop = polygon(direction)
    a = vector_potential_component(POINTS, loop, wavenumber, axis)
    E = -2j * np.pi * FREQUENCY_HZ * MU_0_H_PER_M * a / MOMENT
    B = magnetic_field_t_per_a(POINTS, loop, wavenumber)[:, axis] / MOMENT
    small = {"axis": axis, "frequency_hz": FREQUENCY_HZ}
    found_e = electric_component_v_per_m(POINTS, CENTRE[None], **small)[:, 0, direction]
    found_b = magnetic_component_t(POINTS, CENTRE[None], **small)[:, 0, direction]
    np.testing.assert_allclose(found_e, E, rtol=2e-3, atol=1e-3 * np.abs(found_e).max() + 1e-12)
    np.testing.assert_allclose(found_b, B, rtol=2e-3, atol=1e-3 * np.abs(found_b).max())


def test_turning_current_sources_make_no_charge():
    """div E = 0: E along every axis, differenced, adds up to nothing against its single terms."""
    step = 1e-3
    parts = []
    for axis in range(3):
        ahead, behind = (POINTS + sign * step * np.eye(3)[axis] for sign in (1, -1))
        fields = [
            electric_component_v_per_m(p, CENTRE[None], axis=axis, frequency_hz=FREQUENCY_HZ)[:, 0]
            for p in (ahead, behind)
        ]
        parts.append((fields[0] - fields[1]) / (2 * step))
    assert np.abs(np.sum(parts, axis=0)).max() < 5e-3 * np.abs(parts).max()
