"""Organs of the trunk, placed by landmarks, their sizes from the masses of a reference person.

Planes keep them apart: lungs and heart above the diaphragm, liver, spleen and kidneys below it. The places are our own
choice, from memory of sections of adults; they scale with the trunk, so those of children are indicative.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import inf, pi

import numpy as np

from loopwright.bodies.patients.balloons import Balloon, Depth, blown_up
from loopwright.ground.surface import Surface

#: Least cover of an organ by the muscle round it, over the half-depth of the chest (our own choice).
COVER_OF_HALF_DEPTH = 0.1
#: Radius of the spine over the depth of the chest, and room before it (our own choice).
SPINE_RADIUS, _BEFORE_SPINE = 0.12, 0.02
#: Height of the kidneys between navel and xiphoid (our own choice).
KIDNEYS_UP = 0.4
#: Proportions of heart, spleen and kidney along x, y, z (our own choice).
_HEART, _SPLEEN, _KIDNEY = (0.87, 0.83, 1.3), (0.65, 1.0, 1.1), (0.75, 0.65, 1.6)
#: How far the heart reaches to the left, over its half-width (its middle lies that much, less one, from the middle).
_HEART_LEFT = 1.25
#: Share of the lungs that the left one has (our own choice, from memory).
_LEFT_LUNG = 0.45

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Half-width, front and back of the inside of a trunk at one height. [m]"""

    half_width_m: float
    front_m: float
    back_m: float

    @property
    def depth_m(self) -> float:
        """From front to back. [m]"""
        return self.back_m - self.front_m

    def at_m(self, share: float) -> float:
        """Place along y at a share of the depth, counted from the front. [m]"""
        return self.front_m + share * self.depth_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Trunk:
    """Inner measures of a trunk under its skin and fat, at the xiphoid and at the kidneys. [m]

    Heights are those of the notch over the breastbone, of the xiphoid and of the navel; ``spine_m`` holds points on the
    middle of the spine from the pelvis up, as pairs of height and place along y.
    """

    chest: Section
    loin: Section
    notch_m: float
    xiphoid_m: float
    navel_m: float
    spine_m: tuple[tuple[float, float], ...]

    @property
    def cover_m(self) -> float:
        """Least cover of an organ. [m]"""
        return COVER_OF_HALF_DEPTH * self.chest.depth_m / 2

    @property
    def diaphragm_m(self) -> float:
        """Height of the plane between lungs and liver. [m]"""
        return self.xiphoid_m - 0.1 * (self.notch_m - self.xiphoid_m)

    @property
    def kidneys_m(self) -> float:
        """Height of the middle of the kidneys. [m]"""
        return self.navel_m + KIDNEYS_UP * (self.xiphoid_m - self.navel_m)

    @property
    def spine_radius_m(self) -> float:
        """Radius of the spine. [m]"""
        return SPINE_RADIUS * self.chest.depth_m

    def before_spine_m(self, low_m: float, high_m: float) -> float:
        """Place along y that the spine does not reach between two heights. [m]"""
        heights, places = np.array(self.spine_m).T
        front = np.interp(np.linspace(low_m, high_m, 9), heights, places).min()
        return float(front) - self.spine_radius_m - _BEFORE_SPINE * self.chest.depth_m

    @property
    def kidney_plane_m(self) -> float:
        """Plane along y before which liver and spleen lie, and behind which the kidneys. [m]"""
        return self.before_spine_m(self.navel_m, self.diaphragm_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Organ:
    """What was placed for one organ: its pieces, and the volume that was wanted. [m^3]"""

    name: str
    pieces: tuple[Surface, ...]
    wanted_m3: float


def trunk_organs(trunk: Trunk, volumes_m3: Mapping[str, float], depth_m: Depth) -> tuple[Organ, ...]:
    """Heart, lungs, liver, spleen and kidneys, as large as wanted or as the body and the planes between them allow.

    Parameters
    ----------
    trunk : Trunk
        Measures of the inside.
    volumes_m3 : mapping
        Volume wanted, by the name of the organ. [m^3]
    depth_m : callable
        Depth of points (n, 3) [m] under the surface that has to cover the organs, shape (n,). [m]
    """

    def organ(name: str, *pieces: tuple[Balloon, float]) -> Organ:
        wanted = volumes_m3[name]
        blown = tuple(
            blown_up(_brought_in(balloon, trunk, depth_m), share * wanted, depth_m, cover_m=trunk.cover_m)
            for balloon, share in pieces
        )
        return Organ(name=name, pieces=blown, wanted_m3=wanted)

    heart = organ("heart", (_heart(trunk, volumes_m3["heart"]), 1.0))
    low, high = heart.pieces[0].box_m
    return (
        heart,
        organ("lung", (_lung(trunk, high[0], 1), _LEFT_LUNG), (_lung(trunk, -low[0], -1), 1 - _LEFT_LUNG)),
        organ("liver", (_liver(trunk), 1.0)),
        organ("spleen", (_spleen(trunk, volumes_m3["spleen"]), 1.0)),
        organ("kidneys", *((_kidney(trunk, volumes_m3["kidneys"] / 2, side), 0.5) for side in (1, -1))),
    )


def _brought_in(balloon: Balloon, trunk: Trunk, depth_m: Depth) -> Balloon:
    """A balloon whose middle is brought towards that of the trunk until it has room, inside its planes."""
    start = np.asarray(balloon.centre_m)
    axis = np.array([0.0, trunk.chest.at_m(0.5), start[2]])
    ways = start + np.linspace(0, 1, 21)[:, None] * (axis - start)
    inside = np.clip(ways, np.asarray(balloon.lower_m) + 1e-3, np.asarray(balloon.upper_m) - 1e-3)
    room = depth_m(inside) - trunk.cover_m - 0.8 * min(balloon.semi_axes_m)
    x, y, z = inside[np.argmax(room >= 0) if np.any(room >= 0) else np.argmax(room)].tolist()
    return replace(balloon, centre_m=(x, y, z))


def _semi_axes_m(proportions: Triple, volume_m3: float) -> Triple:
    """Half-axes of an ellipsoid of these proportions that holds a volume. [m]"""
    x, y, z = proportions
    unit = (volume_m3 / (4 / 3 * pi * x * y * z)) ** (1 / 3)
    return x * unit, y * unit, z * unit


def _heart(trunk: Trunk, volume_m3: float) -> Balloon:
    a, b, c = _semi_axes_m(_HEART, volume_m3)
    behind = trunk.before_spine_m(trunk.diaphragm_m, trunk.notch_m)
    return Balloon(
        centre_m=((_HEART_LEFT - 1) * a, behind - b, trunk.diaphragm_m + 0.8 * c),
        semi_axes_m=(a, b, c),
        lower_m=(-inf, -inf, trunk.diaphragm_m),
        upper_m=(inf, behind, inf),
    )


def _lung(trunk: Trunk, medial_m: float, side: int) -> Balloon:
    """The lung on the left (+1) or right (-1), beside a plane that the heart does not pass."""
    chest, floor = trunk.chest, trunk.diaphragm_m
    medial = max(medial_m, trunk.spine_radius_m) + 0.01 * chest.depth_m
    reach = 1.15 * (trunk.notch_m - floor)
    lateral = chest.half_width_m - trunk.cover_m
    half = (lateral - medial) / 2
    return Balloon(
        centre_m=(side * (medial + 0.8 * half), chest.at_m(0.55), floor + 0.3 * reach),
        semi_axes_m=(1.2 * half, 0.45 * chest.depth_m, 0.7 * reach),
        lower_m=(medial if side > 0 else -lateral, -inf, floor),
        upper_m=(lateral if side > 0 else -medial, inf, floor + reach),
    )


def _liver(trunk: Trunk) -> Balloon:
    inner = trunk.chest.half_width_m - trunk.cover_m
    height = trunk.diaphragm_m - trunk.navel_m
    return Balloon(
        centre_m=(-0.35 * inner, trunk.chest.at_m(0.4), trunk.diaphragm_m - 0.25 * height),
        semi_axes_m=(0.75 * inner, 0.4 * trunk.chest.depth_m, 0.75 * height),
        upper_m=(0.3 * inner, trunk.kidney_plane_m, trunk.diaphragm_m),
    )


def _spleen(trunk: Trunk, volume_m3: float) -> Balloon:
    inner = trunk.chest.half_width_m - trunk.cover_m
    a, b, c = _semi_axes_m(_SPLEEN, volume_m3)
    return Balloon(
        centre_m=(inner - 1.3 * a, trunk.kidney_plane_m - b, trunk.diaphragm_m - c),
        semi_axes_m=(a, b, c),
        lower_m=(0.31 * inner, -inf, -inf),
        upper_m=(inf, trunk.kidney_plane_m, trunk.diaphragm_m),
    )


def _kidney(trunk: Trunk, volume_m3: float, side: int) -> Balloon:
    a, b, c = _semi_axes_m(_KIDNEY, volume_m3)
    medial = trunk.spine_radius_m + 0.02 * trunk.chest.depth_m
    return Balloon(
        centre_m=(side * (medial + a), trunk.kidney_plane_m + 0.9 * b, trunk.kidneys_m),
        semi_axes_m=(a, b, c),
        lower_m=(medial if side > 0 else -inf, trunk.kidney_plane_m, -inf),
        upper_m=(inf if side > 0 else -medial, inf, trunk.diaphragm_m),
    )
