"""The surface that a carrier follows on a body of triangles: smooth, and bridging hollows that it cannot enter.

A ball is rolled over the body; what it cannot reach belongs to the carrier's inside (a closing, in the words of image
processing). Outside that, the distance from the carrier's surface is a field without creases, whose level surfaces are
the carrier at every stand-off less than the ball's radius: no offset folds at a neck, an armpit or an ear.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter, spline_filter, zoom

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.surface import Surface

Real = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Radius of the ball that is rolled over the body: a hollow narrower than it is bridged. [m]
BALL_M = 0.035
#: The ball is larger than the furthest stand-off by this, so that the field is smooth beyond it. [m]
_BEYOND_M = 0.020
#: Distance of nodes over the least half-width of the body, and its limits. [m]
_SHARE, _FINEST_M, _COARSEST_M = 1 / 20, 2e-3, 5e-3
#: Width of the smoothing, in distances of nodes; so many of these beyond the band count.
_SIGMA, _TAILS = 1.25, 5
#: Depth under the skin to which the field is exact: chords between neighbours' centres dip below it. [m]
_DEPTH_M = 0.008
#: Times that long edges are halved, at most.
_MOST_HALVINGS = 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Carrier:
    """Distance from the surface that a carrier follows, as cubic B-spline coefficients on a grid.

    ``coefficients`` is (nx, ny, nz) [m], positive outside; ``origin_m`` (3,) is the first node; ``ball_m`` the radius of
    the ball that was rolled; levels from zero to ``reach_m`` are carriers.
    """

    coefficients: Real
    origin_m: Real
    spacing_m: float
    ball_m: float
    reach_m: float


def carrier_about(surface: Surface, *, box_m: tuple[Real, Real], reach_m: float) -> Carrier:
    """The carrier's surface on a body inside a box.

    Parameters
    ----------
    surface : Surface
        The whole body, closed: what lies outside the box shapes the carrier at its border.
    box_m : tuple of two ndarrays, each (3,)
        Lower and upper corner of the box in which carriers are wanted. [m]
    reach_m : float
        Furthest stand-off of a carrier. [m]

    Returns
    -------
    Carrier

    Raises
    ------
    OutsideModelError
        If no part of the body lies in the box.

    Notes
    -----
    Distances are exact to the triangles, whose edges are first bent as the normals at their ends tell. Smoothing
    with a Gaussian of 1.25 nodes takes off what is left of the facets; its own displacement is taken back to fourth
    order. Sharp tips, such as that of an ear, lose up to about a millimetre.
    """
    spacing = _spacing_m(box_m)
    ball = max(BALL_M, reach_m + _BEYOND_M)
    margin = reach_m + _TAILS * spacing
    fine = _axes(box_m[0] - margin, box_m[1] + margin, spacing)
    coarse_step = 2 * spacing
    outwards = int(np.ceil((ball + 2 * coarse_step) / coarse_step)) * coarse_step
    wide = [np.arange(axis[0] - outwards, axis[-1] + outwards + coarse_step, coarse_step) for axis in fine]
    triangles = finer(surface, longest_m=1.25 * spacing)
    rolled = _rolled(triangles, wide, ball)
    inner = round(outwards / coarse_step)
    coarse = [axis[inner : inner + len(own) // 2 + 1] for axis, own in zip(wide, fine, strict=True)]
    about = _points(coarse)
    outside = _signed_m(about, triangles) > ball
    rough = (ball + np.where(outside, 1, -1) * _distance_m(about, rolled)).reshape([len(a) for a in coarse])
    field = _upsampled(rough, [len(axis) for axis in fine])
    near = ((field > -_DEPTH_M - _TAILS * spacing) & (field < reach_m + _TAILS * spacing)).ravel()
    exact = field.ravel()
    points = _points(fine)[near]
    exact[near] = ball + np.where(exact[near] > ball, 1, -1) * _distance_m(points, rolled)
    return Carrier(
        coefficients=np.ascontiguousarray(spline_filter(_smoothed(exact.reshape(field.shape)), order=3, mode="mirror")),
        origin_m=np.array([axis[0] for axis in fine]),
        spacing_m=spacing,
        ball_m=ball,
        reach_m=reach_m,
    )


def finer(surface: Surface, *, longest_m: float) -> Surface:
    """The surface with its triangles quartered until edges are mostly shorter than a length [m], twice at most.

    A new vertex lies on the cubic through the ends of its edge that leaves them square to their normals: on a sphere it
    leaves the sphere by the fourth power of the edge only.
    """
    for _ in range(_MOST_HALVINGS):
        ends = surface.vertices_m[surface.triangles]
        edges = np.linalg.norm(np.roll(ends, -1, axis=1) - ends, axis=2)
        if np.quantile(edges, 0.9) <= longest_m:
            break
        surface = _quartered(surface, surface.vertex_normals)
    return surface


def _quartered(surface: Surface, normals: Real) -> Surface:
    """Every triangle in four, edges bent as the normals (vertices, 3) at their ends tell."""
    t = surface.triangles
    edges, place = np.unique(
        np.sort(np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]]), axis=1), axis=0, return_inverse=True
    )
    a, b = (surface.vertices_m[edges[:, end]] for end in (0, 1))
    rise = [np.sum((b - a) * normals[edges[:, end]], axis=1, keepdims=True) * normals[edges[:, end]] for end in (0, 1)]
    middles = (a + b) / 2 + (rise[1] - rise[0]) / 8
    ab, bc, ca = (place.reshape(3, -1) + len(surface.vertices_m)).astype(np.int64)
    i, j, k = t.T
    quarters = [(i, ab, ca), (ab, j, bc), (ca, bc, k), (ab, bc, ca)]
    return Surface(
        vertices_m=np.concatenate([surface.vertices_m, middles]),
        triangles=np.concatenate([np.stack(corner, axis=1) for corner in quarters]),
    )


def _spacing_m(box_m: tuple[Real, Real]) -> float:
    """Distance of nodes that suits the size of the body. [m]"""
    half = float(np.sort(box_m[1] - box_m[0])[1]) / 2
    return min(max(half * _SHARE, _FINEST_M), _COARSEST_M)


def _axes(lower_m: Real, upper_m: Real, spacing_m: float) -> list[Real]:
    """Nodes along each axis, an odd number, so that every other one is a coarse node. [m]"""
    counts = 2 * np.ceil((upper_m - lower_m) / (2 * spacing_m)).astype(int) + 1
    return [low + spacing_m * np.arange(count) for low, count in zip(lower_m, counts, strict=True)]


def _points(axes: Sequence[Real]) -> Real:
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)


def _rolled(surface: Surface, axes: Sequence[Real], ball_m: float) -> Surface:
    """The surface of all middles of a ball [m] that touches the body from outside, triangles with bent edges."""
    import igl  # noqa: PLC0415 - only bodies of triangles need it

    away = _signed_m(_points(axes), surface)
    shape = [len(axis) for axis in axes]
    corners = _points(axes).reshape(*shape, 3).transpose(2, 1, 0, 3).reshape(-1, 3)
    ordered = away.reshape(shape).transpose(2, 1, 0).ravel()
    vertices, triangles, _ = igl.marching_cubes(ordered, corners, *shape, ball_m)
    if len(triangles) == 0:
        raise OutsideModelError("no part of the body lies where the carrier is to be laid.")
    for _ in range(2):
        _, _, touched, _ = _nearest(vertices, surface)
        normals = vertices - touched
        normals /= np.linalg.norm(normals, axis=1, keepdims=True)
        vertices = touched + ball_m * normals
    return _quartered(Surface(vertices_m=vertices, triangles=triangles.astype(np.int64)), normals)


def _nearest(points_m: Real, surface: Surface) -> tuple[Real, Integers, Real, Real]:
    import igl  # noqa: PLC0415 - as above

    kind = igl.SIGNED_DISTANCE_TYPE_PSEUDONORMAL
    found: tuple[Real, Integers, Real, Real] = igl.signed_distance(
        points_m, surface.vertices_m, surface.triangles, sign_type=kind
    )
    return found


def _signed_m(points_m: Real, surface: Surface) -> Real:
    """Distance of points (n, 3) [m] from the body, negative inside; (n,). [m]"""
    return _nearest(points_m, surface)[0]


def _distance_m(points_m: Real, surface: Surface) -> Real:
    """Distance of points (n, 3) [m] from a surface; (n,). [m]"""
    import igl  # noqa: PLC0415 - as above

    square, _, _ = igl.point_mesh_squared_distance(points_m, surface.vertices_m, surface.triangles)
    return np.asarray(np.sqrt(square))


def _upsampled(rough: Real, shape: Sequence[int]) -> Real:
    """Values at every other node brought to all nodes, by straight lines."""
    factors = [count / len_ for count, len_ in zip(shape, rough.shape, strict=True)]
    return np.ascontiguousarray(zoom(rough, factors, order=1, mode="nearest", grid_mode=False))


def _smoothed(field: Real) -> Real:
    """Smoothed by a Gaussian whose displacement of level surfaces is taken back: 2 G f - G G f."""
    once = gaussian_filter(field, _SIGMA, mode="nearest")
    return np.asarray(2 * once - gaussian_filter(once, _SIGMA, mode="nearest"))
