r"""Two diodes back to back under a radio-frequency voltage: how well they conduct at which amplitude.

A sinusoidal junction voltage :math:`V\cos\theta` drives :math:`2 I_s \sinh(V\cos\theta / n V_T)` through the pair. By
Jacobi and Anger its fundamental is :math:`4 I_s I_1(V / n V_T)`, exactly, with the modified Bessel function; the ratio
of the two is the conductance that a circuit at one frequency sees (the describing function).
"""

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ive

from loopwright.ground.constants import BOLTZMANN_J_PER_K, ELEMENTARY_CHARGE_C
from loopwright.ground.sources import Flag, Source

__all__ = [
    "GENERIC_CROSSED_DIODES",
    "CrossedDiodes",
    "junction_admittance_s",
]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class CrossedDiodes:
    """An antiparallel pair of equal diodes.

    Attributes
    ----------
    saturation_current_a
        Of each diode. [A]
    emission
        Ideality of the exponential law.
    junction_capacitance_f
        Of the pair. [F]
    series_resistance_ohm
        Of the diode that conducts. [ohm]
    temperature_k
        Of the junctions. [K]
    source
        Where the values come from.
    """

    saturation_current_a: float
    emission: float
    junction_capacitance_f: float
    series_resistance_ohm: float
    temperature_k: float
    source: Source

    def __post_init__(self) -> None:
        """Refuse a pair that no junction could make."""
        positive = (self.saturation_current_a, self.emission, self.temperature_k)
        if min(positive) <= 0 or min(self.junction_capacitance_f, self.series_resistance_ohm) < 0:
            raise ValueError(
                "crossed diodes: saturation current, emission and temperature must be above 0, capacitance and series "
                f"resistance not below; found {positive}, {self.junction_capacitance_f:g} F, "
                f"{self.series_resistance_ohm:g} ohm"
            )

    @property
    def scale_v(self) -> float:
        """Voltage over which the current grows e-fold, n k T / q. [V]"""
        return self.emission * BOLTZMANN_J_PER_K * self.temperature_k / ELEMENTARY_CHARGE_C


#: A pair of small fast silicon diodes: 0.65 V at 5 mA each.
GENERIC_CROSSED_DIODES = CrossedDiodes(
    saturation_current_a=2.5e-9,
    emission=1.75,
    junction_capacitance_f=4e-12,
    series_resistance_ohm=0.5,
    temperature_k=293.15,
    source=Source(key="", where="order of size of small fast silicon diodes; measure your own", flag=Flag.MEMORY),
)


def junction_admittance_s(amplitude_v: ArrayLike, *, diodes: CrossedDiodes, frequency_hz: ArrayLike) -> Complexes:
    """Admittance of the two junctions to the fundamental of a sinusoidal voltage across them.

    Parameters
    ----------
    amplitude_v : array_like, shape (...)
        Peak voltage across the junctions, up to 600 times :attr:`CrossedDiodes.scale_v`; zero is small-signal. [V]
    diodes : CrossedDiodes
        The pair.
    frequency_hz : array_like, shape (...)
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (...)
        4 Is I1(V / nVT) / V + j omega C. [S]
    """
    x = np.asarray(amplitude_v, dtype=np.float64) / diodes.scale_v
    conductance_s = np.exp(_log_conductance(x, diodes))
    return np.asarray(conductance_s + 2j * pi * np.asarray(frequency_hz) * diodes.junction_capacitance_f)


def _log_conductance(x: Floats, diodes: CrossedDiodes) -> Floats:
    """Logarithm of 4 Is I1(x) / (x nVT); at no voltage I1(x) / x is a half."""
    small = np.asarray(x) < 1e-8
    kept = np.where(small, 1.0, x)
    ratio = np.where(small, 0.5, ive(1, kept) / kept)
    return np.asarray(np.log(4 * diodes.saturation_current_a / diodes.scale_v * ratio) + x)
