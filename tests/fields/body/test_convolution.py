"""The transformed products against sums in space, on a grid small enough to do by hand."""

import numpy as np
import pytest
from scipy.signal import convolve as convolve_in_space

from loopwright.fields.body.convolution import convolve, curl_multiplier, reply_multiplier, spectral_kernel
from loopwright.fields.body.lattice import lattice_green_function

VOXELS = (5, 4, 3)
SPACING_M = 0.01
WAVENUMBER_PER_M = 6.2
MARGIN = 3  # offsets beyond the grid that the differences reach


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


def test_green_operator(potential):
    current, s, s_wave = potential
    div = sum(np.roll(s[a], -1, a) - s[a] for a in range(3)) / SPACING_M
    expected = [own(WAVENUMBER_PER_M**2 * s_wave[a] + (div - np.roll(div, 1, a)) / SPACING_M) for a in range(3)]
    kernel = spectral_kernel(VOXELS, WAVENUMBER_PER_M, SPACING_M)
    found = convolve(current.astype(np.complex64), kernel, reply_multiplier)
    assert np.max(np.abs(found - expected)) < 2e-6 * np.max(np.abs(expected))


def sharpened(field, along, across):
    """Undo, to second order, what the two-voxel difference and the mean of two faces take off."""
    less = [2 * field - np.roll(field, 1, axis) - np.roll(field, -1, axis) for axis in (along, across)]
    return field + less[0] / 6 + less[1] / 8


def test_curl_at_voxel_centres(potential):
    current, s, _ = potential
    kernel = spectral_kernel(VOXELS, WAVENUMBER_PER_M, SPACING_M)
    found = convolve(current.astype(np.complex64), kernel, curl_multiplier)[:, :-1, :-1, :-1]
    for a, b, c in ((0, 1, 2), (1, 2, 0), (2, 0, 1)):
        first = (s[c] - np.roll(s[c], 1, b)) / SPACING_M
        second = (s[b] - np.roll(s[b], 1, c)) / SPACING_M
        edge = sharpened(first, b, c) - sharpened(second, c, b)
        along_b = (edge + np.roll(edge, -1, b)) / 2
        expected = own((along_b + np.roll(along_b, -1, c)) / 2)[:-1, :-1, :-1]
        assert np.max(np.abs(found[a] - expected)) < 2e-6 * np.max(np.abs(expected))


def test_gradient_currents_meet_only_the_wave_term():
    """The static operator turns a gradient into minus itself: what lets eddy currents flow without charges."""
    rng = np.random.default_rng(3)
    phi = np.zeros(tuple(n + 1 for n in VOXELS))
    phi[1:-2, 1:-2, 1:-2] = rng.normal(size=tuple(n - 2 for n in VOXELS))
    gradient = np.stack([phi - np.roll(phi, 1, axis) for axis in range(3)])
    kernel = spectral_kernel(VOXELS, 0.0, SPACING_M)
    found = convolve(gradient.astype(np.complex64), kernel, reply_multiplier)
    assert np.max(np.abs(found + gradient)) < 5e-6 * np.max(np.abs(gradient))
