"""How far resonance, match, decoupling and noise move with every part, by reciprocity."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.loop_response import (
    LoopResponse,
    Slopes,
    decoupling_db,
    frequency_slopes,
    loop_response,
    part_slopes,
)
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.values.source_match import noise_figure_losses_db, source_reflection
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.errors import OutsideModelError

__all__ = ["PartSensitivity", "dip_hz", "port_slope_ohm", "receiving", "sensitivities"]

Reals = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Steps towards a dip, and the relative step at which it is found.
_DIP_STEPS, _DIP_FOUND = 12, 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class PartSensitivity:
    """What one per cent more of a part's value does to its own element, and to the one that it disturbs most.

    Attributes
    ----------
    element : int
        Counted from nought.
    part : str
    dip_hz : float
        Move of the frequency of best match. [Hz]
    reflection : complex
        Change of the reflection at the operating frequency.
    decoupling_db : float
        Change of the decoupling by the preamplifier. [dB]
    noise_figure_db : float
        Change of the preamplifier's noise figure; not a number where its noise is not told. [dB]
    disturbed : int or None
        Element whose reflection changes most beside its own.
    disturbed_reflection : float
        By how much.
    """

    element: int
    part: str
    dip_hz: float
    reflection: complex
    decoupling_db: float
    noise_figure_db: float
    disturbed: int | None
    disturbed_reflection: float


def receiving(
    ports: ArrayPorts, circuits: Sequence[ElementCircuit], wanted_ohm: ArrayLike, *, frequency_hz: float
) -> LoopResponse:
    """Response of the receiving array at a frequency of the band, parameters as in ``sensitivities``. [ohm], [Hz]"""
    port_ohm = ports.at_operation_ohm if frequency_hz == ports.frequency_hz else ports.at(frequency_hz)
    state = array_state(port_ohm, circuits, [RECEIVING] * len(circuits), frequency_hz=frequency_hz)
    return loop_response(state, wanted_ohm)


def port_slope_ohm(ports: ArrayPorts, frequency_hz: float) -> Complexes:
    """Derivative of the impedance between the open gaps by the logarithm of the frequency.

    Parameters
    ----------
    ports : ArrayPorts
        Sampled over a band.
    frequency_hz : float
        Within the band. [Hz]

    Returns
    -------
    ndarray, shape (P, P)
        Of the polynomial through the samples. [ohm]

    Raises
    ------
    OutsideModelError
        If there is one sample only.
    """
    if len(ports.frequencies_hz) == 1:
        raise OutsideModelError("the network was solved at one frequency only: how it goes with frequency is not known")
    half = (ports.frequencies_hz[-1] - ports.frequencies_hz[0]) / 2
    place = (ports.frequencies_hz - ports.frequency_hz) / half
    powers = np.arange(len(place))
    at = (frequency_hz - ports.frequency_hz) / half
    of_power = np.where(powers > 0, powers * at ** np.maximum(powers - 1, 0), 0.0)
    weights = np.linalg.solve(np.vander(place, increasing=True).T, of_power)
    return np.asarray(np.tensordot(weights, ports.impedance_ohm, axes=1) * frequency_hz / half)


def sensitivities(
    ports: ArrayPorts, circuits: Sequence[ElementCircuit], wanted_ohm: ArrayLike
) -> tuple[PartSensitivity, ...]:
    """Go through every part of every element.

    Parameters
    ----------
    ports : ArrayPorts
        Open gaps of all elements.
    circuits : sequence of ElementCircuit
        One per element, values as they are.
    wanted_ohm : array_like, shape () or (C,)
        Source that each receiver wants; reflections are against it, decoupling against a receiver matched to it. [ohm]

    Returns
    -------
    tuple of PartSensitivity
        Element after element, parts in the order of the circuit.

    Notes
    -----
    Reflections to first order in the part's value, quality factors held; the noise figure is that at the source so
    found, because at its least it has no first order. The dip moves by -Re(r_f* r_p) / |r_f|^2 of the frequency, r_f
    and r_p the derivatives of the reflection by the logarithms of frequency and value: exact at a match, good while the
    element is nearly matched.
    """
    f0 = ports.frequency_hz
    response = receiving(ports, circuits, wanted_ohm, frequency_hz=f0)
    now = source_reflection(response.state.seen_ohm, response.matched_ohm)
    by_frequency = _of_reflection(response, frequency_slopes(response, port_slope_ohm(ports, f0)))
    receivers = [circuit.receiver for circuit in circuits]
    now_db = noise_figure_losses_db(receivers, response.state.seen_ohm)
    found = []
    for group, name, slopes in part_slopes(response):
        by_part = _of_reflection(response, slopes)  # (E, C)
        relative = slopes.matched_siemens / response.matched_siemens - slopes.loop_siemens / response.loop_siemens
        for place, e in enumerate(group.elements.tolist()):
            moved_db = noise_figure_losses_db(receivers, _source_ohm(response, now + 0.01 * by_part[place]))
            beside = np.abs(np.delete(by_part[place], e))
            others = np.delete(np.arange(len(circuits)), e)
            dip = -(by_frequency[e].conjugate() * by_part[place, e]).real / abs(by_frequency[e]) ** 2
            found.append(
                PartSensitivity(
                    element=e,
                    part=name,
                    dip_hz=float(0.01 * f0 * dip),
                    reflection=complex(0.01 * by_part[place, e]),
                    decoupling_db=float(0.01 * 20 / np.log(10) * relative[place, e].real),
                    noise_figure_db=float(moved_db[e] - now_db[e]),
                    disturbed=int(others[np.argmax(beside)]) if beside.size else None,
                    disturbed_reflection=float(0.01 * beside.max()) if beside.size else 0.0,
                )
            )
    return tuple(sorted(found, key=lambda one: one.element))


def _of_reflection(response: LoopResponse, slopes: Slopes) -> Complexes:
    """Derivative of the reflection, of the shape of the slopes."""
    wanted, seen = response.matched_ohm, response.state.seen_ohm
    return np.asarray(2 * wanted.real / (seen + wanted.conj()) ** 2 * slopes.seen_ohm)


def _source_ohm(response: LoopResponse, reflection: Complexes) -> Complexes:
    """Source of a reflection against the wanted one."""
    wanted = response.matched_ohm
    return np.asarray((wanted + wanted.conj() * reflection) / (1 - reflection))


def dip_hz(ports: ArrayPorts, circuits: Sequence[ElementCircuit], wanted_ohm: ArrayLike, *, element: int) -> float:
    """Frequency at which an element's receiver reflects least, all others in place.

    Parameters
    ----------
    ports : ArrayPorts
        Sampled over a band.
    circuits : sequence of ElementCircuit
        One per element.
    wanted_ohm : array_like, shape () or (C,)
        Source that each receiver wants. [ohm]
    element : int
        Which.

    Returns
    -------
    float
        Nearest to the operating frequency; an end of the band where the dip lies outside. [Hz]
    """
    low, high = float(ports.frequencies_hz[0]), float(ports.frequencies_hz[-1])
    f = ports.frequency_hz
    for _ in range(_DIP_STEPS):
        response = receiving(ports, circuits, wanted_ohm, frequency_hz=f)
        slope = complex(_of_reflection(response, frequency_slopes(response, port_slope_ohm(ports, f)))[element])
        here = complex(source_reflection(response.state.seen_ohm, response.matched_ohm)[element])
        before, f = f, float(np.clip(f * (1 - (slope.conjugate() * here).real / abs(slope) ** 2), low, high))
        if abs(f - before) <= _DIP_FOUND * f:
            break
    return f


def figures_now(response: LoopResponse, circuits: Sequence[ElementCircuit]) -> tuple[Reals, Reals, Reals]:
    """Size of the reflection, decoupling and loss of noise figure of every element, shape (C,) each."""
    seen = response.state.seen_ohm
    reflected = np.abs(source_reflection(seen, response.matched_ohm))
    losses = noise_figure_losses_db((circuit.receiver for circuit in circuits), seen)
    return np.asarray(reflected), decoupling_db(response), losses
