"""Aliases of every sampling pattern against the point-spread function that numpy's FFT makes of the sampled lines."""

import numpy as np
import pytest

from loopwright.bodies import VoxelGrid
from loopwright.brief.records import RegularAcceleration, ShiftedAcceleration, SimultaneousSlices
from loopwright.ground.errors import OutsideModelError
from loopwright.imaging.aliasing import SampledMaps, lattice_shifts
from loopwright.imaging.sampling import folding, imaged_voxels, replicas_of_shifted_lines_m
from loopwright.imaging.sense import g_factor, inverse_g_map

VOXEL_M = 0.01


def grid_of(shape):
    corner = tuple(-n * VOXEL_M / 2 for n in shape)
    return VoxelGrid(origin_m=corner, spacing_m=VOXEL_M, shape=shape)


def shifted(factors, shift, lines, directions=("x", "z")):
    """A pattern whose field of view holds so many voxels along each direction."""
    return ShiftedAcceleration(
        name="s",
        factors=factors,
        directions=directions,
        field_of_view_m=tuple(n * VOXEL_M for n in lines),
        shift=shift,
    )


def slices(count, distance, *, lines, factor=1.0, shift=0.0, centre_m=0.0):
    return SimultaneousSlices(
        name="m",
        slices=count,
        normal="z",
        slice_distance_m=distance * VOXEL_M,
        slab_centre_m=centre_m,
        direction="y",
        field_of_view_m=lines * VOXEL_M,
        factor=factor,
        shift_fraction=shift,
    )


def sampled_lines(lines, factors, shift):
    """Mask over (first, second) line numbers: every R-th line, each moved by the shift past the one before."""
    mask = np.zeros(lines)
    for number, first in enumerate(range(0, lines[0], factors[0])):
        mask[first, (np.arange(0, lines[1], factors[1]) + shift * number) % lines[1]] = 1
    return mask


def spread(mask):
    """Places with signal in the point-spread function of a mask, as voxels from the point."""
    psf = np.abs(np.fft.ifft2(mask))
    return {tuple(place) for place in np.argwhere(psf > 1e-9 * psf.max()).tolist()}


@pytest.mark.parametrize(
    ("lines", "factors", "shift"),
    [
        ((12, 12), (2, 3), 0),
        ((12, 12), (2, 2), 1),
        ((12, 12), (2, 3), 1),
        ((18, 12), (2, 3), 2),
        ((12, 8), (3, 4), 1),
        ((8, 12), (1, 4), 1),
        ((16, 8), (2, 4), 3),
        ((12, 12), (3, 2), 1),
    ],
)
def test_aliases_of_shifted_lines_are_the_point_spread_of_the_mask(lines, factors, shift):
    assert lines[0] // factors[0] * shift % lines[1] % factors[1] == 0, "the mask must close on itself"
    grid = grid_of((lines[0], 1, lines[1]))
    (group,) = folding(shifted(factors, shift, lines), grid)
    found = {tuple(s) for s in (np.rint(group.shifts[:, [0, 2]]).astype(int) % lines).tolist()}
    np.testing.assert_allclose(group.shifts, np.rint(group.shifts), atol=1e-9)
    assert found == spread(sampled_lines(lines, factors, shift))
    assert len(found) == factors[0] * factors[1]


@pytest.mark.parametrize(("lines", "factors"), [((12, 10), (2, 5)), ((12, 9), (4, 3)), ((7, 8), (1, 2))])
def test_aliases_of_regular_lines_are_the_point_spread_of_the_mask(lines, factors):
    request = RegularAcceleration(
        name="r", factors=factors, directions=("y", "z"), field_of_view_m=tuple(n * VOXEL_M for n in lines)
    )
    (group,) = folding(request, grid_of((1, *lines)))
    found = {tuple(s) for s in (np.rint(group.shifts[:, 1:]).astype(int) % lines).tolist()}
    assert found == spread(sampled_lines(lines, factors, 0))


def aliases_by_fourier(point, *, count, lines, factor, shift):
    """Places (y, slice) to which a point of one slice spreads: phase each slice, sample the sum, read every slice back.

    Slice n is displaced by n * shift fields of view: line k of its data is turned by -2 pi k n shift.
    """
    k = np.fft.fftfreq(lines, d=1 / lines)
    y, n = point
    image = np.zeros(lines)
    image[y] = 1
    data = np.fft.fft(image) * np.exp(-2j * np.pi * k * n * shift)
    data[k % factor != 0] = 0
    found = set()
    for other in range(count):
        read = np.abs(np.fft.ifft(data * np.exp(2j * np.pi * k * other * shift)))
        found |= {(int(place), other) for place in np.flatnonzero(read > 1e-9)}
    return found


@pytest.mark.parametrize(
    ("count", "lines", "factor", "shift"),
    [(2, 12, 1, 0.0), (2, 12, 1, 0.5), (3, 12, 1, 1 / 3), (4, 12, 1, 0.25), (3, 12, 2, 1 / 4), (2, 18, 3, 1 / 6),
     (4, 12, 2, 1 / 6)],
)  # fmt: skip
def test_aliases_of_simultaneous_slices_are_those_of_the_phased_sum(count, lines, factor, shift):
    distance = 3
    grid = grid_of((1, lines, count * distance))
    groups = folding(slices(count, distance, lines=lines, factor=factor, shift=shift), grid)
    assert len(groups) == count
    for number, group in enumerate(groups):
        for z in np.unique(np.argwhere(group.where)[:, 2]):
            assert z // distance == number
        for y in (0, 5):
            expected = aliases_by_fourier((y, number), count=count, lines=lines, factor=factor, shift=shift)
            to = np.rint(group.shifts).astype(int)
            found = {
                ((y + dy) % lines, number + dz // distance)
                for _, dy, dz in to.tolist()
                if dz % distance == 0  # every shift is a whole number of slices
            }
            np.testing.assert_allclose(group.shifts[:, 2] % distance, 0, atol=1e-9)
            assert found == expected
            assert len(expected) == count * factor


def test_replicas_of_shifted_lines_by_hand():
    """R = 2 x 3, one step: FOV/2 along the first, and a sixth of it back for every third of the second."""
    vectors = replicas_of_shifted_lines_m(shifted((2, 3), 1, (24, 30)))
    np.testing.assert_allclose(vectors, [[0.12, 0.0], [-0.04, 0.1]], atol=1e-15)


def test_any_field_of_view_gives_whole_periods_on_every_sampled_line():
    """No Fourier grid needed: a replica r of a shifted pattern has k . r whole for every sampled k."""
    request = shifted((3, 4), 3, (23.7, 31.9))
    (group,) = folding(request, grid_of((20, 1, 28)))
    f_1, f_2 = request.field_of_view_m
    assert len(group.shifts) > 10
    for m in range(5):
        for n in range(5):
            k = np.array([3 * m / f_1, (4 * n + 3 * m) / f_2])
            turns = group.shifts[:, [0, 2]] * VOXEL_M @ k
            np.testing.assert_allclose(turns, np.rint(turns), atol=1e-9)


def test_lattice_shifts_miss_nothing_within_reach():
    generators = np.array([[3.3, 0.0, -1.2], [0.7, 0.0, 5.1]])
    found = {tuple(np.round(s, 9)) for s in lattice_shifts((14, 1, 11), generators=generators)}
    every = [i * generators[0] + j * generators[1] for i in range(-30, 31) for j in range(-30, 31)]
    expected = {tuple(np.round(s, 9)) for s in every if np.all(np.abs(s) < (14, 1, 11))}
    assert found == expected
    with pytest.raises(OutsideModelError, match="independent"):
        lattice_shifts((5, 5, 5), generators=np.array([[1.0, 2, 0], [2.0, 4, 0]]))


def smooth_maps(shape, elements=6):
    """Complex maps that differ everywhere."""
    at = np.stack(np.meshgrid(*(np.linspace(-1, 1, n) for n in shape), indexing="ij"), axis=-1)
    turn = 2 * np.pi * np.arange(elements) / elements
    places = 1.6 * np.stack([np.cos(turn), np.sin(turn), 0.8 * np.sin(2 * turn + 0.3)], axis=-1)
    r = at[..., None, :] - places
    values = np.exp(1j * (r @ np.array([0.7, -0.4, 0.9]))) / np.linalg.norm(r, axis=-1) ** 2
    return SampledMaps(values=values.reshape(-1, elements), row=np.arange(np.prod(shape), dtype=np.intp).reshape(shape))


def inverse_g_of(request, grid, maps, body):
    found = np.full(grid.shape, np.nan)
    for group in folding(request, grid):
        where = body & group.where
        found[where] = inverse_g_map(maps, body, np.argwhere(where), group.shifts)[1]
    return found


def test_a_shift_of_nothing_is_the_regular_pattern():
    shape = (12, 3, 10)
    grid, maps, body = grid_of(shape), smooth_maps(shape), np.ones(shape, dtype=bool)
    regular = RegularAcceleration(name="r", factors=(2.0, 2.0), directions=("x", "z"), field_of_view_m=(0.13, 0.11))
    one = inverse_g_of(regular, grid, maps, body)
    other = inverse_g_of(shifted((2, 2), 0, (13, 11)), grid, maps, body)
    moved = inverse_g_of(shifted((2, 2), 1, (13, 11)), grid, maps, body)
    np.testing.assert_allclose(other, one, rtol=1e-12)
    assert np.max(np.abs(moved / one - 1)) > 0.01


def test_unshifted_slices_are_an_undersampled_slice_direction():
    """N slices d apart fold like factor N over a field of view N d; a shift changes g, and more so never the count."""
    shape = (3, 10, 12)
    grid, maps, body = grid_of(shape), smooth_maps(shape), np.ones(shape, dtype=bool)
    body[:, :, 0] = False
    regular = RegularAcceleration(name="r", factors=(3.0,), directions=("z",), field_of_view_m=(0.12,))
    (everywhere,) = folding(regular, grid)
    flat, turned = slices(3, 4, lines=12), slices(3, 4, lines=12, shift=1 / 3)
    for group in folding(flat, grid):
        for voxel in np.argwhere(group.where):
            ours, theirs = (
                {tuple(p) for p in (voxel + s.shifts.astype(int)).tolist() if 0 <= p[2] < 12}
                for s in (group, everywhere)
            )
            assert ours == theirs
    one = inverse_g_of(regular, grid, maps, body)
    np.testing.assert_allclose(inverse_g_of(flat, grid, maps, body), one, rtol=1e-12)
    assert np.nanmax(np.abs(inverse_g_of(turned, grid, maps, body) / one - 1)) > 0.01
    assert flat.reduction == 1.0
    assert regular.reduction == 3.0


def test_what_lies_outside_the_slab_neither_folds_nor_is_imaged():
    shape = (1, 6, 12)
    grid, body = grid_of(shape), np.ones(shape, dtype=bool)
    request = slices(2, 3, lines=8, centre_m=-0.03)  # z from -60 to 0 mm: voxels 0 to 5
    imaged = imaged_voxels(request, grid)
    assert np.argwhere(imaged[0, 0]).ravel().tolist() == [0, 1, 2, 3, 4, 5]
    found = inverse_g_of(request, grid, smooth_maps(shape), body)
    np.testing.assert_array_equal(np.isfinite(found), imaged)
    for number, group in enumerate(folding(request, grid)):
        folded, _ = inverse_g_map(smooth_maps(shape), body, np.argwhere(group.where), group.shifts)
        assert set(folded) == {2}
        assert set(np.rint(group.shifts[:, 2]).tolist()) == ({0, 3} if number == 0 else {0, -3})


@pytest.mark.parametrize("c", [0.0, 0.2, 0.5, 0.9])
@pytest.mark.parametrize(
    "request_",
    [
        RegularAcceleration(name="r", factors=(2.0,), directions=("z",), field_of_view_m=(0.08,)),
        shifted((1, 2), 1, (8, 8), directions=("y", "z")),
        slices(2, 4, lines=8),
        slices(2, 4, lines=8, shift=0.5),
    ],
    ids=["regular", "shifted", "slices", "slices shifted"],
)
def test_two_voxels_that_fold_have_the_g_of_the_formula(request_, c):
    """Two elements that see one half as (1, c), the other as (c, 1): g = (1 + c^2) / (1 - c^2) [pruessmann1999]."""
    shape = (1, 8, 8)
    grid, body = grid_of(shape), np.ones(shape, dtype=bool)
    lower = np.broadcast_to(np.arange(8) < 4, shape)[..., None]
    values = np.where(lower, [1.0, c], [c, 1.0]).astype(complex).reshape(-1, 2)
    maps = SampledMaps(values=values, row=np.arange(64, dtype=np.intp).reshape(shape))
    g = (1 + c**2) / (1 - c**2)
    found = inverse_g_of(request_, grid, maps, body)
    folded = [inverse_g_map(maps, body, np.argwhere(f.where), f.shifts)[0] for f in folding(request_, grid)]
    both = np.concatenate(folded) == 2
    assert both.sum() >= 32
    alone = ~np.isclose(found, 1) if c else np.ones(shape, dtype=bool)
    np.testing.assert_allclose(found[alone], 1 / g, rtol=1e-12)
    assert alone.sum() == (both.sum() if c else 64)
    np.testing.assert_allclose(g_factor(np.array([[1, c], [c, 1]]), np.eye(2)), g, rtol=1e-12)
