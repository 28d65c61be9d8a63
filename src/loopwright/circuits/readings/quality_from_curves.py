"""Quality factor from the curve of a resonance, by three methods that a bench uses."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.ground.errors import OutsideModelError

__all__ = ["LEAST_SAMPLES", "QualityByThree", "quality_by_three_methods"]

Reals = NDArray[np.float64]

#: Samples within the half-power width below which a curve is refused; with six the three agree within 2 %.
LEAST_SAMPLES = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class QualityByThree:
    """One resonance and its quality factor, three times.

    Attributes
    ----------
    resonance_hz : float
        Peak of the curve. [Hz]
    by_three_decibels : float
        From the width at half the power.
    by_phase_slope : float
        From the slope of the phase at the peak.
    by_forty_five_degrees : float
        From the frequencies at which the phase has turned by an eighth of a turn either way.
    """

    resonance_hz: float
    by_three_decibels: float
    by_phase_slope: float
    by_forty_five_degrees: float

    @property
    def spread(self) -> float:
        """Largest less least of the three, over their mean."""
        three = (self.by_three_decibels, self.by_phase_slope, self.by_forty_five_degrees)
        return (max(three) - min(three)) * len(three) / sum(three)


def quality_by_three_methods(frequencies_hz: ArrayLike, response: ArrayLike) -> QualityByThree:
    """Read the quality factor off a resonance curve.

    Parameters
    ----------
    frequencies_hz : array_like, shape (F,)
        Rising, at least a dozen across the width. [Hz]
    response : array_like, shape (F,)
        Complex, going with the current of the resonance: transmission of a loosely coupled double probe, or the
        admittance of a series resonance (one over its impedance).

    Returns
    -------
    QualityByThree

    Raises
    ------
    OutsideModelError
        If there is no peak inside the band, the band ends before the curve has fallen by 3 dB on both sides, or fewer
        than six samples lie within that width.

    Notes
    -----
    One resonance, 1 / (1 + 2jQ (f - f0) / f0) near its peak. The inverse of the squared size is a parabola there; peak
    and slope come from parabolas through neighbouring points, crossings from straight lines. Textbook; the three differ
    where another resonance, or the coupling between the probes, stands in the curve.
    """
    f, curve = np.asarray(frequencies_hz, dtype=np.float64), np.asarray(response, dtype=np.complex128)
    top = int(np.argmax(np.abs(curve)))
    if not 1 < top < len(f) - 2:
        raise OutsideModelError("the peak lies at the end of the band: sweep a wider band, or one around the resonance")
    near = slice(top - 2, top + 3)
    place = f[near] - f[top]
    a, b, c = np.polyfit(place, 1 / np.abs(curve[near]) ** 2, 2)
    peak_hz, least = float(f[top] - b / (2 * a)), float(c - b**2 / (4 * a))
    low, high = _crossings_hz(f, 1 / np.abs(curve) ** 2 - 2 * least, top)
    step_hz = float(np.diff(f[near]).max())
    if not high - low >= LEAST_SAMPLES * step_hz:
        raise OutsideModelError(
            f"the resonance is {(high - low) / 1e3:.3g} kHz wide and the samples {step_hz / 1e3:.3g} kHz apart: sweep "
            f"at least {LEAST_SAMPLES:g} samples within its width"
        )
    phase = np.unwrap(np.angle(curve))
    cubic = np.polyfit(place, phase[near], 3)
    at_peak = float(np.polyval(cubic, peak_hz - f[top]))
    slope = float(np.polyval(np.polyder(cubic), peak_hz - f[top]))
    below, above = _crossings_hz(f, np.abs(phase - at_peak) - np.pi / 4, top)
    return QualityByThree(
        resonance_hz=peak_hz,
        by_three_decibels=peak_hz / (high - low),
        by_phase_slope=abs(slope) * peak_hz / 2,
        by_forty_five_degrees=peak_hz / (above - below),
    )


def _crossings_hz(f: Reals, level: Reals, top: int) -> tuple[float, float]:
    """Frequencies below and above the peak at which ``level`` first turns positive."""
    below, above = np.flatnonzero(level[:top] > 0), np.flatnonzero(level[top:] > 0)
    if not below.size or not above.size:
        raise OutsideModelError("the band ends before the curve has fallen by 3 dB on both sides: sweep a wider band")
    i, j = int(below[-1]), top + int(above[0])
    low = f[i] + (f[i + 1] - f[i]) * level[i] / (level[i] - level[i + 1])
    high = f[j - 1] + (f[j] - f[j - 1]) * level[j - 1] / (level[j - 1] - level[j])
    return float(low), float(high)
