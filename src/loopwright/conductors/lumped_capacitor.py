"""A lumped capacitor: its series resistance against frequency and value."""

from dataclasses import dataclass
from math import pi, sqrt

from loopwright.ground.errors import OutsideModelError

__all__ = [
    "GivenQ",
    "GivenResistance",
    "LumpedLoss",
    "lumped_q",
    "lumped_resistance_ohm",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenQ:
    """Loss as a quality factor that holds at every value and frequency of the band: the dielectric's own."""

    quality_factor: float

    def __post_init__(self) -> None:
        """Refuse a part that gives power."""
        if not self.quality_factor > 0:
            raise OutsideModelError(f"quality_factor = {self.quality_factor:g} must be greater than 0")


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenResistance:
    """Loss as a series resistance at one frequency: that of electrodes and terminations. [ohm], [Hz]"""

    resistance_ohm: float
    at_hz: float

    def __post_init__(self) -> None:
        """Refuse a part that gives power."""
        if not (self.resistance_ohm >= 0 and self.at_hz > 0):
            raise OutsideModelError(
                f"resistance_ohm = {self.resistance_ohm:g} must not be negative, at_hz = {self.at_hz:g} above 0"
            )


LumpedLoss = GivenQ | GivenResistance


def lumped_resistance_ohm(loss: LumpedLoss, capacitance_f: float, frequency_hz: float) -> float:
    """Series resistance of a lumped capacitor.

    Parameters
    ----------
    loss : LumpedLoss
        What is known of its loss.
    capacitance_f : float
        Capacitance. [F]
    frequency_hz : float
        Frequency. [Hz]

    Notes
    -----
    A given Q gives 1/(w C Q). A given resistance grows as the root of the frequency, as skin effect in its metal does,
    and is the same for every value of the class: common practice from 50 MHz to 1 GHz for C0G and porcelain parts.
    Real parts of few picofarads lie above it.
    """
    if not (capacitance_f > 0 and frequency_hz > 0):
        raise OutsideModelError(
            f"capacitance_f = {capacitance_f:g} and frequency_hz = {frequency_hz:g} must be greater than 0"
        )
    match loss:
        case GivenQ(quality_factor=q):
            return 1 / (2 * pi * frequency_hz * capacitance_f * q)
        case GivenResistance(resistance_ohm=r, at_hz=at_hz):
            return r * sqrt(frequency_hz / at_hz)


def lumped_q(loss: LumpedLoss, capacitance_f: float, frequency_hz: float) -> float:
    """Quality factor of a lumped capacitor; infinite without loss.

    Parameters
    ----------
    loss : LumpedLoss
        What is known of its loss.
    capacitance_f : float
        Capacitance. [F]
    frequency_hz : float
        Frequency. [Hz]
    """
    resistance_ohm = lumped_resistance_ohm(loss, capacitance_f, frequency_hz)
    reactance_ohm = 1 / (2 * pi * frequency_hz * capacitance_f)
    return reactance_ohm / resistance_ohm if resistance_ohm > 0 else float("inf")
