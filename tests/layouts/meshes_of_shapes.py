"""Triangle surfaces of shapes whose shortest lines are known: spheres, ellipsoids, columns, cones and tori."""

from functools import cache

import numpy as np
from scipy.spatial import ConvexHull

from loopwright.ground.surface import Surface
from loopwright.layouts.mesh_skin import mesh_skin


@cache
def column_skin(radius_m):
    """Skin of a column on which elements 10 mm off lie at this radius."""
    return mesh_skin(column_surface(radius_m - 0.01, 0.3, edge_m=0.006), reach_m=0.012)


@cache
def cone_skin():
    """Skin of a cone whose radius shrinks from 100 mm to 60 mm over 300 mm."""
    return mesh_skin(turned_surface([0.1, 0.06], [-0.15, 0.15], edge_m=0.006), reach_m=0.012)


def ellipsoid_surface(semi_axes_m, *, edge_m):
    """Points of a spiral on the ellipsoid, about an edge apart, and the faces of their hull."""
    axes = np.asarray(semi_axes_m, dtype=float)
    count = int(4 * np.pi * np.mean(axes) ** 2 / (edge_m**2 * np.sqrt(3) / 2))
    height = 1 - (2 * np.arange(count) + 1) / count
    turn = 2 * np.pi * np.arange(count) / ((1 + 5**0.5) / 2) ** 2
    ball = np.stack([np.sqrt(1 - height**2) * np.cos(turn), np.sqrt(1 - height**2) * np.sin(turn), height], axis=1)
    return Surface(vertices_m=axes * ball, triangles=_outward(ball, ConvexHull(ball).simplices))


def sphere_surface(radius_m, *, edge_m):
    return ellipsoid_surface((radius_m,) * 3, edge_m=edge_m)


def turned_surface(radii_m, heights_m, *, edge_m, flatness=1.0):
    """What a line of radii over heights sweeps about z, with flat ends; ``flatness`` scales y."""
    radii, heights = (np.asarray(values, dtype=float) for values in (radii_m, heights_m))
    length = np.concatenate([[0], np.cumsum(np.hypot(np.diff(radii), np.diff(heights)))])
    rings = max(3, int(np.ceil(length[-1] / edge_m)) + 1)
    at = np.linspace(0, length[-1], rings)
    r, z = np.interp(at, length, radii), np.interp(at, length, heights)
    around = max(8, int(np.ceil(2 * np.pi * radii.max() / edge_m)))
    turn = 2 * np.pi * (np.arange(around)[None] + 0.5 * (np.arange(rings)[:, None] % 2)) / around
    ring = np.stack([r[:, None] * np.cos(turn), flatness * r[:, None] * np.sin(turn), z[:, None] + 0 * turn], axis=2)
    middles = np.array([[0, 0, z[0]], [0, 0, z[-1]]])
    vertices = np.concatenate([ring.reshape(-1, 3), middles])
    k = np.arange(around)
    after = (k + 1) % around
    triangles = []
    for row in range(rings - 1):
        low, high = row * around, (row + 1) * around
        ahead = row % 2  # every other ring is turned by half a step
        triangles.append(np.stack([low + k, low + after, high + (after if ahead else k)], axis=1))
        triangles.append(np.stack([high + k, low + (k if ahead else after), high + after], axis=1))
    bottom, top, last = len(vertices) - 2, len(vertices) - 1, (rings - 1) * around
    triangles.append(np.stack([after, k, np.full(around, bottom)], axis=1))
    triangles.append(np.stack([last + k, last + after, np.full(around, top)], axis=1))
    return Surface(vertices_m=vertices, triangles=np.concatenate(triangles).astype(np.int64))


def column_surface(radius_m, height_m, *, edge_m, flatness=1.0):
    return turned_surface([radius_m, radius_m], [-height_m / 2, height_m / 2], edge_m=edge_m, flatness=flatness)


def torus_surface(ring_m, tube_m, *, edge_m):
    """A torus about z."""
    along, across = (int(np.ceil(2 * np.pi * r / edge_m)) for r in (ring_m + tube_m, tube_m))
    i, j = np.meshgrid(np.arange(along), np.arange(across), indexing="ij")
    u, v = 2 * np.pi * i / along, 2 * np.pi * j / across
    vertices = np.stack(
        [(ring_m + tube_m * np.cos(v)) * np.cos(u), (ring_m + tube_m * np.cos(v)) * np.sin(u), tube_m * np.sin(v)],
        axis=2,
    ).reshape(-1, 3)
    at = lambda a, b: (a % along) * across + b % across  # noqa: E731
    a, b, c, d = at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)
    triangles = np.concatenate([np.stack([a, b, c], axis=2), np.stack([a, c, d], axis=2)]).reshape(-1, 3)
    return Surface(vertices_m=vertices, triangles=triangles.astype(np.int64))


def _outward(points, triangles):
    corners = points[triangles]
    turn = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    inward = np.sum(turn * corners.mean(axis=1), axis=1) < 0
    return np.where(inward[:, None], triangles[:, ::-1], triangles).astype(np.int64)
