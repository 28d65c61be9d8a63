"""The lattice Green function against its defining equation and known values."""

import numpy as np
import pytest

from loopwright.fields.body.lattice import lattice_green_function


@pytest.fixture(scope="module")
def octant():
    return lattice_green_function((40, 12, 9))


def test_value_at_the_origin(octant):
    # Watson's integral over six: 1.516386059 / 6 (G. N. Watson, Q. J. Math. 10, 266 (1939); value from memory).
    assert octant[0, 0, 0] == pytest.approx(1.5163860591519780 / 6, abs=1e-9)


def test_laplacian_is_minus_one_at_the_origin(octant):
    assert 6 * (octant[0, 0, 0] - octant[1, 0, 0]) == pytest.approx(1.0, abs=1e-9)


def test_laplacian_vanishes_elsewhere(octant):
    middle = octant[1:-1, 1:-1, 1:-1]
    around = sum(np.roll(octant, shift, axis)[1:-1, 1:-1, 1:-1] for axis in range(3) for shift in (-1, 1))
    assert np.max(np.abs(around - 6 * middle)) < 1e-9


def test_falls_as_the_continuum(octant):
    # The leading correction along an axis is 1/(16 pi r^3) (MEMORY: Duffin 1953); at 39 it is 1.6e-4 of the value.
    r = 39.0
    assert octant[39, 0, 0] * 4 * np.pi * r == pytest.approx(1.0, abs=5e-4)
