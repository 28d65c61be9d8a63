"""How many parallel gores bring the compression of a rectangle on a doubly curved body under a limit.

Each gore is laid along its own centre line and then square to it, so that only its long sides are shortened, and what
two neighbours would overlap is taken out between them.
"""

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.curved import Feet
from loopwright.layouts.films.strips import ALONG, between_m, off_foot, strip_strain
from loopwright.layouts.skins import Skin

__all__ = ["GorePlan", "fewest_gores"]

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GorePlan:
    """Parallel gores of a rectangle: their number, where their centre lines run, and how wide each is along itself.

    Centre lines run along the pattern's second axis at ``centres_m`` (gores,) on the first; ``widths_m`` (gores,
    places) are those at ``along_m`` (places,). ``compression`` holds what is left with each number that was tried.
    """

    number: int
    centres_m: Real
    along_m: Real
    widths_m: Real
    compression: dict[int, float]
    removed_area_m2: float

    @property
    def outlines_m(self) -> tuple[Real, ...]:
        """Closed outlines (corners, 2) of the gores themselves, against the clock. [m]"""
        return tuple(
            np.concatenate(
                [
                    np.stack([centre + width / 2, self.along_m], axis=1),
                    np.stack([centre - width / 2, self.along_m], axis=1)[::-1],
                ]
            )
            for centre, width in zip(self.centres_m, self.widths_m, strict=True)
        )


def fewest_gores(
    skin: Skin, foot: Feet, *, width_m: float, length_m: float, limit: float, stand_off_m: float, most: int = 24
) -> GorePlan:
    """The fewest parallel gores that keep the compression of a rectangle under a limit.

    Parameters
    ----------
    skin : Skin
        The body's.
    foot : Feet
        Under the middle of the rectangle; its second axis is the direction of the gores.
    width_m, length_m : float
        Across the gores and along them. [m]
    limit : float
        Largest shortening that the film takes without a wrinkle.
    stand_off_m : float
        At which lengths hold. [m]
    most : int
        Gores that are tried at most.

    Returns
    -------
    GorePlan

    Raises
    ------
    OutsideModelError
        If so many gores are not enough.

    Notes
    -----
    Gores hang together along the pattern's first axis, which keeps its length, and taper as their centre lines draw
    closer along the body.
    """
    compression: dict[int, float] = {}
    along = np.linspace(-length_m / 2, length_m / 2, ALONG)
    for number in range(1, most + 1):
        pitch = width_m / number
        centres: Real = pitch * (np.arange(number, dtype=np.float64) - (number - 1) / 2)
        lines = [skin.walked(foot, off_foot(np.array([[x, 0.0]])), stand_off_m=stand_off_m) for x in centres]
        widths = np.stack([_gore_widths_m(skin, line, pitch, along, stand_off_m) for line in lines])
        strains = [
            strip_strain(skin, line, direction_rad=pi / 2, from_m=along[0], to_m=along[-1], half_width_m=width / 2,
                         stand_off_m=stand_off_m)
            for line, width in zip(lines, widths, strict=True)
        ]  # fmt: skip
        compression[number] = max(float(strain.compression.max()) for strain in strains)
        if compression[number] <= limit:
            removed = float(np.trapezoid(pitch - widths, along, axis=1).sum())
            return GorePlan(number=number, centres_m=centres, along_m=along, widths_m=widths,
                            compression=compression, removed_area_m2=removed)  # fmt: skip
    raise OutsideModelError(f"{most} gores leave {compression[most]:.3f} of compression; the limit is {limit:g}.")


def _gore_widths_m(skin: Skin, line: Feet, pitch_m: float, along_m: Real, stand_off_m: float) -> Real:
    """Distance, at places along a centre line, between the lines half a pitch to either side of it."""
    flat = off_foot(np.stack([np.zeros_like(along_m), along_m], axis=1))
    starts = [skin.walked(line, np.array([[way, 0.0]]), stand_off_m=stand_off_m) for way in (-pitch_m / 2, pitch_m / 2)]
    first, second = (skin.walked(start, flat, stand_off_m=stand_off_m) for start in starts)
    return between_m(skin, first, second, stand_off_m)
