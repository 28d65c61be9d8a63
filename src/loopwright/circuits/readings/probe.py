"""What two probes beside one element show, in decibels, and the quality factor that is read off the curve.

Both probes couple weakly to the element and not to each other; what passes is the loop's current per volt round it,
times the square of the frequency. All other elements receive.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.readings.probe_curve import ProbeCurve, ProbeReading
from loopwright.circuits.readings.quality_from_curves import LEAST_SAMPLES, QualityByThree, quality_by_three_methods
from loopwright.circuits.states import RECEIVING, UNPLUGGED, ElementState, Plug
from loopwright.circuits.sweeps import ArraySweep, loop_siemens
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.errors import OutsideModelError

__all__ = ["MATCHED", "OPEN", "HalfPowerWidth", "ProbeResponse", "half_power_width", "loop_curve", "probe_response"]

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
    curves : dict of str to ProbeCurve
        Current of the loop per volt round it, by state; all over the same frequencies.
    width : HalfPowerWidth
        Of the element unplugged, no diode acting.
    quality : QualityByThree or None
        Of the same curve; None where the band ends before it has fallen by 3 dB, or resolves it too little.
    """

    curves: dict[str, ProbeCurve]
    width: HalfPowerWidth
    quality: QualityByThree | None

    @property
    def frequencies_hz(self) -> NDArray[np.float64]:
        """Of every curve, the operating frequency in the middle, shape (F,). [Hz]"""
        return self.curves[MATCHED].frequencies_hz

    @property
    def response_db(self) -> dict[str, NDArray[np.float64]]:
        """What the probes show of every state, against the power-matched load at the operating frequency. [dB]"""
        shown = {name: np.abs(curve.loop_siemens) * self.frequencies_hz**2 for name, curve in self.curves.items()}
        reference = shown[MATCHED][len(self.frequencies_hz) // 2]
        return {name: np.asarray(20 * np.log10(level / reference)) for name, level in shown.items()}

    def at_operation_db(self, state: str) -> float:
        """Response of a state at the operating frequency, against the power-matched load there. [dB]"""
        return float(self.response_db[state][len(self.frequencies_hz) // 2])

    def reading_db(self, state: str, reference: str, reading: ProbeReading) -> float | None:
        """How far the loop's admittance in a state lies below that in another one, both read in one way.

        Returns
        -------
        float or None
            None where the band holds no place to read one of them at. [dB]
        """
        held_against, found = (self.curves[name].read_siemens(reading) for name in (reference, state))
        if held_against is None or found is None:
            return None
        return float(20 * np.log10(held_against / found))

    @property
    def decoupling_db(self) -> float:
        """How much less current flows with the receiver than with a power-matched load. [dB]"""
        return -self.at_operation_db(RECEIVING.name)


def loop_curve(
    sweep: ArraySweep, circuit: ElementCircuit, state: ElementState, *, element: int, receiver_siemens: complex
) -> ProbeCurve:
    """Current of one loop per volt round it, over a band, all others receiving.

    Parameters
    ----------
    sweep : ArraySweep
        The receiving array over frequency, the operating frequency in the middle.
    circuit : ElementCircuit
        Of the element.
    state : ElementState
        Of the element.
    element : int
        Its number.
    receiver_siemens : complex
        What stands at its channel. [S]
    """
    f = sweep.frequencies_hz
    current = loop_siemens(
        sweep.own_gaps_ohm[element], circuit, state, frequencies_hz=f, receiver_siemens=receiver_siemens
    )
    return ProbeCurve(operating_hz=float(f[len(f) // 2]), frequencies_hz=f, loop_siemens=current)


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

    def curve(state: ElementState, receiver_siemens: complex) -> ProbeCurve:
        return loop_curve(sweep, circuit, state, element=element, receiver_siemens=receiver_siemens)

    receiver = 1 / complex(circuit.receiver.input_ohm)
    curves = {MATCHED: curve(RECEIVING, 1 / complex(seen_ohm).conjugate()), RECEIVING.name: curve(RECEIVING, receiver)}
    for state in detuned:
        curves[state.name] = curve(state, 0 if state.plug is Plug.OUT else receiver)
    curves[OPEN] = unplugged = curve(UNPLUGGED, 0)
    f = sweep.frequencies_hz
    return ProbeResponse(
        curves=curves,
        width=half_power_width(f, unplugged.loop_siemens),
        quality=_quality(f, unplugged.loop_siemens),
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
