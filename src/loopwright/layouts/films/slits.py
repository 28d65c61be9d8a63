"""How many radial slits bring the compression of a disc on a doubly curved body under a limit, and what they remove.

Slits towards the middle make petals.  Each is laid along its own centre line and then square to it, so that only its
long sides are shortened, and what two neighbours would overlap is taken out between them.
"""

from dataclasses import dataclass
from itertools import pairwise
from math import ceil, pi

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.curved import Feet
from loopwright.layouts.films.strains import FilmStrain
from loopwright.layouts.films.strips import ALONG, AROUND, AT_FOOT_M, between_m, disc_strain, strip_strain
from loopwright.layouts.skins import Skin

__all__ = ["SlitPlan", "fewest_slits"]

Real = NDArray[np.float64]

_FEWEST_SLITS = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SlitPlan:
    """Radial slits of a disc: their number, their directions in the pattern (slits,) [rad], and what each removes.

    They begin at ``begin_m`` from the middle; ``width_m`` (places,) is that of each at ``radius_m`` (places,).
    ``compression`` holds what is left with each number that was tried, 0 for the disc without slits.
    """

    number: int
    directions_rad: Real
    begin_m: float
    radius_m: Real
    widths_m: Real
    compression: dict[int, float]
    removed_area_m2: float

    @property
    def outlines_m(self) -> tuple[Real, ...]:
        """Closed outlines (corners, 2) of what is cut away, against the clock. [m]"""
        return tuple(
            _wedge_m(self.radius_m, width, direction)
            for direction, width in zip(self.directions_rad, self.widths_m, strict=True)
        )


def fewest_slits(
    skin: Skin,
    foot: Feet,
    *,
    radius_m: float,
    limit: float,
    stand_off_m: float,
    first_rad: float = 0.0,
    most: int = 24,
) -> SlitPlan:
    """The fewest radial slits that keep the compression of a disc under a limit.

    Parameters
    ----------
    skin : Skin
        The body's.
    foot : Feet
        Under the middle of the disc.
    radius_m : float
        Of the disc. [m]
    limit : float
        Largest shortening that the film takes without a wrinkle.
    stand_off_m : float
        At which lengths hold. [m]
    first_rad : float
        Direction of the first slit, from the foot's first axis against the clock. [rad]
    most : int
        Slits that are tried at most.

    Returns
    -------
    SlitPlan
        No slits where the whole disc stays under the limit.

    Raises
    ------
    OutsideModelError
        If so many slits are not enough.

    Notes
    -----
    Slits are spaced evenly and begin where the whole disc is shortened by the limit.  The width of each is what the
    circle through the flat petals is longer than the line on the body at that distance; petals then fit side by side.
    """
    whole = disc_strain(skin, foot, radius_m=radius_m, stand_off_m=stand_off_m)
    compression = {0: float(whole.compression.max())}
    if compression[0] <= limit:
        none = np.zeros(0)
        return SlitPlan(number=0, directions_rad=none, begin_m=radius_m, radius_m=none, widths_m=np.zeros((0, 0)),
                        compression=compression, removed_area_m2=0.0)  # fmt: skip
    begin = _radius_at(whole, limit)
    for number in range(_FEWEST_SLITS, most + 1):
        directions = first_rad + 2 * pi * np.arange(number) / number
        compression[number] = _petal_compression(skin, foot, directions, radius_m, stand_off_m)
        if compression[number] <= limit:
            return _slits(skin, foot, directions, (begin, radius_m), stand_off_m, compression)
    raise OutsideModelError(f"{most} slits leave {compression[most]:.3f} of compression; the limit is {limit:g}.")


def _petal_compression(skin: Skin, foot: Feet, directions_rad: Real, radius_m: float, stand_off_m: float) -> float:
    """Largest shortening of any petal that lies between two slits and is laid along its own centre line."""
    way = np.linspace(AT_FOOT_M, radius_m, ALONG)
    angles = np.append(directions_rad, directions_rad[0] + 2 * pi)
    rays = [
        skin.walked(foot, way[:, None] * np.array([np.cos(angle), np.sin(angle)]), stand_off_m=stand_off_m)
        for angle in angles
    ]
    strains = [
        strip_strain(
            skin,
            foot,
            direction_rad=(before + after) / 2,
            from_m=way[0],
            to_m=way[-1],
            half_width_m=between_m(skin, *sides, stand_off_m) / 2,
            stand_off_m=stand_off_m,
        )
        for before, after, sides in zip(angles[:-1], angles[1:], pairwise(rays), strict=True)
    ]
    return max(float(strain.compression.max()) for strain in strains)


def _slits(
    skin: Skin,
    foot: Feet,
    directions_rad: Real,
    reach_m: tuple[float, float],
    stand_off_m: float,
    compression: dict[int, float],
) -> SlitPlan:
    number, radius = len(directions_rad), np.linspace(*reach_m, ALONG)
    per_slit = max(4, ceil(AROUND / number))
    step = 2 * pi / number / per_slit
    angle = directions_rad[0] + 2 * pi * (np.arange(number * per_slit + 1) / per_slit - 0.5) / number
    flat = np.stack([radius[:, None] * np.cos(angle), radius[:, None] * np.sin(angle)], axis=-1)
    laid = skin.wrapped_m(foot, flat.reshape(-1, 2), stand_off_m=np.array([stand_off_m]))[0].reshape(*flat.shape[:2], 3)
    chords = np.linalg.norm(np.diff(laid, axis=1), axis=2) / np.sinc(step / 2 / pi)  # arcs, as the flat circle has them
    widths = (radius[:, None] * step - chords).reshape(len(radius), number, per_slit).sum(axis=2).T
    return SlitPlan(
        number=number,
        directions_rad=directions_rad,
        begin_m=reach_m[0],
        radius_m=radius,
        widths_m=widths,
        compression=compression,
        removed_area_m2=float(np.trapezoid(widths, radius, axis=1).sum()),
    )


def _radius_at(whole: FilmStrain, limit: float) -> float:
    """Way from the middle at which a whole disc is first shortened by the limit."""
    away = np.linalg.norm(whole.grid.nodes_m[whole.grid.triangles].mean(axis=1), axis=1)
    order = np.argsort(away)
    return float(np.interp(limit, np.maximum.accumulate(whole.compression[order]), away[order]))


def _wedge_m(radius_m: Real, width_m: Real, direction_rad: float) -> Real:
    """Outline of a cut that is so wide at each radius, rim to rim."""
    half = width_m / 2 / radius_m
    angle = direction_rad + np.concatenate([-half, half[::-1]])
    radius = np.concatenate([radius_m, radius_m[::-1]])
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)
