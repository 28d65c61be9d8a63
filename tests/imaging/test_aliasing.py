import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loopwright.ground.errors import OutsideModelError
from loopwright.imaging.aliasing import SampledMaps, aliased_sets, aliasing_shifts, sample_maps

CASES = settings(max_examples=60, derandomize=True, deadline=None)


def whole_grid(shape):
    return np.arange(np.prod(shape), dtype=np.intp).reshape(shape)


def linear_maps(shape, *, known=None):
    """Maps a + b . index, which trilinear interpolation meets exactly."""
    index = np.stack(np.meshgrid(*(np.arange(n) for n in shape), indexing="ij"), axis=-1)
    slopes = np.array([[1.0, -0.5j, 0.2], [0.3j, 0.1, -1.0]])
    values = index @ slopes.T + np.array([2.0, 1j])
    kept = np.ones(shape, dtype=bool) if known is None else known
    row = np.full(shape, -1, dtype=np.intp)
    row[kept] = np.arange(kept.sum())
    return SampledMaps(values=values[kept], row=row), lambda at: at @ slopes.T + np.array([2.0, 1j])


def test_shifts_of_one_direction_start_at_zero_and_reach_across_the_grid():
    shifts = aliasing_shifts((10, 4, 5), replica_spacing=((0, 4.0),))
    assert shifts[0].tolist() == [0, 0, 0]
    assert sorted(shifts[:, 0].tolist()) == [-8, -4, 0, 4, 8]
    assert not shifts[:, 1:].any()


def test_shifts_of_two_directions_are_all_pairs():
    shifts = aliasing_shifts((10, 4, 9), replica_spacing=((0, 5.0), (2, 4.0)))
    assert len({tuple(s) for s in shifts.tolist()}) == len(shifts) == 3 * 5
    assert shifts[0].tolist() == [0, 0, 0]


@pytest.mark.parametrize("spacing", [((0, 4.0), (0, 5.0)), ((1, 0.0),), ((2, -3.0),)])
def test_senseless_replicas_are_refused(spacing):
    with pytest.raises(OutsideModelError, match="distinct axes"):
        aliasing_shifts((10, 10, 10), replica_spacing=spacing)


def test_sets_of_a_rod_by_hand():
    # Ten voxels in a row, replicas every four: voxel 1 meets 5 and 9, voxel 2 meets 6, voxel 3 meets 7.
    mask = np.ones((10, 1, 1), dtype=bool)
    targets = np.array([[1, 0, 0], [2, 0, 0], [3, 0, 0]])
    shifts = aliasing_shifts(mask.shape, replica_spacing=((0, 4.0),))
    pairs, triples = aliased_sets(mask, targets, shifts)
    assert pairs.rows.tolist() == [1, 2]
    assert triples.rows.tolist() == [0]
    assert sorted(shifts[triples.shift[0], 0].tolist()) == [0, 4, 8]
    assert shifts[pairs.shift[:, 1], 0].tolist() == [4, 4]
    assert not pairs.shift[:, 0].any()


def test_air_inside_the_body_does_not_fold():
    mask = np.ones((10, 1, 1), dtype=bool)
    mask[5] = False
    (sets,) = aliased_sets(mask, np.array([[1, 0, 0]]), aliasing_shifts(mask.shape, replica_spacing=((0, 4.0),)))
    assert sets.shift.shape == (1, 2)  # 1 and 9: the voxel at 5 is air


@CASES
@given(
    distance=st.floats(2.2, 30),
    width=st.integers(3, 24),
    target=st.integers(0, 23),
)
def test_number_of_positions_is_counted_right(distance, width, target):
    target = min(target, width - 1)
    mask = np.zeros((26, 1, 1), dtype=bool)
    mask[1 : width + 1] = True
    shifts = aliasing_shifts(mask.shape, replica_spacing=((0, distance),))
    (found,) = aliased_sets(mask, np.array([[target + 1, 0, 0]]), shifts)
    # Edges of the body stand half a voxel outside its outermost centres; count with a margin for ties.
    at = target + np.arange(-40, 41) * distance
    least, most = (np.sum((at > -0.5 + e) & (at < width - 0.5 - e)) for e in (1e-6, -1e-6))
    assert least <= found.shift.shape[1] <= most


@CASES
@given(step=st.tuples(*[st.floats(-3, 3)] * 3), seed=st.integers(0, 1000))
def test_linear_maps_are_met_exactly(step, seed):
    shape = (12, 11, 13)
    maps, exact = linear_maps(shape)
    targets = np.random.default_rng(seed).integers(4, 7, size=(5, 3))
    shifts = np.array([[0, 0, 0], step])
    found = sample_maps(maps, targets, np.tile([0, 1], (5, 1)), shifts)
    np.testing.assert_allclose(found[:, 0], exact(targets), atol=1e-12)
    np.testing.assert_allclose(found[:, 1], exact(targets + np.array(step)), atol=1e-7)


def test_at_the_rim_the_map_goes_on_as_its_nearest_voxel():
    shape = (6, 1, 1)
    known = np.zeros(shape, dtype=bool)
    known[2:5] = True
    maps, exact = linear_maps(shape, known=known)
    targets = np.array([[4, 0, 0], [2, 0, 0]])
    found = sample_maps(maps, targets, np.array([[1], [2]]), np.array([[0, 0, 0], [0.4, 0, 0], [-0.4, 0, 0]]))
    np.testing.assert_allclose(found[:, 0], exact(targets), atol=1e-12)


def test_where_nothing_is_known_there_is_nothing():
    maps, _ = linear_maps((6, 1, 1))
    far = sample_maps(maps, np.array([[0, 0, 0]]), np.array([[0]]), np.array([[20.0, 0, 0]]))
    assert not far.any()
