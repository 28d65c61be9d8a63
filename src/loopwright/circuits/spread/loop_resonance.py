r"""Where each element by itself is resonant with the parts of its circuit as they are.

An equal voltage in every gap drives the current :math:`A = 1^T (1 + YZ)^{-1} Y 1` through an element of impedance Z
between its gaps and circuit Y across them; :math:`1/A` is the impedance round the loop, and it is real at resonance.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.nodal import reduced
from loopwright.circuits.states import RECEIVING, in_state
from loopwright.circuits.wiring import ElementCircuit
from loopwright.fields.wires.polynomial import interpolate

__all__ = ["loop_resonances_hz"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Frequencies over the band; between two of them the reactance is as good as straight.
_POINTS = 121


def loop_resonances_hz(
    frequencies_hz: Floats,
    port_ohm: Complexes,
    circuits: Sequence[ElementCircuit],
    *,
    port_element: NDArray[np.int64],
    near_hz: float,
) -> Floats:
    """Resonance of every element, its receiver unplugged, diodes blocking and the gaps of all others open.

    Parameters
    ----------
    frequencies_hz : ndarray, shape (F,)
        Sampled frequencies. [Hz]
    port_ohm : ndarray, shape (F, P, P)
        Impedance between the gaps at them. [ohm]
    circuits : sequence of ElementCircuit
        One for each element.
    port_element : ndarray of int, shape (P,)
        Element of each gap.
    near_hz : float
        Where several resonances lie in the band, that nearest to this one counts. [Hz]

    Returns
    -------
    ndarray, shape (E,)
        Not a number where none lies within the band. [Hz]
    """
    band_hz = np.linspace(frequencies_hz[0], frequencies_hz[-1], _POINTS)
    found = []
    for element, circuit in enumerate(circuits):
        gaps = np.flatnonzero(port_element == element)
        own_ohm = interpolate(frequencies_hz, port_ohm[:, gaps[:, None], gaps], band_hz)
        across = reduced(in_state(circuit, RECEIVING), band_hz, 0.0).gap_siemens
        driven = np.linalg.solve(np.eye(len(gaps)) + across @ own_ohm, across.sum(axis=-1, keepdims=True))
        found.append(_crossing_hz((1 / driven[..., 0].sum(axis=-1)).imag, band_hz, near_hz))
    return np.array(found)


def _crossing_hz(reactance_ohm: Floats, band_hz: Floats, near_hz: float) -> float:
    """Rising zero nearest to a frequency. [Hz]"""
    rising = np.flatnonzero((reactance_ohm[:-1] < 0) & (reactance_ohm[1:] >= 0))
    if not len(rising):
        return float("nan")
    low, high = reactance_ohm[rising], reactance_ohm[rising + 1]
    zeros = band_hz[rising] - low / (high - low) * (band_hz[1] - band_hz[0])
    return float(zeros[np.argmin(np.abs(zeros - near_hz))])
