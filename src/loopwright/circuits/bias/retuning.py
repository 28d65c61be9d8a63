"""The same coil at another frequency: what has to change, and how far off it is until it has."""

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.ground.constants import SPEED_OF_LIGHT_M_PER_S

__all__ = ["Retuning", "length_per_degree_m", "retuning"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Retuning:
    """An element moved from one frequency to another; every array of the shape of the elements.

    Attributes
    ----------
    from_hz, to_hz
        Frequencies. [Hz]
    capacitance_f, new_capacitance_f
        In each gap, before and after. [F]
    total_f, new_total_f
        All gaps in series. [F]
    shift_half_widths
        By how many half-bandwidths of its loaded resonance the element is off at the new frequency until it is changed;
        positive where it is tuned too high.
    """

    from_hz: float
    to_hz: float
    capacitance_f: Floats
    new_capacitance_f: Floats
    total_f: Floats
    new_total_f: Floats
    shift_half_widths: Floats

    @property
    def trap_ratio(self) -> float:
        """Factor for the product of inductance and capacitance of every trap, and for one where the other stays."""
        return (self.from_hz / self.to_hz) ** 2

    @property
    def length_ratio(self) -> float:
        """Factor for the length of every cable whose phase counts."""
        return self.from_hz / self.to_hz


def length_per_degree_m(frequency_hz: ArrayLike, *, velocity_factor: float) -> Floats:
    """Length of cable that turns the phase by one degree.

    Parameters
    ----------
    frequency_hz : array_like, shape (...)
        Frequency. [Hz]
    velocity_factor : float
        Of the cable.

    Returns
    -------
    ndarray, shape (...)
        [m]
    """
    return np.asarray(velocity_factor * SPEED_OF_LIGHT_M_PER_S / (360 * np.asarray(frequency_hz, dtype=np.float64)))


def retuning(
    capacitance_f: ArrayLike,
    *,
    gaps: ArrayLike,
    from_hz: float,
    to_hz: float,
    reactance_there_ohm: ArrayLike,
    resistance_ohm: ArrayLike,
) -> Retuning:
    """What an element needs at another frequency than the one that it is tuned at.

    Parameters
    ----------
    capacitance_f : array_like, shape (...)
        In each gap, tuned at the first frequency. [F]
    gaps : array_like of int, shape (...)
        Number of gaps.
    from_hz, to_hz : float
        Frequencies. [Hz]
    reactance_there_ohm : array_like, shape (...)
        Reactance of the tuned element, capacitors in, at the second frequency: body, current's shape and all. For a
        plain inductance, ``omega L - gaps / (omega C)`` there. [ohm]
    resistance_ohm : array_like, shape (...)
        Loaded resistance at its port. [ohm]

    Returns
    -------
    Retuning
        Values before and after.

    Notes
    -----
    Equal capacitors, and currents that are alike at all gaps: then the gaps' reactances add, and their sum has to take
    up the reactance that is left. Exact for a lumped loop; elsewhere to first order in the change. Half of a bandwidth
    is where reactance equals resistance, so the shift is their ratio, turned round in sign.
    """
    here_f, n = np.asarray(capacitance_f, dtype=np.float64), np.asarray(gaps, dtype=np.float64)
    left_ohm = np.asarray(reactance_there_ohm, dtype=np.float64)
    new_f = n / (2 * pi * to_hz * (n / (2 * pi * to_hz * here_f) + left_ohm))
    return Retuning(
        from_hz=from_hz,
        to_hz=to_hz,
        capacitance_f=here_f,
        new_capacitance_f=np.asarray(new_f),
        total_f=np.asarray(here_f / n),
        new_total_f=np.asarray(new_f / n),
        shift_half_widths=np.asarray(-left_ohm / np.asarray(resistance_ohm)),
    )
