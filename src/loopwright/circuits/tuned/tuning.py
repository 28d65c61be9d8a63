"""Which capacitors make an element resonate, and where it resonates with given ones."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from loopwright.circuits.tuned.capacitors import capacitor_impedance_ohm
from loopwright.circuits.tuned.element_ports import close_gaps, gap_loads_ohm
from loopwright.ground.errors import OutsideModelError

__all__ = ["element_port_impedance_ohm", "resonant_frequency_hz", "tuned_capacitance_f"]

#: Candidate capacitances around the uniform-current estimate: 41 steps of 7 %, from a quarter to four times.
_LADDER = 1.07 ** np.arange(-20, 21)


def element_port_impedance_ohm(
    impedance_ohm: NDArray[np.complexfloating],
    capacitance_f: float,
    *,
    frequency_hz: float,
    capacitor_q: float,
    other_series_resistance_ohm: float,
) -> complex:
    """Impedance at the port of one element alone.

    Parameters
    ----------
    impedance_ohm : ndarray, shape (P, P)
        Impedance between the element's own gaps, all gaps of other elements open. [ohm]
    capacitance_f : float
        Capacitor in each gap. [F]
    frequency_hz : float
        Frequency. [Hz]
    capacitor_q : float
        Quality factor of the capacitors.
    other_series_resistance_ohm : float
        Further series resistance in the first gap. [ohm]

    Returns
    -------
    complex
        Impedance seen in a break of the first gap. [ohm]
    """
    owner = np.zeros(len(impedance_ohm), dtype=np.intp)
    capacitor = capacitor_impedance_ohm([capacitance_f], quality_factor=capacitor_q, frequency_hz=frequency_hz)
    loads = gap_loads_ohm(capacitor, port_element=owner, other_series_resistance_ohm=other_series_resistance_ohm)
    return complex(close_gaps(impedance_ohm, loads, port_element=owner).impedance_ohm[0, 0])


def tuned_capacitance_f(
    impedance_ohm: NDArray[np.complexfloating],
    *,
    frequency_hz: float,
    capacitor_q: float,
    other_series_resistance_ohm: float = 0.0,
) -> float:
    """Equal capacitors that bring one element to resonance.

    Parameters
    ----------
    impedance_ohm : ndarray, shape (P, P)
        Impedance between the element's own gaps at the frequency, other elements' gaps open, body included. [ohm]
    frequency_hz : float
        Frequency at which the reactance of the element port shall vanish. [Hz]
    capacitor_q : float
        Quality factor of the capacitors.
    other_series_resistance_ohm : float
        Further series resistance in the first gap. [ohm]

    Returns
    -------
    float
        Capacitance of each of the P gaps. [F]

    Raises
    ------
    OutsideModelError
        If the loop is not inductive, or no resonance lies between a quarter and four times the estimate.

    Notes
    -----
    Of several resonances the one nearest to P / (w X) is taken, X the reactance at equal gap currents: the loop mode.
    The port's reactance rises with the capacitance except at its poles, so a rising change of sign is a root.
    """
    w = 2 * np.pi * frequency_hz
    uniform_ohm = float(np.sum(impedance_ohm).imag)
    if uniform_ohm <= 0:
        raise OutsideModelError(
            f"the loop's reactance at equal gap currents is {uniform_ohm:.3g} ohm: it is not inductive at "
            f"{frequency_hz / 1e6:.4g} MHz, no capacitor tunes it. Use a smaller loop or more gaps."
        )
    estimate_f = len(impedance_ohm) / (w * uniform_ohm)

    def reactance_ohm(capacitance_f: float) -> float:
        return element_port_impedance_ohm(
            impedance_ohm,
            capacitance_f,
            frequency_hz=frequency_hz,
            capacitor_q=capacitor_q,
            other_series_resistance_ohm=other_series_resistance_ohm,
        ).imag

    low_f, high_f = _nearest_rise(reactance_ohm, estimate_f)
    return float(brentq(reactance_ohm, low_f, high_f, xtol=1e-14 * estimate_f, rtol=1e-14))


def _nearest_rise(reactance_ohm: Callable[[float], float], estimate_f: float) -> tuple[float, float]:
    """Bracket the rising change of sign that lies nearest to the estimate."""
    candidates_f = estimate_f * _LADDER
    found_ohm = np.array([reactance_ohm(c) for c in candidates_f])
    rises = np.flatnonzero((found_ohm[:-1] <= 0) & (found_ohm[1:] > 0))
    if rises.size == 0:
        raise OutsideModelError(
            "no equal capacitors between a quarter and four times "
            f"{estimate_f * 1e12:.3g} pF make the element resonate. Give it more gaps."
        )
    best = rises[np.argmin(np.abs(rises + 0.5 - len(_LADDER) // 2))]
    return float(candidates_f[best]), float(candidates_f[best + 1])


def resonant_frequency_hz(
    reactance_ohm: Callable[[float], float], *, near_hz: float, band_hz: tuple[float, float]
) -> float:
    """Frequency at which a reactance vanishes.

    Parameters
    ----------
    reactance_ohm : callable
        Reactance [ohm] as a function of frequency [Hz].
    near_hz : float
        Frequency from which the root is sought. [Hz]
    band_hz : tuple of float
        Band in which the reactance is known. [Hz]

    Returns
    -------
    float
        The root inside the band; where there is none, the straight-line estimate from ``near_hz``. [Hz]
    """
    low_hz, high_hz = band_hz
    if reactance_ohm(low_hz) < 0 < reactance_ohm(high_hz):
        return float(brentq(reactance_ohm, low_hz, high_hz, xtol=1e-9 * near_hz, rtol=1e-12))
    step_hz = (high_hz - low_hz) / 20
    slope = (reactance_ohm(near_hz + step_hz) - reactance_ohm(near_hz - step_hz)) / (2 * step_hz)
    return float(near_hz - reactance_ohm(near_hz) / slope)
