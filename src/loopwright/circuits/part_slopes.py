"""How the admittance of a part goes with its value and with the frequency."""

from typing import assert_never

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.part_admittance import line_propagation
from loopwright.circuits.parts import Capacitor, Inductor, Line, OffGap, PassivePart, Resistor

__all__ = ["admittance_slopes_siemens", "line_slopes_siemens"]

Complexes = NDArray[np.complex128]


def admittance_slopes_siemens(part: PassivePart, frequency_hz: ArrayLike) -> tuple[Complexes, Complexes]:
    """Derivatives of a part's admittance by the logarithms of its main value and of the frequency.

    Parameters
    ----------
    part : PassivePart
        Fields of shape (...) or numbers.
    frequency_hz : array_like, shape (...)
        [Hz]

    Returns
    -------
    by_value_siemens, by_frequency_siemens : ndarray, shape (...)
        The main value is the capacitance, inductance or resistance; quality factor, series resistance and
        self-resonance stay. [S]
    """
    w = 2 * np.pi * np.asarray(frequency_hz, dtype=np.float64)
    match part:
        case Resistor():
            y = 1 / (part.resistance_ohm + 1j * w * part.inductance_h)
            by_value, by_frequency = -(y**2) * part.resistance_ohm, -(y**2) * 1j * w * part.inductance_h
        case Capacitor():
            own = (1 / np.asarray(part.quality_factor) - 1j) / (w * part.capacitance_f)
            by_value = by_frequency = own / (part.series_resistance_ohm + own) ** 2
        case Inductor():
            coil = 1 / ((1 / np.asarray(part.quality_factor) + 1j) * w * part.inductance_h)
            resonance = 2 * np.pi * np.asarray(part.self_resonance_hz, dtype=np.float64)
            across = 1j * w / (resonance**2 * part.inductance_h)
            by_value, by_frequency = -coil - across, -coil + across
        case OffGap():
            y = 1 / np.asarray(part.resistance_ohm, dtype=np.complex128)
            by_value, by_frequency = -y, 0 * y + 1j * w * part.capacitance_f
        case _:
            assert_never(part)
    return np.asarray(by_value), np.asarray(by_frequency)


def line_slopes_siemens(
    line: Line, frequency_hz: ArrayLike
) -> tuple[tuple[Complexes, Complexes], tuple[Complexes, Complexes]]:
    """Derivatives of a line's own and mutual admittance by the logarithms of its length and of the frequency.

    Parameters
    ----------
    line : Line
        Fields of shape (...) or numbers.
    frequency_hz : array_like, shape (...)
        [Hz]

    Returns
    -------
    by_length_siemens, by_frequency_siemens : pair of ndarray, shape (...)
        Own and mutual admittance each. [S]
    """
    gl = line_propagation(line, frequency_hz)
    own = -1 / (line.characteristic_ohm * np.sinh(gl) ** 2)
    mutual = np.cosh(gl) / (line.characteristic_ohm * np.sinh(gl) ** 2)
    with_frequency = gl.real / 2 + 1j * gl.imag
    by_length = (np.asarray(own * gl), np.asarray(mutual * gl))
    return by_length, (np.asarray(own * with_frequency), np.asarray(mutual * with_frequency))
