"""Two pick-up loops, decoupled from each other, before an element: what a network analyser shows of it.

The current that one probe drives in the element's loop induces a voltage in the other, so that weakly coupled probes
show the loop's admittance. A strongly decoupled loop shows two humps and a dip between them; three ways of reading such
a curve are in use, and they agree only where there is one hump.
"""

from dataclasses import dataclass
from enum import Enum
from math import pi

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.tuned.matching import scattering

__all__ = ["ProbeCurve", "ProbeReading", "probe_scattering"]

Complexes = NDArray[np.complex128]
Floats = NDArray[np.float64]


class ProbeReading(Enum):
    """Where on a probe's curve the level is read."""

    AT_OPERATION = "at the operating frequency"
    AT_DIP = "at the least between two humps; at the hump where the band shows one; at its least where it shows none"
    AT_REAL = "where the loop's impedance is real, nearest to the operating frequency (the phase is that of resonance)"


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeCurve:
    """Admittance of a loop over a band, which weakly coupled probes show as S21.

    Attributes
    ----------
    operating_hz : float
        [Hz]
    frequencies_hz : ndarray, shape (F,)
        [Hz]
    loop_siemens : ndarray, shape (F,)
        Mean gap current per volt round the loop. [S]
    """

    operating_hz: float
    frequencies_hz: Floats
    loop_siemens: Complexes

    @property
    def humps(self) -> NDArray[np.intp]:
        """Samples higher than both neighbours, in the order of frequency."""
        level = np.abs(self.loop_siemens)
        return np.flatnonzero((level[1:-1] > level[:-2]) & (level[1:-1] >= level[2:])) + 1

    def read_hz(self, reading: ProbeReading) -> float | None:
        """Frequency at which a way of reading looks; None where the band holds no such place. [Hz]"""
        match reading:
            case ProbeReading.AT_OPERATION:
                return self.operating_hz
            case ProbeReading.AT_DIP:
                return self._dip_hz()
            case ProbeReading.AT_REAL:
                return self._real_hz()

    def read_siemens(self, reading: ProbeReading) -> float | None:
        """Magnitude of the loop's admittance there, between samples linearly; None where there is no place. [S]"""
        at_hz = self.read_hz(reading)
        return None if at_hz is None else float(np.interp(at_hz, self.frequencies_hz, np.abs(self.loop_siemens)))

    def _dip_hz(self) -> float | None:
        level, humps = np.abs(self.loop_siemens), self.humps
        if not humps.size:
            least = int(np.argmin(level))
            return float(self.frequencies_hz[least]) if 0 < least < len(level) - 1 else None
        if humps.size == 1:
            return float(self.frequencies_hz[humps[0]])
        low, high = np.sort(humps[np.argsort(level[humps])[-2:]])
        return float(self.frequencies_hz[low + np.argmin(level[low : high + 1])])

    def _real_hz(self) -> float | None:
        reactance = (1 / self.loop_siemens).imag
        left = np.flatnonzero((reactance[:-1] <= 0) != (reactance[1:] <= 0))
        if not left.size:
            return None
        share = reactance[left] / (reactance[left] - reactance[left + 1])
        crossings = self.frequencies_hz[left] + share * (self.frequencies_hz[left + 1] - self.frequencies_hz[left])
        return float(crossings[np.argmin(np.abs(crossings - self.operating_hz))])


def probe_scattering(
    curve: ProbeCurve, *, mutual_h: float, probe_inductance_h: float, reference_ohm: float = 50.0
) -> Complexes:
    """Scattering between two equal probes before a loop.

    Parameters
    ----------
    curve : ProbeCurve
        The loop.
    mutual_h : float
        Mutual inductance of either probe and the loop. [H]
    probe_inductance_h : float
        Of either probe. [H]
    reference_ohm : float
        Real, of the analyser. [ohm]

    Returns
    -------
    ndarray, shape (F, 2, 2)

    Notes
    -----
    The probes' own coupling is left out: well made ones keep it 50 dB down (common practice). Coupling is weak where
    S21 goes with mutual_h squared; beyond that the probes load the loop.
    """
    w = 2 * pi * curve.frequencies_hz
    through = w**2 * mutual_h**2 * curve.loop_siemens
    z = through[:, None, None] * np.ones((2, 2)) + 1j * w[:, None, None] * probe_inductance_h * np.eye(2)
    return scattering(z, reference_ohm)
