"""The shell is complete, stands off, and its areas add up, for every kind of body."""

from functools import cache

import numpy as np
import pytest

from body_cases import gel
from loopwright.bodies import layered_ellipsoid, layered_elliptic_cylinder, layered_sphere, voxelise
from loopwright.fields.source_shell import _within, covered_part, source_shell
from loopwright.ground.errors import OutsideModelError
from wire_cases import equal_area_polygon

GAP_M, SPACING_M = 0.012, 0.02
MARGIN_M = 0.01
UPWARDS = np.array([[0.0, 0.0, 1.0]])
BALL = layered_sphere(0.08, tissue_names=("gel",))
EGG = layered_ellipsoid((0.07, 0.09, 0.06), tissue_names=("gel",))
COLUMN = layered_elliptic_cylinder((0.09, 0.07), 0.2, tissue_names=("gel",))


@cache
def placed(solid):
    return voxelise(solid, spacing_m=0.02, tissues=(gel(60, 0.6),), frequency_hz=123e6)


@cache
def shell_of(solid):
    return source_shell(placed(solid), stand_off_m=GAP_M, spacing_m=SPACING_M)


def column_area_m2():
    """Side and both ends of the column with its semi-axes and half height larger by the gap (Ramanujan's perimeter)."""
    a, b, height = 0.09 + GAP_M, 0.07 + GAP_M, 0.2 + 2 * GAP_M
    perimeter = np.pi * (3 * (a + b) - np.sqrt((3 * a + b) * (a + 3 * b)))
    return perimeter * height + 2 * np.pi * a * b


def parallel_area_m2(semi_axes_m, gap_m):
    """Area of the surface parallel to an ellipsoid, by quadrature of |dr/du x dr/dv| on the moved surface."""
    a, b, c = semi_axes_m
    u, v = np.meshgrid((np.arange(400) + 0.5) / 400 * np.pi, (np.arange(400) + 0.5) / 400 * 2 * np.pi, indexing="ij")

    def moved(u, v):
        r = np.stack([a * np.sin(u) * np.cos(v), b * np.sin(u) * np.sin(v), c * np.cos(u)], axis=-1)
        n = r / np.array(semi_axes_m) ** 2
        return r + gap_m * n / np.linalg.norm(n, axis=-1, keepdims=True)

    d = 1e-5
    along_u = (moved(u + d, v) - moved(u - d, v)) / (2 * d)
    along_v = (moved(u, v + d) - moved(u, v - d)) / (2 * d)
    return np.linalg.norm(np.cross(along_u, along_v), axis=-1).sum() * np.pi / 400 * 2 * np.pi / 400


@pytest.mark.parametrize(
    ("solid", "area_m2"),
    [
        (BALL, 4 * np.pi * (0.08 + GAP_M) ** 2),
        (EGG, parallel_area_m2((0.07, 0.09, 0.06), GAP_M)),
        (COLUMN, column_area_m2()),
    ],
)
def test_the_surface_is_complete(solid, area_m2):
    """The areas are counted in cells; 3 % is their step. No direction from the centre is without sources."""
    shell = shell_of(solid)
    assert shell.areas_m2.sum() == pytest.approx(area_m2, rel=0.03)
    np.testing.assert_allclose(solid.depth_m(shell.positions_m), -GAP_M, atol=1e-4)
    towards = shell.positions_m / np.linalg.norm(shell.positions_m, axis=1)[:, None]
    directions = np.random.default_rng(1).normal(size=(200, 3))
    directions /= np.linalg.norm(directions, axis=1)[:, None]
    widest = np.arccos(np.clip(directions @ towards.T, -1, 1)).min(axis=1).max()
    assert widest * 0.07 < 1.2 * SPACING_M


def test_sites_keep_their_spacing():
    shell = shell_of(EGG)
    apart = np.linalg.norm(shell.positions_m[:, None] - shell.positions_m[None], axis=-1) + np.eye(
        len(shell.positions_m)
    )
    assert apart.min() > 0.9 * SPACING_M
    assert shell.areas_m2.max() < 4 * SPACING_M**2


def test_the_ends_of_a_column_are_closed():
    shell = shell_of(COLUMN)
    ends = np.abs(shell.positions_m[:, 2]) > 0.1 + 0.9 * GAP_M
    middle = np.linalg.norm(shell.positions_m[ends, :2], axis=1) < 0.04
    assert np.sum(middle & (shell.positions_m[ends, 2] > 0)) >= 3
    assert np.sum(middle & (shell.positions_m[ends, 2] < 0)) >= 3


def test_the_covered_part_lies_at_the_elements():
    part = cap_under(0.012)
    assert np.all(part.positions_m[:, 2] > 0)
    # the skin within the element's radius and the margin, seen from the middle of the ball
    sine = (0.035 + MARGIN_M) / 0.08
    cap = 2 * np.pi * 0.092**2 * (1 - np.sqrt(1 - sine**2))
    assert part.areas_m2.sum() == pytest.approx(cap, rel=0.25)


def test_an_element_farther_out_covers_as_much():
    """At 12 and at 40 mm from the skin: what lies under the element, not what is near to its conductor."""
    near, far = cap_under(0.012), cap_under(0.04)
    np.testing.assert_array_equal(near.positions_m, far.positions_m)
    middle = np.linalg.norm(far.positions_m[:, :2], axis=1)
    assert middle.min() < SPACING_M


def cap_under(height_m):
    """Part of the ball's shell under one element on the z axis."""
    element = equal_area_polygon(0.035, 24, centre_m=(0, 0, 0.08 + height_m))
    return covered_part(placed(BALL), shell_of(BALL), [element], normals=UPWARDS, margin_m=MARGIN_M)


def test_every_element_covers_its_own_part():
    """Two elements at different heights together cover what each covers, and the far side counts for neither."""
    loops = [equal_area_polygon(0.03, 24, centre_m=(x, 0, 0.1)) for x in (-0.04, 0.04)]
    loops[1] = loops[1] + np.array([0, 0, 0.03])
    body, shell = placed(EGG), shell_of(EGG)
    single = [covered_part(body, shell, [loop], normals=UPWARDS, margin_m=MARGIN_M).positions_m for loop in loops]
    both = covered_part(body, shell, loops, normals=np.repeat(UPWARDS, 2, axis=0), margin_m=MARGIN_M).positions_m
    assert {tuple(p) for p in both} == {tuple(p) for part in single for p in part}
    assert np.all(both[:, 2] > 0)
    assert single[0][:, 0].mean() < -0.02 < 0.02 < single[1][:, 0].mean()


def test_a_notch_in_an_outline_is_not_covered():
    """An outline like a horseshoe, open towards +x."""
    horseshoe = np.array(
        [(0.04, 0.04), (-0.04, 0.04), (-0.04, -0.04), (0.04, -0.04), (0.04, -0.02), (-0.02, -0.02), (-0.02, 0.02),
         (0.04, 0.02)]
    )  # fmt: skip
    points = np.array([(0.03, 0.03), (-0.03, 0.0), (0.02, 0.0), (0.0, -0.03), (0.05, 0.03), (0.041, 0.03)])
    np.testing.assert_array_equal(_within(points, horseshoe, 0.002), [True, True, False, True, False, True])


def test_what_cannot_be_is_refused():
    with pytest.raises(OutsideModelError, match="above zero"):
        source_shell(placed(BALL), stand_off_m=0.0, spacing_m=0.01)
    beside = equal_area_polygon(0.02, 12, centre_m=(0.2, 0, 0.1))
    with pytest.raises(OutsideModelError, match="element 1 of the array covers no part"):
        covered_part(placed(BALL), shell_of(BALL), [beside], normals=UPWARDS, margin_m=MARGIN_M)
