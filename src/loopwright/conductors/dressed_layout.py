"""A layout dressed in conductor: what it is made of, and the other losses that sit in each element."""

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray

from loopwright.conductors.coaxial_line import CoaxialCable
from loopwright.conductors.cross_section import CrossSection
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import Layout

__all__ = ["DressedLayout", "capacitor_series_resistance_ohm"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DressedLayout:
    """Every element of a layout, made of one conductor, with its capacitors' quality and its joints.

    ``gap_qualities`` is the quality of each element's own capacitors where it is known better than ``capacitor_q``.
    ``other_series_resistance_ohm`` is whatever else stands in series once per element: solder joints, fuse, trap.
    ``cable`` is that of coaxial elements, whose cross section is the outside of the shield; their ``capacitor_q`` is
    that of the part across the terminal.
    """

    layout: Layout
    cross_section: CrossSection
    capacitor_q: float
    other_series_resistance_ohm: float
    cable: CoaxialCable | None = None
    gap_qualities: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        """Refuse losses that no part has."""
        if not self.capacitor_q > 0:
            raise OutsideModelError(f"capacitor_q = {self.capacitor_q:g} must be greater than 0")
        if self.gap_qualities and len(self.gap_qualities) != len(self.layout.elements):
            raise OutsideModelError(
                f"{len(self.gap_qualities)} qualities of capacitors for {len(self.layout.elements)} elements"
            )
        if not self.other_series_resistance_ohm >= 0:
            raise OutsideModelError(
                f"other_series_resistance_ohm = {self.other_series_resistance_ohm:g} must not be negative"
            )

    @property
    def capacitor_qualities(self) -> NDArray[np.float64]:
        """Quality of the capacitors of each element, shape (E,)."""
        return np.array(self.gap_qualities or (self.capacitor_q,) * len(self.layout.elements))


def capacitor_series_resistance_ohm(capacitance_f: float, frequency_hz: float, *, quality_factor: float) -> float:
    """Series resistance of a capacitor of given quality.

    Parameters
    ----------
    capacitance_f : float
        Capacitance. [F]
    frequency_hz : float
        Frequency. [Hz]
    quality_factor : float
        Reactance over series resistance.

    Returns
    -------
    float
        Equivalent series resistance. [ohm]
    """
    return 1 / (2 * pi * frequency_hz * capacitance_f * quality_factor)
