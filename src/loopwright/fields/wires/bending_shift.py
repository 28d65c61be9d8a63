"""What bending does to each element of a flat pattern: its inductance, and its resonance with the same capacitors."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.wires.flexed_frequency import flexed_frequencies_hz
from loopwright.fields.wires.neighbour_coupling import loop_reactances_ohm
from loopwright.layouts import Element

__all__ = ["BendingShift", "bending_shift"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BendingShift:
    """Of every element (elements,): inductance flat and laid [H], resonance tuned flat and then laid. [Hz]"""

    names: tuple[str, ...]
    flat_h: Floats
    laid_h: Floats
    tuned_hz: float
    laid_hz: Floats

    @property
    def relative(self) -> Floats:
        """Change of the resonance over the resonance, shape (elements,)."""
        return np.asarray(self.laid_hz / self.tuned_hz - 1)


def bending_shift(
    flat: Sequence[Element], laid: Sequence[Element], *, conductor_radius_m: float, frequency_hz: float
) -> BendingShift:
    """Inductance and resonance of each element alone, flat and laid.

    Parameters
    ----------
    flat, laid : sequence of Element
        The elements as they were tuned, and as they lie on the body.
    conductor_radius_m : float
        Radius of the round wire that stands for the conductor. [m]
    frequency_hz : float
        At which each is resonant when flat. [Hz]

    Returns
    -------
    BendingShift

    Notes
    -----
    One uniform current round each element.  Body, neighbours and what bending does to conductor and capacitors are not
    in it.
    """
    sets = [
        _inductances_h(elements, conductor_radius_m=conductor_radius_m, frequency_hz=frequency_hz)
        for elements in (flat, laid)
    ]
    return BendingShift(
        names=tuple(element.name for element in laid),
        flat_h=sets[0],
        laid_h=sets[1],
        tuned_hz=frequency_hz,
        laid_hz=flexed_frequencies_hz(flat, laid, conductor_radius_m=conductor_radius_m, frequency_hz=frequency_hz),
    )


def _inductances_h(elements: Sequence[Element], *, conductor_radius_m: float, frequency_hz: float) -> Floats:
    own = np.stack([np.arange(len(elements))] * 2, axis=1)
    lines = [np.asarray(element.vertices_m, dtype=np.float64) for element in elements]
    reactance = loop_reactances_ohm(lines, own, conductor_radius_m=conductor_radius_m, frequency_hz=frequency_hz)
    return reactance / (2 * np.pi * frequency_hz)
