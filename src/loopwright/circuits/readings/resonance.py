"""Quality factor of a resonance from its curve over frequency, in three ways."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import OutsideModelError

__all__ = ["Resonance", "resonance"]

#: How far from its peak, as a share of the width, the phase of a curve is taken for straight: arctan(x)/x at x = 0.1 is
#: 0.3 % from one.
_STRAIGHT = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Resonance:
    """A resonance.

    Attributes
    ----------
    frequency_hz : float
        Of the highest level. [Hz]
    q_by_width : float
        Frequency over the width at half the power (3 dB).
    q_by_slope : float
        Half the frequency times the slope of the phase there.
    q_by_eighths : float
        Frequency over the distance of the two points whose phase lies an eighth of a turn to either side.
    """

    frequency_hz: float
    q_by_width: float
    q_by_slope: float
    q_by_eighths: float


def resonance(frequencies_hz: NDArray[np.float64], response: NDArray[np.complex128]) -> Resonance:
    """Find the highest resonance of a curve, and its quality factor.

    Parameters
    ----------
    frequencies_hz : ndarray, shape (F,)
        Rising; some ten samples over the width at least. [Hz]
    response : ndarray, shape (F,)
        Complex, of any unit: a loop's admittance, or S21 of weakly coupled probes less what they show without the coil.

    Returns
    -------
    Resonance

    Raises
    ------
    OutsideModelError
        If the band ends before the curve has fallen by 3 dB on both sides.
    """
    f, level = frequencies_hz, np.abs(response)
    phase = np.unwrap(np.angle(response))
    top = int(np.argmax(level))
    centre_hz, height = _peak(f, level, top)
    low_hz, high_hz = (_reached_hz(f, level, top, height / np.sqrt(2), side) for side in (-1, 1))
    at_centre = float(np.interp(centre_hz, f, phase))
    falling = np.sign(np.interp(high_hz, f, phase) - np.interp(low_hz, f, phase))
    before_hz, after_hz = (_reached_hz(f, -np.abs(phase - at_centre), top, -np.pi / 4, side) for side in (-1, 1))
    near = max((high_hz - low_hz) * _STRAIGHT, 2 * float(np.max(np.diff(f[max(top - 2, 0) : top + 3]))))
    ends = np.interp([centre_hz - near, centre_hz + near], f, phase)
    slope = falling * (ends[1] - ends[0]) / (2 * near)
    return Resonance(
        frequency_hz=centre_hz,
        q_by_width=centre_hz / (high_hz - low_hz),
        q_by_slope=float(centre_hz * slope / 2),
        q_by_eighths=centre_hz / (after_hz - before_hz),
    )


def _peak(f: NDArray[np.float64], level: NDArray[np.float64], top: int) -> tuple[float, float]:
    """Vertex of the parabola through the highest sample and its neighbours."""
    if not 0 < top < len(f) - 1:
        raise OutsideModelError("the resonance lies outside the band")
    bend, tilt, height = np.polyfit(f[top - 1 : top + 2] - f[top], level[top - 1 : top + 2], 2)
    return float(f[top] - tilt / (2 * bend)), float(height - tilt**2 / (4 * bend))


def _reached_hz(f: NDArray[np.float64], curve: NDArray[np.float64], top: int, value: float, side: int) -> float:
    """First frequency from the peak to one side at which a falling curve reaches a value, between samples linearly."""
    away = curve[top::side] if side < 0 else curve[top:]
    there = f[top::side] if side < 0 else f[top:]
    below = np.flatnonzero(away <= value)
    if not below.size or below[0] == 0:
        raise OutsideModelError("the band ends before the curve has fallen by 3 dB on both sides of its resonance")
    k = int(below[0])
    share = (away[k - 1] - value) / (away[k - 1] - away[k])
    return float(there[k - 1] + share * (there[k] - there[k - 1]))
