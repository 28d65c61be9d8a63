"""Strips of conductive elastomer: how stretching thins them and raises their resistance."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.conductors.refusals import refuse_unless_flat, refuse_unless_measured, refuse_unless_positive
from loopwright.ground.errors import OutsideModelError

__all__ = ["ElastomerStrip", "incompressible_resistance_ratio", "tabled_resistance_ratio"]


def incompressible_resistance_ratio(stretch: ArrayLike) -> NDArray[np.float64]:
    """Resistance of a stretched piece over its resistance at rest, where volume and conductivity stay what they are.

    Parameters
    ----------
    stretch : array_like, shape (...)
        Elongation over the length at rest.

    Returns
    -------
    ndarray, shape (...)
        :math:`(1 + e)^2`: longer by one factor, thinner by the other.

    Notes
    -----
    The least that geometry asks for.  Filled elastomers mostly lose more, since their contacts open; some less.
    """
    return np.asarray((1 + np.asarray(stretch, dtype=np.float64)) ** 2)


def tabled_resistance_ratio(stretch: float, *, stretches: Sequence[float], ratios: Sequence[float]) -> float:
    """Resistance of a stretched piece over its resistance at rest, from measured pairs.

    Parameters
    ----------
    stretch : float
        Elongation over the length at rest.
    stretches, ratios : sequence of float
        Measured pairs, in rising order of stretch; at rest the ratio is one.

    Returns
    -------
    float
        Ratio, by straight lines between the pairs.

    Raises
    ------
    OutsideModelError
        Beyond the last pair, where a straight line would guess.
    """
    known, found = (0.0, *stretches), (1.0, *ratios)
    if not 0 <= stretch <= known[-1]:
        raise OutsideModelError(f"stretch = {stretch:g} lies outside what was measured, 0 to {known[-1]:g}")
    return float(np.interp(stretch, known, found))


@dataclass(frozen=True, slots=True, kw_only=True)
class ElastomerStrip:
    """A strip of conductive elastomer as worn, told by what it is at rest.

    ``resistance_ratio`` is that of one and the same piece, stretched over at rest. Rubber keeps its volume, so width
    and thickness shrink by the root of the elongation; a metre of it as worn is less than a metre at rest.
    """

    rest_width_m: float
    rest_thickness_m: float
    rest_conductivity_s_per_m: float
    stretch: float
    resistance_ratio: float
    measured_ohm_per_m: float | None = None

    def __post_init__(self) -> None:
        """Refuse a strip that could not be made or pulled."""
        refuse_unless_flat(self.rest_width_m, self.rest_thickness_m, self.rest_conductivity_s_per_m)
        refuse_unless_positive(resistance_ratio=self.resistance_ratio)
        refuse_unless_measured(self.measured_ohm_per_m)
        if not self.stretch >= 0:
            raise OutsideModelError(f"stretch = {self.stretch:g} must not be negative: a strip that is pushed buckles")

    @property
    def width_m(self) -> float:
        """Width as worn. [m]"""
        return float(self.rest_width_m / np.sqrt(1 + self.stretch))

    @property
    def thickness_m(self) -> float:
        """Thickness as worn. [m]"""
        return float(self.rest_thickness_m / np.sqrt(1 + self.stretch))

    @property
    def conductivity_s_per_m(self) -> float:
        """Conductivity as worn: what the ratio leaves once the change of shape is taken out. [S/m]"""
        shape = float(incompressible_resistance_ratio(self.stretch))
        return self.rest_conductivity_s_per_m * shape / self.resistance_ratio
