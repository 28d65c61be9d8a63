"""Skin and fat as layers under the surface of a figure, as thick as the mass of each asks.

Skin has one thickness, fat a profile over the parts of the body; where a part is slim both are thinner, so that no
layer meets the one from the other side.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from loopwright.bodies.patients.joints import Stance
from loopwright.ground.surface import Surface

Real = NDArray[np.float64]

#: Fat under the skin of each part, over that of the trunk (our own choice, from memory of skin folds).
FAT_OF_PART = {
    "head": 0.2, "neck": 0.5, "trunk": 1.0, "shoulder": 0.8, "upper arm": 0.7, "forearm": 0.45, "hand": 0.15,
    "thigh": 0.9, "shank": 0.5, "foot": 0.2,
}  # fmt: skip
#: Layers together reach at most this far to the middle of a slim part.
MOST_OF_ROOM = 0.6
_ROUNDS = 8


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layers:
    """Surfaces under the skin and under the fat, and how thick skin and the fat of the trunk are where they have room.

    Thicknesses in [m].
    """

    under_skin: Surface
    under_fat: Surface
    skin_m: float
    fat_of_trunk_m: float


def layers(stance: Stance, *, skin_m3: float, fat_m3: float) -> Layers:
    """Skin and fat that hold these volumes. [m^3]

    Notes
    -----
    The inner surfaces have the triangles of the outer one, each vertex moved inwards along its smoothed normal.
    Volumes are met to 1e-4 unless the fat has no room.
    """
    outer = stance.surface
    normals = outer.vertex_normals
    room = MOST_OF_ROOM * medial_radius_m(outer, normals)
    profile = np.sum([share * FAT_OF_PART[_plain(part)] for part, share in stance.shares.items()], axis=0)

    def below(depth: Real) -> Surface:
        return outer.at(outer.vertices_m - np.minimum(depth, room)[:, None] * normals)

    everywhere = np.ones(len(normals))
    skin, under_skin = _scaled(lambda t: below(t * everywhere), outer.volume_m3 - skin_m3, outer.area_m2, skin_m3)
    fat, under_fat = _scaled(
        lambda t: below(skin + t * profile), outer.volume_m3 - skin_m3 - fat_m3, outer.area_m2, fat_m3
    )
    return Layers(under_skin=under_skin, under_fat=under_fat, skin_m=skin, fat_of_trunk_m=fat)


def medial_radius_m(surface: Surface, normals: Real) -> Real:
    """Radius of the largest ball inside that touches the surface at each vertex, shape (vertices,). [m]

    Parameters
    ----------
    surface : Surface
        Closed.
    normals : ndarray, shape (vertices, 3)
        Outward normals at its vertices.

    Notes
    -----
    Balls shrink until no vertex or centre of a triangle lies inside: good to about the distance between these.

    References
    ----------
    J. Ma, S. W. Bae, S. Choi, The Visual Computer 28, 7, 2012 [ma2012], the shrinking ball (from memory).
    """
    start = surface.vertices_m
    others = np.concatenate([start, surface.corners_m.mean(axis=1)])
    tree = cKDTree(others)
    radius = np.full(len(start), float(np.ptp(start, axis=0).min()) / 2)
    open_ = np.arange(len(start))
    for _ in range(_ROUNDS):
        centre = start[open_] - radius[open_, None] * normals[open_]
        distance, nearest = tree.query(centre)
        inside = distance < radius[open_] * (1 - 1e-3)
        open_, nearest = open_[inside], nearest[inside]
        if not len(open_):
            break
        apart = start[open_] - others[nearest]
        along = np.sum(apart * normals[open_], axis=1)
        smaller = np.sum(apart**2, axis=1) / (2 * np.where(along > 0, along, np.inf))
        radius[open_] = np.where(along > 0, smaller, radius[open_] / 2)
    return radius


def _scaled(
    below: Callable[[float], Surface], volume_m3: float, area_m2: float, layer_m3: float
) -> tuple[float, Surface]:
    """Thickness [m] of the layer that leaves this volume inside, and the surface under it."""
    thickness, last_thickness, last = layer_m3 / area_m2, 0.0, volume_m3 + layer_m3
    for _ in range(_ROUNDS):
        found = below(thickness)
        left = found.volume_m3
        slope = (left - last) / (thickness - last_thickness)
        if abs(left - volume_m3) < 1e-4 * layer_m3 or slope >= 0:
            break
        last_thickness, last = thickness, left
        thickness = max(thickness + (volume_m3 - left) / slope, 0.2 * thickness)
    return thickness, found


def _plain(part: str) -> str:
    """A part without its side."""
    return part.removeprefix("left ").removeprefix("right ")
