"""What every passive part is at a frequency."""

from typing import assert_never

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.parts import Capacitor, Inductor, Line, OffGap, PassivePart, Resistor
from loopwright.ground.constants import SPEED_OF_LIGHT_M_PER_S

__all__ = ["admittance_siemens", "line_admittance_siemens", "line_propagation"]

Complexes = NDArray[np.complex128]

#: Decibels per neper.
_DB_PER_NEPER = 20 / np.log(10)


def admittance_siemens(part: PassivePart, frequency_hz: ArrayLike) -> Complexes:
    """Admittance of a part.

    Parameters
    ----------
    part : PassivePart
        Fields of shape (...) or numbers.
    frequency_hz : array_like, shape (...)
        Broadcasts against the fields. [Hz]

    Returns
    -------
    ndarray, shape (...)
        Infinite, or nearly so, at a series resonance without loss. [S]
    """
    w = 2 * np.pi * np.asarray(frequency_hz, dtype=np.float64)
    match part:
        case Resistor():
            return np.asarray(1 / (part.resistance_ohm + 1j * w * part.inductance_h))
        case Capacitor():
            reactance_ohm = 1 / (w * part.capacitance_f)
            return np.asarray(
                1 / (part.series_resistance_ohm + (1 / np.asarray(part.quality_factor) - 1j) * reactance_ohm)
            )
        case Inductor():
            coil = 1 / ((1 / np.asarray(part.quality_factor) + 1j) * w * part.inductance_h)
            resonance = 2 * np.pi * np.asarray(part.self_resonance_hz, dtype=np.float64)
            return np.asarray(coil + 1j * w / (resonance**2 * part.inductance_h))
        case OffGap():
            return np.asarray(1 / np.asarray(part.resistance_ohm) + 1j * w * part.capacitance_f)
    assert_never(part)


def line_admittance_siemens(line: Line, frequency_hz: ArrayLike) -> tuple[Complexes, Complexes]:
    """Admittances of a piece of line between its two ends.

    Parameters
    ----------
    line : Line
        Fields of shape (...) or numbers.
    frequency_hz : array_like, shape (...)
        [Hz]

    Returns
    -------
    own_siemens, mutual_siemens : ndarray, shape (...)
        Y11 = Y22 = coth(gl) / Z0 and Y12 = Y21 = -1 / (Z0 sinh(gl)), currents counted into the line. [S]

    Notes
    -----
    A lossless line of an exact number of half waves has no finite admittance; any loss makes it one.
    """
    gl = line_propagation(line, frequency_hz)
    own = 1 / (line.characteristic_ohm * np.tanh(gl))
    mutual = -1 / (line.characteristic_ohm * np.sinh(gl))
    return np.asarray(own), np.asarray(mutual)


def line_propagation(line: Line, frequency_hz: ArrayLike) -> Complexes:
    """Attenuation in nepers and phase in radians along a piece of line, as one complex number.

    Parameters
    ----------
    line : Line
        Fields of shape (...) or numbers.
    frequency_hz : array_like, shape (...)
        [Hz]

    Returns
    -------
    ndarray, shape (...)
        gl: its real part goes with the root of the frequency, its imaginary part with the frequency.
    """
    f = np.asarray(frequency_hz, dtype=np.float64)
    attenuation = np.asarray(line.loss_db_per_m) / _DB_PER_NEPER * np.sqrt(f / line.loss_frequency_hz)
    phase = 2 * np.pi * f / (line.velocity_factor * SPEED_OF_LIGHT_M_PER_S)
    return np.asarray((attenuation + 1j * phase) * line.length_m)
