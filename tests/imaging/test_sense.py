"""Maps of 1/g against the formula on sets written out by hand."""

import numpy as np
import pytest

from loopwright.imaging.aliasing import SampledMaps, aliasing_shifts
from loopwright.imaging.sense import g_factor, inverse_g_map, inverse_g_of_gram

SHAPE = (20, 6, 18)


def dipole_maps(positions_m, points_m):
    """Reception fields of magnetic dipoles turned towards the origin: smooth, complex, unlike each other."""
    maps = []
    for place in positions_m:
        moment = -place / np.linalg.norm(place)
        r = points_m - place
        d = np.linalg.norm(r, axis=-1, keepdims=True)
        b = (3 * (r @ moment)[..., None] * r / d**2 - moment) / d**3
        maps.append(b[..., 0] + 1j * b[..., 1])
    return np.stack(maps)


def eight(radius=16.0):
    angle = np.arange(8) * np.pi / 4
    return [np.array([radius * np.cos(a), 8 * np.sin(a), 12 * np.sin(2 * a + 0.4)]) for a in angle]


def centred(index):
    return index - (np.array(SHAPE) - 1) / 2


def grid_maps():
    index = np.stack(np.meshgrid(*(np.arange(n) for n in SHAPE), indexing="ij"), axis=-1)
    s = dipole_maps(eight(), centred(index.astype(float)))
    values = np.ascontiguousarray(s.reshape(8, -1).T)
    return SampledMaps(values=values, row=np.arange(len(values), dtype=np.intp).reshape(SHAPE)), index


@pytest.mark.parametrize("spacing", [((0, 7.0),), ((0, 10.0), (2, 6.0)), ((2, 5.0), (1, 3.0))])
def test_whole_voxel_shifts_agree_with_the_formula_voxel_by_voxel(spacing):
    maps, index = grid_maps()
    mask = np.ones(SHAPE, dtype=bool)
    targets = index[3::5, 1::2, 2::4].reshape(-1, 3)
    shifts = aliasing_shifts(SHAPE, replica_spacing=spacing)
    folded, found = inverse_g_map(maps, mask, targets, shifts)
    for target, count, inverse_g in zip(targets, folded, found, strict=True):
        others = target + shifts
        inside = others[np.all((others >= 0) & (others < SHAPE), axis=1)]
        s = dipole_maps(eight(), centred(inside))
        assert count == len(inside)
        if count > 8:
            assert inverse_g == 0
        else:
            assert inverse_g == pytest.approx(1 / g_factor(s, np.eye(8))[0], rel=1e-9)


def test_fractional_shifts_meet_the_formula_to_the_interpolation_error():
    maps, index = grid_maps()
    mask = np.zeros(SHAPE, dtype=bool)
    mask[2:18, 1:5, 2:16] = True  # the maps are known beyond the body, so no rim is met
    targets = index[mask][::7]
    spacing = 8.4
    shifts = aliasing_shifts(SHAPE, replica_spacing=((0, spacing),))
    folded, found = inverse_g_map(maps, mask, targets, shifts)
    exact = []
    for target, count in zip(targets, folded, strict=True):
        at = target + shifts
        near = np.floor(at + 0.5 + 1e-9).astype(int)
        inside = at[np.all((near >= 0) & (near < SHAPE), axis=1) & _lookup(mask, near)]
        assert len(inside) == count
        exact.append(1 / g_factor(dipole_maps(eight(), centred(inside)), np.eye(8))[0])
    assert np.max(np.abs(found - exact)) < 0.01


def _lookup(mask, index):
    safe = np.clip(index, 0, np.array(mask.shape) - 1)
    return mask[tuple(safe.T)]


def test_nothing_folds_within_the_field_of_view():
    maps, index = grid_maps()
    folded, found = inverse_g_map(
        maps,
        np.ones(SHAPE, dtype=bool),
        index.reshape(-1, 3),
        aliasing_shifts(SHAPE, replica_spacing=((0, 20.0), (2, 18.0))),
    )
    assert np.all(folded == 1)
    assert np.all(found == 1)


def test_a_body_larger_than_the_field_of_view_folds_without_acceleration():
    maps, index = grid_maps()
    folded, found = inverse_g_map(
        maps, np.ones(SHAPE, dtype=bool), index.reshape(-1, 3), aliasing_shifts(SHAPE, replica_spacing=((0, 16.0),))
    )
    assert set(folded) == {1, 2}
    assert np.all(found[folded == 2] < 1)


def test_more_positions_than_elements_cannot_be_unfolded():
    maps, index = grid_maps()
    two = SampledMaps(values=maps.values[:, :2], row=maps.row)
    folded, found = inverse_g_map(
        two, np.ones(SHAPE, dtype=bool), index.reshape(-1, 3), aliasing_shifts(SHAPE, replica_spacing=((0, 6.0),))
    )
    assert np.all(folded >= 3)
    assert np.all(found == 0)


def test_equal_sensitivities_cannot_be_told_apart():
    gram = np.array([[1, 1, 0], [1, 1, 0], [0, 0, 2]], dtype=complex)
    assert inverse_g_of_gram(gram) == 0
    assert inverse_g_of_gram(np.diag([1.0, 0.0])) == 0


def test_g_does_not_depend_on_the_units_of_the_map_at_each_position():
    rng = np.random.default_rng(4)
    s = rng.normal(size=(5, 3)) + 1j * rng.normal(size=(5, 3))
    scaled = s * np.array([1e-9, 3e4, 2j])
    np.testing.assert_allclose(g_factor(scaled, np.eye(5)), g_factor(s, np.eye(5)), rtol=1e-11)


def test_another_channel_never_raises_g():
    rng = np.random.default_rng(6)
    s = rng.normal(size=(8, 4)) + 1j * rng.normal(size=(8, 4))
    # Accelerated variance [G^-1]_ii falls with every channel; g itself compares with a full image that improves too.
    variance = [np.linalg.inv(s[:n].conj().T @ s[:n])[0, 0].real for n in range(4, 9)]
    ours = [(g_factor(s[:n], np.eye(n))[0] ** 2) / np.sum(np.abs(s[:n, 0]) ** 2) for n in range(4, 9)]
    np.testing.assert_allclose(ours, variance, rtol=1e-10)
    assert np.all(np.diff(ours) < 0)
