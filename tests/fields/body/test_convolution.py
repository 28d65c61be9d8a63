"""The transformed products against sums in space, on a grid small enough to do by hand."""

import numpy as np
import pytest
from scipy.signal import convolve as convolve_in_space

from loopwright.fields.body.array_library import plain_library, processor_library
from loopwright.fields.body.convolution import convolve, curl_multiplier, reply_multiplier, spectral_kernel
from loopwright.fields.body.lattice import lattice_green_function

VOXELS = (5, 4, 3)
SPACING_M = 0.01
WAVENUMBER_PER_M = 6.2
MARGIN = 3  # offsets beyond the grid that the differences reach
LIBRARIES = {"row by row": processor_library(), "batched": plain_library(np, memory_b=2**30)}


@pytest.fixture(params=LIBRARIES)
def applied(request):
    """Apply a multiplier to three rows at once, of which the second is the given one."""

    def apply(current, wavenumber_per_m, multiplier):
        kernel = spectral_kernel(VOXELS, wavenumber_per_m, SPACING_M, LIBRARIES[request.param])
        rows = np.stack([2j * current, current, 0 * current]).astype(np.complex64)
        found = convolve(rows, kernel, multiplier)
        assert np.allclose(found[0], 2j * found[1], rtol=0, atol=1e-6 * np.abs(found).max())
        assert not found[2].any()
        return found[1]

    return apply


@pytest.fixture(scope="module")
def potential():
    """S of a random current in space, on every offset that differences can reach, with the current itself."""
    rng = np.random.default_rng(7)
    faces = tuple(n + 1 for n in VOXELS)
    current = rng.normal(size=(3, *faces)) + 1j * rng.normal(size=(3, *faces))
    for axis in range(3):  # faces that do not exist
        for other in range(3):
            if other != axis:
                np.moveaxis(current[axis], other, 0)[-1] = 0
    offsets = [np.arange(-n - MARGIN, n + MARGIN + 1) for n in faces]
    distance = SPACING_M * np.sqrt(sum(np.square(o) for o in np.meshgrid(*offsets, indexing="ij")))
    octant = lattice_green_function(tuple(n + MARGIN + 1 for n in faces))
    static = SPACING_M**2 * octant[np.ix_(*[np.abs(o) for o in offsets])]
    with np.errstate(invalid="ignore", divide="ignore"):
        smooth = SPACING_M**3 * (np.exp(-1j * WAVENUMBER_PER_M * distance) - 1) / (4 * np.pi * distance)
    smooth[distance == 0] = -1j * SPACING_M**3 * WAVENUMBER_PER_M / (4 * np.pi)
    kernels = (static + smooth, without_dispersion(static + smooth))
    return current, *(np.stack([convolve_in_space(part, k, method="direct") for part in current]) for k in kernels)


def without_dispersion(kernel):
    """Solve (1 - h^2/20 Laplacian) f = kernel by fixed-point sweeps in space, edges held."""
    found = kernel.copy()
    for _ in range(60):
        around = sum(np.roll(found, way, axis) for axis in range(3) for way in (-1, 1))
        found[1:-1, 1:-1, 1:-1] = ((kernel + around / 20) / (1 + 6 / 20))[1:-1, 1:-1, 1:-1]
    return found


def own(array):
    """Cut the offsets down to the grid's own faces."""
    return array[tuple(slice(n + 1 + MARGIN, 2 * n + 2 + MARGIN) for n in VOXELS)]


def test_green_operator(potential, applied):
    current, s, s_wave = potential
    div = sum(np.roll(s[a], -1, a) - s[a] for a in range(3)) / SPACING_M
    expected = [own(WAVENUMBER_PER_M**2 * s_wave[a] + (div - np.roll(div, 1, a)) / SPACING_M) for a in range(3)]
    found = applied(current, WAVENUMBER_PER_M, reply_multiplier)
    assert np.max(np.abs(found - expected)) < 2e-6 * np.max(np.abs(expected))


def sharpened(field, along, across):
    """Undo, to second order, what the two-voxel difference and the mean of two faces take off."""
    less = [2 * field - np.roll(field, 1, axis) - np.roll(field, -1, axis) for axis in (along, across)]
    return field + less[0] / 6 + less[1] / 8


def test_curl_at_voxel_centres(potential, applied):
    current, s, _ = potential
    found = applied(current, WAVENUMBER_PER_M, curl_multiplier)[:, :-1, :-1, :-1]
    for a, b, c in ((0, 1, 2), (1, 2, 0), (2, 0, 1)):
        first = (s[c] - np.roll(s[c], 1, b)) / SPACING_M
        second = (s[b] - np.roll(s[b], 1, c)) / SPACING_M
        edge = sharpened(first, b, c) - sharpened(second, c, b)
        along_b = (edge + np.roll(edge, -1, b)) / 2
        expected = own((along_b + np.roll(along_b, -1, c)) / 2)[:-1, :-1, :-1]
        assert np.max(np.abs(found[a] - expected)) < 2e-6 * np.max(np.abs(expected))


def test_gradient_currents_meet_only_the_wave_term(applied):
    """The static operator turns a gradient into minus itself: what lets eddy currents flow without charges."""
    rng = np.random.default_rng(3)
    phi = np.zeros(tuple(n + 1 for n in VOXELS))
    phi[1:-2, 1:-2, 1:-2] = rng.normal(size=tuple(n - 2 for n in VOXELS))
    gradient = np.stack([phi - np.roll(phi, 1, axis) for axis in range(3)])
    found = applied(gradient, 0.0, reply_multiplier)
    assert np.max(np.abs(found + gradient)) < 5e-6 * np.max(np.abs(gradient))
