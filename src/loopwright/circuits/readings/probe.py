"""What two probes beside one element show, in decibels, and the quality factor that is read off the curve.

Both probes couple weakly to the element and not to each other; what passes is the loop's current per volt round it,
times the square of the frequency. All other elements receive.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.readings.quality_from_curves import LEAST_SAMPLES, QualityByThree, quality_by_three_methods
from loopwright.circuits.states import RECEIVING, UNPLUGGED, ElementState, Plug
from loopwright.circuits.sweeps import ArraySweep, loop_siemens
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.errors import OutsideModelError

__all__ = ["MATCHED", "OPEN", "HalfPowerWidth", "ProbeResponse", "half_power_width", "probe_response"]

#: Names of the two states in which another thing than the receiver stands at the channel.
MATCHED, OPEN = "power-matched load", UNPLUGGED.name


@dataclass(frozen=True, slots=True, kw_only=True)
class HalfPowerWidth:
    """Peak of a curve and the frequencies at which it has lost half of its power.

    NaN where the band ends before, or where samples lie too far apart to tell.

    Attributes
    ----------
    peak_hz, low_hz, high_hz : float
        [Hz]
    """

    peak_hz: float
    low_hz: float
    high_hz: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeResponse:
    """Curves of one element.

    Attributes
    ----------
    frequencies_hz : ndarray, shape (F,)
        [Hz]
    response_db : dict of str to ndarray, shape (F,)
        By state, against the power-matched load at the operating frequency. [dB]
    width : HalfPowerWidth
        Of the element unplugged, no diode acting.
    quality : QualityByThree or None
        Of the same curve; None where the band ends before it has fallen by 3 dB, or resolves it too little.
    """

    frequencies_hz: NDArray[np.float64]
    response_db: dict[str, NDArray[np.float64]]
    width: HalfPowerWidth
    quality: QualityByThree | None

    def at_operation_db(self, state: str) -> float:
        """Response of a state at the operating frequency, against the power-matched load there. [dB]"""
        return float(self.response_db[state][len(self.frequencies_hz) // 2])

    @property
    def decoupling_db(self) -> float:
        """How much less current flows with the receiver than with a power-matched load. [dB]"""
        return -self.at_operation_db(RECEIVING.name)


def probe_response(
    sweep: ArraySweep,
    circuit: ElementCircuit,
    *,
    element: int,
    seen_ohm: complex,
    detuned: Sequence[ElementState],
) -> ProbeResponse:
    """Curves of one element in its states, all others receiving.

    Parameters
    ----------
    sweep : ArraySweep
        The receiving array over frequency, the operating frequency in the middle.
    circuit : ElementCircuit
        Of the element.
    element : int
        Its number.
    seen_ohm : complex
        What its receiver sees at the operating frequency: the power-matched load is the conjugate. [ohm]
    detuned : sequence of ElementState
        What its diodes can do.
    """
    f, own_ohm = sweep.frequencies_hz, sweep.own_gaps_ohm[element]

    def probes(state: ElementState, receiver_siemens: complex) -> NDArray[np.complex128]:
        current = loop_siemens(own_ohm, circuit, state, frequencies_hz=f, receiver_siemens=receiver_siemens)
        return np.asarray(current * f**2)

    receiver = 1 / complex(circuit.receiver.input_ohm)
    matched = probes(RECEIVING, 1 / np.conj(seen_ohm))
    unplugged = probes(UNPLUGGED, 0)
    curves = {MATCHED: matched, RECEIVING.name: probes(RECEIVING, receiver)}
    for state in detuned:
        curves[state.name] = probes(state, 0 if state.plug is Plug.OUT else receiver)
    curves[OPEN] = unplugged
    reference = abs(matched[len(f) // 2])
    return ProbeResponse(
        frequencies_hz=f,
        response_db={name: 20 * np.log10(np.abs(curve) / reference) for name, curve in curves.items()},
        width=half_power_width(f, unplugged / f**2),
        quality=_quality(f, unplugged / f**2),
    )


def _quality(f: NDArray[np.float64], current: NDArray[np.complex128]) -> QualityByThree | None:
    try:
        return quality_by_three_methods(f, current)
    except OutsideModelError:
        return None


def half_power_width(frequencies_hz: NDArray[np.float64], response: NDArray[np.complex128]) -> HalfPowerWidth:
    """Read the half-power width off a curve, by straight lines between its points.

    Parameters
    ----------
    frequencies_hz : ndarray, shape (F,)
        Rising. [Hz]
    response : ndarray, shape (F,)
        Amplitude, in any unit.
    """
    power = np.abs(response) ** 2
    peak = int(np.argmax(power))
    half = power[peak] / 2
    below, above = np.flatnonzero(power[:peak] < half), np.flatnonzero(power[peak:] < half)
    low = _crossing(frequencies_hz, power, below[-1], half) if below.size else np.nan
    high = _crossing(frequencies_hz, power, peak + above[0] - 1, half) if above.size else np.nan
    if high - low < LEAST_SAMPLES * np.diff(frequencies_hz).max():
        low = high = np.nan
    return HalfPowerWidth(peak_hz=float(frequencies_hz[peak]), low_hz=float(low), high_hz=float(high))


def _crossing(f: NDArray[np.float64], power: NDArray[np.float64], at: int, half: float) -> float:
    """Where the line from point ``at`` to the next one crosses."""
    return float(f[at] + (half - power[at]) / (power[at + 1] - power[at]) * (f[at + 1] - f[at]))
