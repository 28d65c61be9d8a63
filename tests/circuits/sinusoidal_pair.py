"""A pair behind a source by itself, its junction voltage taken as sinusoidal: a reference in closed form.

Where the circuit imposes the current the voltage is nearer to a square wave, up to 4/pi greater.
"""

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ive

from loopwright.circuits.bias.crossed_diodes import CrossedDiodes, junction_admittance_s
from loopwright.circuits.bias.rising_root import rising_root

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class CrossedDiodeState:
    """The pair at the end of a source: amplitudes are peak, all arrays of the shape of the source.

    Attributes
    ----------
    junction_voltage_v, terminal_voltage_v, current_a
        Peak phasors; the phase is that of the source's EMF. [V], [A]
    admittance_s
        Of the whole pair at its terminals, series resistance included: what stands for it in a circuit at this
        frequency and amplitude. [S]
    conducting
        Whether the junctions carry more current than their capacitance.
    """

    junction_voltage_v: Complexes
    terminal_voltage_v: Complexes
    current_a: Complexes
    admittance_s: Complexes
    conducting: NDArray[np.bool_]


def drive_crossed_diodes(
    emf_v: ArrayLike, source_ohm: ArrayLike, *, diodes: CrossedDiodes, frequency_hz: ArrayLike
) -> CrossedDiodeState:
    """Find amplitude and admittance of the pair at the end of a source.

    Parameters
    ----------
    emf_v : array_like, shape (...)
        EMF behind the diodes' terminals, peak phasor: the voltage there with the diodes taken out. [V]
    source_ohm : array_like, shape (...)
        Impedance seen from the terminals at this frequency; its real part must not be negative. [ohm]
    diodes : CrossedDiodes
        The pair.
    frequency_hz : array_like, shape (...)
        Frequency. [Hz]

    Returns
    -------
    CrossedDiodeState
        The one state that there is. Far below the transition it is the pair switched off: its capacitance, and the
        conductance 2 Is / nVT.

    Raises
    ------
    ValueError
        If a source gives power to whatever is connected, Re Z < 0.

    Notes
    -----
    With Z' the source and the series resistance, V the junction's amplitude and g its current, the condition is
    ``|(1 + j omega C Z') V + Z' g(V)| = |EMF|``. Every term of the square grows with V while Re Z' >= 0, so the root is
    single and halving finds it; logarithms keep the exponential within range.
    """
    emf, source = np.broadcast_arrays(
        np.asarray(emf_v, dtype=np.complex128), np.asarray(source_ohm, dtype=np.complex128)
    )
    f = np.asarray(frequency_hz, dtype=np.float64)
    if np.any(source.real < 0):
        raise ValueError(f"a source of {source.real.min():.3g} ohm gives power away: Re Z must not be negative")
    behind = np.asarray(source + diodes.series_resistance_ohm, dtype=np.complex128)
    detour = np.asarray(1 + 2j * pi * f * diodes.junction_capacitance_f * behind, dtype=np.complex128)
    amplitude_v = _amplitude_v(np.abs(emf), behind, detour, diodes)
    junction = junction_admittance_s(amplitude_v, diodes=diodes, frequency_hz=f)
    junction_v = emf / (1 + behind * junction)
    current = junction * junction_v
    return CrossedDiodeState(
        junction_voltage_v=np.asarray(junction_v),
        terminal_voltage_v=np.asarray(emf - source * current),
        current_a=np.asarray(current),
        admittance_s=np.asarray(junction / (1 + diodes.series_resistance_ohm * junction)),
        conducting=np.asarray(junction.real > junction.imag),
    )


def transition_emf_v(source_ohm: ArrayLike, *, diodes: CrossedDiodes, frequency_hz: ArrayLike) -> Floats:
    """EMF at which the diodes begin to matter: they conduct as well as all that lies beside them.

    Parameters
    ----------
    source_ohm : array_like, shape (...)
        Impedance seen from the terminals, not zero. [ohm]
    diodes : CrossedDiodes
        The pair.
    frequency_hz : array_like, shape (...)
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (...)
        Peak EMF at which the junctions' conductance equals ``|1 / Z' + j omega C|``, Z' the source and the series
        resistance. It is proportional to the transmit field, so their ratio gives the field at which they act. Zero
        where the junctions conduct better than that at no voltage. [V]
    """
    behind = np.asarray(source_ohm, dtype=np.complex128) + diodes.series_resistance_ohm
    beside = 1 / behind + 2j * pi * np.asarray(frequency_hz) * diodes.junction_capacitance_f
    wanted = np.log(np.abs(beside))
    low = np.zeros(wanted.shape)
    high = 4 + 2 * np.maximum(wanted - log_conductance(low, diodes), 0)
    x = rising_root(lambda x: log_conductance(x, diodes) - wanted, low, high)
    voltage_v = x * diodes.scale_v
    return np.asarray(np.abs(behind) * np.abs(beside + np.abs(beside)) * voltage_v)


def log_conductance(x: Floats, diodes: CrossedDiodes) -> Floats:
    """Logarithm of 4 Is I1(x) / (x nVT); at no voltage I1(x) / x is a half."""
    small = np.asarray(x) < 1e-8
    kept = np.where(small, 1.0, x)
    ratio = np.where(small, 0.5, ive(1, kept) / kept)
    return np.asarray(np.log(4 * diodes.saturation_current_a / diodes.scale_v * ratio) + x)


def _amplitude_v(emf_v: Floats, behind: Complexes, detour: Complexes, diodes: CrossedDiodes) -> Floats:
    """Peak voltage across the junctions. [V]"""
    with np.errstate(divide="ignore"):
        log_emf = np.log(emf_v)
        without_conduction = emf_v / np.abs(detour) / diodes.scale_v
        by_conduction = 2 + 2 * np.log1p(emf_v / (4 * diodes.saturation_current_a * np.abs(behind)))

    def excess(x: Floats) -> Floats:
        conductance_ohm = behind * np.exp(log_conductance(x, diodes) - x)
        with np.errstate(divide="ignore", invalid="ignore"):  # no EMF: the bracket itself is the root, zero
            return np.asarray(np.log(np.abs(detour * np.exp(-x) + conductance_ohm) * x * diodes.scale_v) + x - log_emf)

    high = np.minimum(without_conduction, by_conduction)
    return rising_root(excess, np.zeros(high.shape), high) * diodes.scale_v
