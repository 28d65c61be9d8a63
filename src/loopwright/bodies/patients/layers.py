"""Skin and fat as layers under the surface of a figure, as thick as the mass of each asks.

Skin has one thickness, fat a profile over the parts of the body; where a part is slim both are thinner, so that no
layer meets the one from the other side.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.offsets import half_thickness_m
from loopwright.bodies.patients.joints import Stance
from loopwright.ground.surface import Surface

Real = NDArray[np.float64]

#: Fat under the skin of each part, over that of the trunk (our own choice, from memory of skin folds).
FAT_OF_PART = {
    "head": 0.2, "neck": 0.5, "trunk": 1.0, "shoulder": 0.8, "upper arm": 0.7, "forearm": 0.45, "hand": 0.15,
    "thigh": 0.9, "shank": 0.5, "foot": 0.2,
}  # fmt: skip
#: The same of infants, who carry more of it on their limbs (our own choice, from memory).
FAT_OF_INFANTS_PART = {
    "head": 0.25, "neck": 0.6, "trunk": 1.0, "shoulder": 1.0, "upper arm": 1.1, "forearm": 0.9, "hand": 0.3,
    "thigh": 1.5, "shank": 1.2, "foot": 0.5,
}  # fmt: skip
#: Ages between which the one goes over into the other. [a]
INFANT_UNTIL_YEARS, GROWN_FROM_YEARS = 2.0, 6.0
#: Layers together reach at most this far to the middle of a slim part.
MOST_OF_ROOM = 0.6
#: Half of a thickness beyond which no part is slim. [m]
_SLIM_M = 0.04
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


def layers(stance: Stance, *, skin_m3: float, fat_m3: float, age_years: float) -> Layers:
    """Skin and fat that hold these volumes [m^3], of a patient of this age [a].

    Notes
    -----
    The inner surfaces have the triangles of the outer one, each vertex moved inwards along its smoothed normal.
    Volumes are met to 1e-4 unless the fat has no room.
    """
    outer = stance.surface
    normals = outer.vertex_normals
    room = MOST_OF_ROOM * half_thickness_m(outer, most_m=_SLIM_M)
    of_part = fat_of_parts(age_years)
    profile = np.sum([share * of_part[_plain(part)] for part, share in stance.shares.items()], axis=0)

    def below(depth: Real) -> Surface:
        return outer.at(outer.vertices_m - np.minimum(depth, room)[:, None] * normals)

    everywhere = np.ones(len(normals))
    skin, under_skin = _scaled(lambda t: below(t * everywhere), outer.volume_m3 - skin_m3, outer.area_m2, skin_m3)
    fat, under_fat = _scaled(
        lambda t: below(skin + t * profile), outer.volume_m3 - skin_m3 - fat_m3, outer.area_m2, fat_m3
    )
    return Layers(under_skin=under_skin, under_fat=under_fat, skin_m=skin, fat_of_trunk_m=fat)


def fat_of_parts(age_years: float) -> dict[str, float]:
    """Fat under the skin of each part at this age [a], over that of the trunk."""
    grown = (age_years - INFANT_UNTIL_YEARS) / (GROWN_FROM_YEARS - INFANT_UNTIL_YEARS)
    grown = min(max(grown, 0.0), 1.0)
    return {part: grown * fat + (1 - grown) * FAT_OF_INFANTS_PART[part] for part, fat in FAT_OF_PART.items()}


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
