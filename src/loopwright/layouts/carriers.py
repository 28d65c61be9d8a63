"""The surface that a carrier follows on a body of triangles: smooth, and bridging hollows that it cannot enter.

A ball is rolled over the body; what it cannot reach belongs to the carrier's inside (a closing, in the words of image
processing). Outside that, the distance from the carrier's surface is a field without creases, whose level surfaces are
the carrier at every stand-off less than the ball's radius: no offset folds at a neck, an armpit or an ear.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import correlate1d, gaussian_filter, spline_filter, zoom
from scipy.spatial import cKDTree

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.surface import Surface

Real = NDArray[np.float64]

#: Radius of the ball that is rolled over the body: a hollow narrower than it is bridged. [m]
BALL_M = 0.035
#: The ball is larger than the furthest stand-off by this, so that the field is smooth beyond it. [m]
_BEYOND_M = 0.010
#: Distance of nodes over the least half-width of the body, and its limits. [m]
_SHARE, _FINEST_M, _COARSEST_M = 1 / 17, 2.5e-3, 5e-3
#: Distance of nodes over the ball's radius where its middles are looked for.
_ROLL = 0.2
#: Width of the smoothing, in distances of nodes; so many of these around the levels are worked out exactly, and so many
#: lie beyond them.
_SIGMA, _TAILS, _RIM = 2.0, 3, 8
#: Depth under the skin to which the field is exact, beyond what smoothing needs. [m]
_DEPTH_M = 0.002
#: Share by which a rough distance may be out.
_ABOUT = 0.03
#: A point is inside where the body winds around it more than half.
_WITHIN = 0.5
#: Value of the cubic B-spline at its three nodes.
_SPLINE = np.array([1.0, 4.0, 1.0]) / 6
#: Times that long edges are halved, at most.
_MOST_HALVINGS = 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Carrier:
    """Distance from the surface that a carrier follows, as cubic B-spline coefficients on a grid.

    ``coefficients`` is (nx, ny, nz) [m], positive outside; ``origin_m`` (3,) is the first node; ``ball_m`` the
    radius of the ball that was rolled; levels from zero to ``reach_m`` are carriers.
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
    with a Gaussian of two nodes takes off what is left of the facets; its own displacement is taken back to fourth
    order. Where the ball touches the body at several places at once, the bridge is out by up to a tenth of its radius:
    its middles are looked for on a grid, whose triangles cut a sharp edge or tip of their surface.
    """
    spacing = _spacing_m(box_m)
    ball = max(BALL_M, reach_m + _BEYOND_M)
    margin = reach_m + _RIM * spacing
    fine = _axes(box_m[0] - margin, box_m[1] + margin, spacing)
    step = _ROLL * ball
    wide = [np.arange(axis[0] - ball - 2 * step, axis[-1] + ball + 3 * step, step) for axis in fine]
    skin = _finer(_near(surface, wide, 2 * ball), longest_m=1.25 * spacing)
    rolled = _rolled(skin, surface, wide, ball)
    coarse = [axis[::2] for axis in fine]
    about = _points(coarse)
    outside = _about_signed_m(about, skin, surface) > ball
    rough = (ball + np.where(outside, 1, -1) * _closest(about, rolled)[0]).reshape([len(a) for a in coarse])
    field = _upsampled(rough, [len(axis) for axis in fine])
    near = ((field > -_DEPTH_M - _TAILS * spacing) & (field < reach_m + _TAILS * spacing)).ravel()
    exact = field.ravel()
    points = _points(fine)[near]
    exact[near] = ball + np.where(exact[near] > ball, 1, -1) * _closest(points, rolled)[0]
    return Carrier(
        coefficients=np.ascontiguousarray(spline_filter(_smoothed(exact.reshape(field.shape)), order=3, mode="mirror")),
        origin_m=np.array([axis[0] for axis in fine]),
        spacing_m=spacing,
        ball_m=ball,
        reach_m=reach_m,
    )


def level_surface(carrier: Carrier, *, level_m: float) -> Surface:
    """Triangles of the carrier at a stand-off [m], each about as large as the distance of nodes."""
    values = carrier.coefficients
    for axis in range(3):
        values = correlate1d(values, _SPLINE, axis=axis, mode="mirror")
    axes = [low + carrier.spacing_m * np.arange(n) for low, n in zip(carrier.origin_m, values.shape, strict=True)]
    return _contour(values, axes, level_m)


class _Skin(NamedTuple):
    """Triangles of a body and the outward normals (vertices, 3) at their corners."""

    surface: Surface
    normals: Real


def _near(surface: Surface, axes: Sequence[Real], margin_m: float) -> _Skin:
    """The triangles that reach into a box about a grid, wider by a margin [m]."""
    lower, upper = (np.array([axis[end] for axis in axes]) for end in (0, -1))
    inside = np.all((surface.vertices_m > lower - margin_m) & (surface.vertices_m < upper + margin_m), axis=1)
    kept = surface.triangles[inside[surface.triangles].any(axis=1)]
    return _Skin(Surface(vertices_m=surface.vertices_m, triangles=kept), surface.vertex_normals)


def _finer(skin: _Skin, *, longest_m: float) -> _Skin:
    """Triangles with an edge longer than a length [m] in four, twice at most.

    A new vertex lies on the cubic through the ends of its edge that leaves them square to their normals: on a sphere it
    leaves the sphere by the fourth power of the edge only. Between triangles in four and whole ones a gap stays open,
    no wider than the sag of the longest edge that is left.
    """
    for _ in range(_MOST_HALVINGS):
        ends = skin.surface.vertices_m[skin.surface.triangles]
        long = np.linalg.norm(np.roll(ends, -1, axis=1) - ends, axis=2).max(axis=1) > longest_m
        if not long.any():
            break
        whole = skin.surface.triangles[~long]
        quartered = _quartered(Surface(vertices_m=skin.surface.vertices_m, triangles=skin.surface.triangles[long]))
        surface = quartered.bent(skin.normals)
        normals = quartered.normals(skin.normals)
        skin = _Skin(
            Surface(vertices_m=surface.vertices_m, triangles=np.concatenate([whole, surface.triangles])), normals
        )
    return skin


class _Quartered(NamedTuple):
    """Every triangle in four: the middles of its edges, given by their ends (edges, 2), come after the vertices."""

    vertices_m: Real
    edges: NDArray[np.int64]
    triangles: NDArray[np.int64]

    def flat(self) -> Surface:
        """With straight edges."""
        a, b = (self.vertices_m[self.edges[:, end]] for end in (0, 1))
        return Surface(vertices_m=np.concatenate([self.vertices_m, (a + b) / 2]), triangles=self.triangles)

    def bent(self, normals: Real) -> Surface:
        """With edges bent as the normals (vertices, 3) at their ends tell."""
        (a, b), (n, m) = ((values[self.edges[:, 0]], values[self.edges[:, 1]]) for values in (self.vertices_m, normals))
        rise = np.sum((b - a) * m, axis=1, keepdims=True) * m - np.sum((b - a) * n, axis=1, keepdims=True) * n
        return Surface(vertices_m=np.concatenate([self.vertices_m, (a + b) / 2 + rise / 8]), triangles=self.triangles)

    def normals(self, normals: Real) -> Real:
        """Normals at all vertices from those (vertices, 3) before."""
        middle = normals[self.edges].sum(axis=1)
        length = np.linalg.norm(middle, axis=1, keepdims=True)
        return np.concatenate([normals, middle / np.where(length > 0, length, 1)])


def _quartered(surface: Surface) -> _Quartered:
    t, count = surface.triangles, len(surface.vertices_m)
    ends = np.sort(np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]]), axis=1)
    keys, place = np.unique(ends[:, 0] * count + ends[:, 1], return_inverse=True)
    ab, bc, ca = place.reshape(3, -1) + count
    i, j, k = t.T
    quarters = [(i, ab, ca), (ab, j, bc), (ca, bc, k), (ab, bc, ca)]
    return _Quartered(
        vertices_m=surface.vertices_m,
        edges=np.stack(np.divmod(keys, count), axis=1),
        triangles=np.concatenate([np.stack(corner, axis=1) for corner in quarters]).astype(np.int64),
    )


def _spacing_m(box_m: tuple[Real, Real]) -> float:
    """Distance of nodes that suits the size of the body. [m]"""
    half = float(np.min(box_m[1] - box_m[0])) / 2
    return min(max(half * _SHARE, _FINEST_M), _COARSEST_M)


def _axes(lower_m: Real, upper_m: Real, spacing_m: float) -> list[Real]:
    """Nodes along each axis, an odd number, so that every other one is a coarse node. [m]"""
    counts = 2 * np.ceil((upper_m - lower_m) / (2 * spacing_m)).astype(int) + 1
    return [low + spacing_m * np.arange(count) for low, count in zip(lower_m, counts, strict=True)]


def _points(axes: Sequence[Real]) -> Real:
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)


def _rolled(skin: _Skin, body: Surface, axes: Sequence[Real], ball_m: float) -> Surface:
    """Triangles of the surface of all middles of a ball [m] that touches the body from outside."""
    away = _about_signed_m(_points(axes), skin, body).reshape([len(axis) for axis in axes])
    found = _contour(away, axes, ball_m)
    if len(found.triangles) == 0:
        raise OutsideModelError("no part of the body lies where the carrier is to be laid.")
    for _ in range(2):
        found = _held_off(found, skin.surface, ball_m)
    return _held_off(_quartered(found).flat(), skin.surface, ball_m)


def _held_off(rolled: Surface, surface: Surface, ball_m: float) -> Surface:
    """Vertices moved to their distance [m] from the closest point of the body."""
    _, touched = _closest(rolled.vertices_m, surface)
    away = rolled.vertices_m - touched
    return rolled.at(touched + ball_m * away / np.linalg.norm(away, axis=1, keepdims=True))


def _contour(values: Real, axes: Sequence[Real], level: float) -> Surface:
    """Triangles between the nodes of a grid where values (nx, ny, nz) pass a level, outward towards greater ones."""
    import igl  # noqa: PLC0415 - only bodies of triangles need it

    corners = _points(axes).reshape(*values.shape, 3).transpose(2, 1, 0, 3).reshape(-1, 3)
    vertices, triangles, _ = igl.marching_cubes(values.transpose(2, 1, 0).ravel(), corners, *values.shape, level)
    return Surface(vertices_m=vertices, triangles=triangles.astype(np.int64))


def _about_signed_m(points_m: Real, skin: _Skin, body: Surface) -> Real:
    """Distance of points (n, 3) [m] from the closest vertex, negative where the body winds around them; (n,). [m]

    Good to three per cent where it is much more than an edge: enough to tell where a contour runs, which is then moved
    to its place. Normals would not do: an eyelid's looks into the head.
    """
    import igl  # noqa: PLC0415 - as above

    away, _ = cKDTree(skin.surface.vertices_m[np.unique(skin.surface.triangles)]).query(points_m, eps=_ABOUT)
    wound = igl.fast_winding_number(body.vertices_m, body.triangles, points_m)
    return np.asarray(np.where(wound > _WITHIN, -away, away))


def _closest(points_m: Real, surface: Surface) -> tuple[Real, Real]:
    """Distance of points (n, 3) [m] from a surface (n,) [m], and the points of it that are closest (n, 3). [m]"""
    import igl  # noqa: PLC0415 - as above

    square, _, closest = igl.point_mesh_squared_distance(points_m, surface.vertices_m, surface.triangles)
    return np.sqrt(square), np.asarray(closest)


def _upsampled(rough: Real, shape: Sequence[int]) -> Real:
    """Values at every other node brought to all nodes, by cubic splines."""
    factors = [count / len_ for count, len_ in zip(shape, rough.shape, strict=True)]
    return np.ascontiguousarray(zoom(rough, factors, order=3, mode="nearest", grid_mode=False))


def _smoothed(field: Real) -> Real:
    """Smoothed by a Gaussian whose displacement of level surfaces is taken back: 2 G f - G G f."""
    once = gaussian_filter(field, _SIGMA, mode="nearest")
    return np.asarray(2 * once - gaussian_filter(once, _SIGMA, mode="nearest"))
