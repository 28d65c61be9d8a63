"""A flexible variable capacitor: equal plates in strings, of which bridges choose how many count.

There are m strings side by side. A string has n plates in series; bridges short the plates that are not wanted, or
leave the whole string open. A string with j plates in use has C/j, so the set reaches from C/n to m C.
"""

from dataclasses import dataclass
from itertools import combinations_with_replacement, pairwise
from math import pi

from loopwright.ground.errors import OutsideModelError

__all__ = ["BridgedPlates", "Setting", "setting_for", "settings_of", "widest_gap"]

_MOST = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class BridgedPlates:
    """``strings`` strings of ``in_series`` equal plates.

    Attributes
    ----------
    plate_f : float
        Capacitance of one plate. [F]
    plate_resistance_ohm : float
        Resistance in series with it. [ohm]
    plate_loss_tangent : float
        Loss of its film, the share of the field in it counted.
    plate_v : float
        Voltage that it bears, peak. [V]
    """

    strings: int
    in_series: int
    plate_f: float
    plate_resistance_ohm: float
    plate_loss_tangent: float
    plate_v: float

    def __post_init__(self) -> None:
        """Refuse sets that nobody would print."""
        if not (1 <= self.strings <= _MOST and 1 <= self.in_series <= _MOST):
            raise OutsideModelError(
                f"{self.strings} strings of {self.in_series} plates: both must lie from 1 to {_MOST}"
            )
        if not (self.plate_f > 0 and self.plate_resistance_ohm >= 0 and self.plate_loss_tangent >= 0):
            raise OutsideModelError("a plate needs a capacitance above 0, and losses that are not negative")


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One choice of bridges: how many plates count in each string that is joined, and what comes of it.

    Capacitance [F], quality factor at the frequency asked for, and the voltage that the weakest string bears [V].
    """

    plates_in_use: tuple[int, ...]
    capacitance_f: float
    quality_factor: float
    withstand_v: float


def settings_of(plates: BridgedPlates, frequency_hz: float) -> tuple[Setting, ...]:
    """Every value that bridges can choose, the smallest first.

    Parameters
    ----------
    plates : BridgedPlates
        The set.
    frequency_hz : float
        Frequency, for the losses. [Hz]

    Notes
    -----
    Admittances of strings add, impedances of plates in a string add. Bridges are taken as perfect, and the stray field
    between strings, which grows with their number, is left out: measure a printed set once.
    """
    chosen = (
        in_use
        for joined in range(1, plates.strings + 1)
        for in_use in combinations_with_replacement(range(plates.in_series, 0, -1), joined)
    )
    return tuple(
        sorted((_setting(plates, in_use, frequency_hz) for in_use in chosen), key=lambda one: one.capacitance_f)
    )


def _setting(plates: BridgedPlates, in_use: tuple[int, ...], frequency_hz: float) -> Setting:
    w = 2 * pi * frequency_hz
    one_ohm = plates.plate_resistance_ohm + 1 / (1j * w * plates.plate_f * (1 - 1j * plates.plate_loss_tangent))
    admittance = sum(1 / (count * one_ohm) for count in in_use)
    return Setting(
        plates_in_use=in_use,
        capacitance_f=plates.plate_f * sum(1 / count for count in in_use),
        quality_factor=abs(admittance.imag) / admittance.real if admittance.real > 0 else float("inf"),
        withstand_v=plates.plate_v * min(in_use),
    )


def setting_for(plates: BridgedPlates, capacitance_f: float, frequency_hz: float, *, least_v: float = 0.0) -> Setting:
    """The setting nearest to a wanted capacitance that bears a voltage.

    Parameters
    ----------
    plates : BridgedPlates
        The set.
    capacitance_f : float
        Wanted capacitance. [F]
    frequency_hz : float
        Frequency, for the losses. [Hz]
    least_v : float
        Voltage that it has to bear, peak. [V]

    Raises
    ------
    OutsideModelError
        If no setting bears the voltage, or the wanted value lies beyond half or twice all that do.
    """
    able = [one for one in settings_of(plates, frequency_hz) if one.withstand_v >= least_v]
    if not able or not able[0].capacitance_f / 2 <= capacitance_f <= 2 * able[-1].capacitance_f:
        reach = f"{1e12 * able[0].capacitance_f:.3g} to {1e12 * able[-1].capacitance_f:.3g} pF" if able else "nothing"
        raise OutsideModelError(
            f"{1e12 * capacitance_f:.3g} pF at {least_v:.3g} V: with this voltage the set reaches {reach}. Use more "
            "strings, or plates of another size."
        )
    return min(able, key=lambda one: abs(one.capacitance_f - capacitance_f))


def widest_gap(plates: BridgedPlates, low_f: float, high_f: float) -> float:
    """Largest step between neighbouring values in a range, over the lower of the two.

    Parameters
    ----------
    plates : BridgedPlates
        The set.
    low_f, high_f : float
        The range; values next to it count. [F]
    """
    values = [one.capacitance_f for one in settings_of(plates, 1e6)]
    steps = [b / a - 1 for a, b in pairwise(values) if b > low_f and a < high_f]
    if not steps:
        raise OutsideModelError(
            f"no two neighbouring values between {1e12 * low_f:.3g} and {1e12 * high_f:.3g} pF: the set reaches from "
            f"{1e12 * values[0]:.3g} to {1e12 * values[-1]:.3g} pF"
        )
    return max(steps)
