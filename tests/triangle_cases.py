"""Surfaces of triangles whose shape is known, and an outside reckoning of their volumes."""

import manifold3d
import numpy as np

from loopwright.ground.surface import Surface


def octahedron(radius_m):
    """Corners on the axes."""
    vertices = np.vstack([np.eye(3), -np.eye(3)]) * radius_m
    triangles = [[0, 1, 2], [1, 3, 2], [3, 4, 2], [4, 0, 2], [1, 0, 5], [3, 1, 5], [4, 3, 5], [0, 4, 5]]
    return Surface(vertices_m=vertices, triangles=np.array(triangles, dtype=np.int64))


def refined(surface):
    """Every triangle cut into four."""
    edges = np.sort(surface.triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    unique, place = np.unique(edges, axis=0, return_inverse=True)
    ab, bc, ca = (place.reshape(-1, 3) + len(surface.vertices_m)).T
    a, b, c = surface.triangles.T
    middles = surface.vertices_m[unique].mean(axis=1)
    parts = [np.stack(part, axis=1) for part in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))]
    return Surface(vertices_m=np.vstack([surface.vertices_m, middles]), triangles=np.vstack(parts))


def ball(radius_m, level, *, centre_m=(0.0, 0.0, 0.0)):
    """8 times 4^level triangles; the volume is that of the sphere."""
    surface = octahedron(1.0)
    for _ in range(level):
        surface = refined(surface)
        surface = surface.at(surface.vertices_m / np.linalg.norm(surface.vertices_m, axis=1, keepdims=True))
    growth = (4 / 3 * np.pi / surface.volume_m3) ** (1 / 3)
    return surface.at(surface.vertices_m * growth * radius_m + np.asarray(centre_m))


def cube(half_m, *, centre_m=(0.0, 0.0, 0.0)):
    """Edges along the axes."""
    corners = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], dtype=float)
    squares = [[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]]
    triangles = [[s[0], s[i], s[i + 1]] for s in squares for i in (1, 2)]
    return Surface(vertices_m=corners * half_m + np.asarray(centre_m), triangles=np.array(triangles, dtype=np.int64))


def torus(ring_m, tube_m, *, around=48, across=24):
    """About z."""
    u, v = np.meshgrid(np.arange(around), np.arange(across), indexing="ij")
    turn, roll = 2 * np.pi * u / around, 2 * np.pi * v / across
    out = ring_m + tube_m * np.cos(roll)
    vertices = np.stack([out * np.cos(turn), out * np.sin(turn), tube_m * np.sin(roll)], axis=-1).reshape(-1, 3)
    a, b, c, d = (((u + i) % around * across + (v + j) % across).ravel() for i, j in ((0, 0), (1, 0), (1, 1), (0, 1)))
    triangles = np.vstack([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)])
    return Surface(vertices_m=vertices, triangles=triangles)


def together(*surfaces):
    """One surface of several, which may overlap."""
    starts = np.cumsum([0, *(len(surface.vertices_m) for surface in surfaces)])
    return Surface(
        vertices_m=np.vstack([surface.vertices_m for surface in surfaces]),
        triangles=np.vstack([surface.triangles + start for surface, start in zip(surfaces, starts, strict=False)]),
    )


def inside_out(surface):
    return Surface(vertices_m=surface.vertices_m, triangles=surface.triangles[:, ::-1])


def tilted(surface):
    """Turned so that no edge lies in a plane of the grid."""
    turn, _ = np.linalg.qr(np.random.default_rng(3).normal(size=(3, 3)))
    turn *= np.sign(np.linalg.det(turn))
    return surface.at(surface.vertices_m @ turn.T)


def rough(radius_m, level, *, seed=1):
    """A ball with hills and valleys."""
    surface = ball(1.0, level)
    way = np.random.default_rng(seed).normal(size=(3, 3)) * 2
    hills = 1 + 0.15 * np.sin(surface.vertices_m @ way.T).sum(axis=1)
    return surface.at(surface.vertices_m * hills[:, None] * radius_m)


def manifold(surface):
    mesh = manifold3d.Mesh64(vert_properties=surface.vertices_m, tri_verts=surface.triangles.astype(np.uint64))
    found = manifold3d.Manifold(mesh)
    assert found.status() == manifold3d.Error.NoError
    return found


def box(lower_m, upper_m):
    size = np.subtract(upper_m, lower_m)
    return manifold3d.Manifold.cube(size.tolist()).translate(list(lower_m))
