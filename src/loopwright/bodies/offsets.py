"""Surfaces at a depth under another one, such as that between skin and fat, thinner where the body is thin."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.bodies.triangle_tree import opposite_m, triangle_tree
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.surface import Surface

Real = NDArray[np.float64]

#: Most of half the local thickness that layers may take: beyond half, opposite sides would pass each other.
MOST_OF_HALF = 0.9


def inner_surface(surface: Surface, thickness_m: ArrayLike) -> Surface:
    """The surface at a depth under another one, its vertices moved along the normals.

    Parameters
    ----------
    surface : Surface
        The outer one.
    thickness_m : float or array_like, shape (vertices,)
        How far to go. [m]

    Returns
    -------
    Surface
        The same triangles. Where the body is thin, as at ears and fingers, the depth is at most nine tenths of half
        the local thickness. In a crease sharper than the depth triangles may be turned round, which
        :class:`~loopwright.bodies.meshes.MeshShape` counts as empty.
    """
    depth = np.broadcast_to(np.asarray(thickness_m, dtype=float), len(surface.vertices_m))
    return surface.at(surface.vertices_m - (depth * _room(surface, depth))[:, None] * surface.vertex_normals)


def layer_surfaces(
    surface: Surface, thicknesses_m: Sequence[float], *, tissue_names: Sequence[str], name: str
) -> tuple[list[Surface], tuple[str, ...]]:
    """The surfaces that bound layers, from outside inwards, and how well the layers keep their thickness.

    Parameters
    ----------
    surface : Surface
        The outer one.
    thicknesses_m : sequence of float
        Thickness of each layer; all are made thinner in proportion where the body has no room for them. [m]
    tissue_names : sequence of str
        From outside inwards.
    name : str
        What the body is called.

    Raises
    ------
    OutsideModelError
        If the layers leave no core under more than half of the surface.
    """
    if len(thicknesses_m) == 0:
        return [surface], ()
    depths, normals = np.cumsum(thicknesses_m), surface.vertex_normals
    room = _room(surface, np.full(len(normals), depths[-1]))
    surfaces = [surface, *(surface.at(surface.vertices_m - (depth * room)[:, None] * normals) for depth in depths)]
    areas = np.linalg.norm(surface.area_vectors_m2, axis=1)
    thin, coreless = (
        100 * float(np.average((room < least)[surface.triangles].mean(axis=1), weights=areas))
        for least in (1, MOST_OF_HALF)
    )
    if coreless > 50:
        raise OutsideModelError(
            f"{name}: layers of {depths[-1] * 1e3:g} mm in all leave no core under {coreless:.0f} % of the surface. "
            "Make the layers thinner."
        )
    told = ", ".join(
        f"{tissue} {100 * (around.volume_m3 - inside.volume_m3) / (areas.sum() * thickness):.3g} %"
        for tissue, thickness, (around, inside) in zip(tissue_names, thicknesses_m, pairwise(surfaces), strict=False)
    )
    note = (
        "Layers are measured along the normals of the surface. Their volumes in parts of its area times the thickness: "
        f"{told}. Where the body is thin, under {thin:.2g} % of it, they share nine tenths of half its thickness."
    )
    return surfaces, (note,)


def _room(surface: Surface, depth_m: Real) -> Real:
    """The part of a depth that there is room for under each vertex, 1 or less; shape (vertices,)."""
    half = half_thickness_m(surface, most_m=float(depth_m.max()) / MOST_OF_HALF)
    return np.asarray(np.minimum(1, MOST_OF_HALF * half / np.maximum(depth_m, np.finfo(float).tiny)))


def half_thickness_m(surface: Surface, *, most_m: float) -> Real:
    """Radius of the greatest ball inside a surface that touches it at each vertex and reaches an opposite wall.

    Parameters
    ----------
    surface : Surface
        The surface.
    most_m : float
        Greatest radius that is told. [m]

    Returns
    -------
    ndarray, shape (vertices,)
        Half the thickness there; a wall is opposite where it looks more than 60 degrees away. [m]
    """
    tree = triangle_tree(surface.corners_m)
    return opposite_m(tree, surface.vertices_m, -surface.vertex_normals, most_m=most_m)
