"""Closed surfaces of triangles whose shapes are known in closed form."""

import numpy as np

from loopwright.ground.surface import Surface


def turned(radii_m, heights_m, *, around=120, deeper_m=None):
    """Surface of revolution about z, closed at both ends; ``deeper_m(angle)`` takes away from every radius."""
    angle = 2 * np.pi * np.arange(around) / around
    radii = np.asarray(radii_m)[:, None] - (0 if deeper_m is None else deeper_m(angle))
    levels = np.broadcast_to(np.asarray(heights_m)[:, None], (len(heights_m), around))
    radii = np.broadcast_to(radii, levels.shape)
    rings = np.stack([radii * np.cos(angle), radii * np.sin(angle), levels], axis=-1).reshape(-1, 3)
    ends = np.array([[0.0, 0.0, heights_m[0]], [0.0, 0.0, heights_m[-1]]])
    i = np.arange(around)
    j = (i + 1) % around
    triangles = []
    for k in range(len(heights_m) - 1):
        low, high = k * around, (k + 1) * around
        triangles += [np.stack([low + i, low + j, high + j], axis=1), np.stack([low + i, high + j, high + i], axis=1)]
    bottom, top = len(rings), len(rings) + 1
    last = (len(heights_m) - 1) * around
    triangles += [np.stack([np.full(around, bottom), j, i], axis=1)]
    triangles += [np.stack([np.full(around, top), last + i, last + j], axis=1)]
    return Surface(vertices_m=np.concatenate([rings, ends]), triangles=np.concatenate(triangles))


def cylinder(radius_m, height_m=0.4, *, around=240, deeper_m=None):
    """A round cylinder about z, its middle in the origin."""
    return turned(np.full(9, radius_m), np.linspace(-height_m / 2, height_m / 2, 9), around=around, deeper_m=deeper_m)


def frustum(radius_m, narrowing, height_m=0.4, *, around=240):
    """A cone about z with this radius at z = 0, by so much narrower with every unit of height."""
    heights = np.linspace(-height_m / 2, height_m / 2, 9)
    return turned(radius_m - narrowing * heights, heights, around=around)


def ball(radius_m, *, around=96):
    """A sphere about the origin."""
    polar = np.linspace(0, np.pi, around // 2 + 1)[1:-1][::-1]
    return turned(radius_m * np.sin(polar), radius_m * np.cos(polar), around=around)


def both(first, second):
    """Two bodies in one surface."""
    return Surface(
        vertices_m=np.concatenate([first.vertices_m, second.vertices_m]),
        triangles=np.concatenate([first.triangles, second.triangles + len(first.vertices_m)]),
    )


def shifted(surface, shift_m):
    """The same body elsewhere."""
    return surface.at(surface.vertices_m + np.asarray(shift_m))


def rectangle(width_m, height_m):
    """Corners of a rectangle about the origin, against the clock."""
    return np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * [width_m / 2, height_m / 2]
