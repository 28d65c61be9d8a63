"""Values of the free parts: every receiver sees the wanted source, one element after the other until all rest."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from loopwright.circuits.array_circuit import ArrayState, array_state
from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.parts import Capacitor, Inductor
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.sweeps import seen_by_gaps_ohm
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.errors import NotConvergedError, OutsideModelError
from loopwright.ground.progress import Progress

__all__ = ["Synthesis", "Wanted", "synthesise"]

#: Largest reflection against the wanted source that counts as met.
_MET = 1e-3
_MOST_ROUNDS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What synthesis may change, and what it is for.

    Attributes
    ----------
    free : tuple of str
        Names of the parts that may change, the same in every element.
    source_ohm : complex or None
        What every receiver shall see; None takes the best source of its amplifier. [ohm]
    """

    free: tuple[str, ...]
    source_ohm: complex | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Synthesis:
    """Circuits with their free values found.

    Attributes
    ----------
    circuits : tuple of ElementCircuit
    seen_ohm : ndarray, shape (C,)
        What each receiver sees, all others in place. [ohm]
    noise_figure_loss_db : ndarray, shape (C,)
        Noise figure of each amplifier behind that source over its least. [dB]
    iterations : int
        Rounds over all elements.
    notes : tuple of str
    """

    circuits: tuple[ElementCircuit, ...]
    seen_ohm: NDArray[np.complex128]
    noise_figure_loss_db: NDArray[np.float64]
    iterations: int
    notes: tuple[str, ...]


def synthesise(
    ports: ArrayPorts, circuits: Sequence[ElementCircuit], wanted: Wanted, *, progress: Progress
) -> Synthesis:
    """Find the free values.

    Parameters
    ----------
    ports : ArrayPorts
        Conductors on the body.
    circuits : sequence of ElementCircuit
        One for each element, free values at their start.
    wanted : Wanted
        Free parts and source.
    progress : Progress
        Told once a round.

    Raises
    ------
    OutsideModelError
        If an element cannot be brought to the wanted source by these parts.
    NotConvergedError
        If the elements keep moving each other.
    """
    port_ohm, frequency_hz = ports.at_operation_ohm, ports.frequency_hz
    now = list(circuits)
    source = np.array([_source_ohm(circuit, wanted) for circuit in circuits])
    for round_ in range(_MOST_ROUNDS if wanted.free else 0):
        state = array_state(port_ohm, now, [RECEIVING] * len(now), frequency_hz=frequency_hz)
        worst = float(np.max(_reflection(state.seen_ohm, source)))
        progress.note(f"match, round {round_}: largest reflection {worst:.1e}")
        if round_ and worst < _MET:
            return _synthesis(now, state, source, round_)
        for element in range(len(now)):
            own_ohm = seen_by_gaps_ohm(port_ohm, now, frequency_hz, element=element)
            now[element] = _alone(own_ohm, now[element], wanted.free, complex(source[element]), frequency_hz)
    state = array_state(port_ohm, now, [RECEIVING] * len(now), frequency_hz=frequency_hz)
    if wanted.free:
        raise _not_met(state.seen_ohm, source)
    return _synthesis(now, state, source, 0)


def _not_met(seen_ohm: NDArray[np.complex128], source: NDArray[np.complex128]) -> Exception:
    reflection = _reflection(seen_ohm, source)
    worst = int(np.argmax(reflection))
    return NotConvergedError(
        f"match: the receiver of element {worst + 1} still sees {seen_ohm[worst]:.3g} ohm for {source[worst]:.3g} ohm "
        f"after {_MOST_ROUNDS} rounds; the elements couple too strongly, or the wiring cannot reach it"
    )


def _synthesis(
    circuits: list[ElementCircuit], state: ArrayState, source: NDArray[np.complex128], rounds: int
) -> Synthesis:
    noise = [circuit.receiver.noise for circuit in circuits]
    loss = [
        0.0 if one is None else _loss_db(seen, complex(one.best_source_ohm), float(one.noise_resistance_ohm),
                                         float(one.least_noise_figure_db))
        for seen, one in zip(state.seen_ohm.tolist(), noise, strict=True)
    ]  # fmt: skip
    worst = float(np.max(_reflection(state.seen_ohm, source)))
    return Synthesis(
        circuits=tuple(circuits),
        seen_ohm=state.seen_ohm,
        noise_figure_loss_db=np.array(loss),
        iterations=rounds,
        notes=(f"Largest reflection against the wanted source: {worst:.1e}.",),
    )


def _loss_db(seen_ohm: complex, best_ohm: complex, noise_resistance_ohm: float, least_db: float) -> float:
    """How much a source that is not the best one adds to the noise figure. [dB]"""
    seen, best, least = 1 / seen_ohm, 1 / best_ohm, 10 ** (least_db / 10)
    return float(10 * np.log10(1 + noise_resistance_ohm / seen.real * abs(seen - best) ** 2 / least))


def _source_ohm(circuit: ElementCircuit, wanted: Wanted) -> complex:
    if wanted.source_ohm is not None:
        return wanted.source_ohm
    if circuit.receiver.noise is None:
        raise OutsideModelError("no source is wanted, and the amplifier's best one is not known")
    return complex(circuit.receiver.noise.best_source_ohm)


def _reflection(seen_ohm: NDArray[np.complex128], source: NDArray[np.complex128]) -> NDArray[np.float64]:
    return np.asarray(np.abs((seen_ohm - source) / (seen_ohm + source.conj())))


def _alone(
    own_ohm: NDArray[np.complex128],
    circuit: ElementCircuit,
    free: tuple[str, ...],
    source: complex,
    frequency_hz: float,
) -> ElementCircuit:
    """One element, the others as they are; where three parts are free, its circuit shows no reactance to gap 1."""

    def changed(logarithms: NDArray[np.float64]) -> ElementCircuit:
        found = circuit
        for name, value in zip(free, np.exp(logarithms).tolist(), strict=True):
            found = _with_value(found, name, value)
        return found

    def misses(logarithms: NDArray[np.float64]) -> NDArray[np.float64]:
        state = array_state(own_ohm, [changed(logarithms)], [RECEIVING], frequency_hz=frequency_hz)
        seen = state.seen_ohm[0]
        reflected = (seen - source) / (seen + source.conjugate())
        across = state.groups[0].reduced.gap_siemens[0, 0, 0]
        third = [across.imag / abs(across)] if len(free) > 2 else []
        return np.array([reflected.real, reflected.imag, *third])

    start = np.log([_value_of(circuit, name) for name in free])
    rest = least_squares(misses, start, bounds=(start - 3, start + 3), xtol=1e-12, ftol=1e-12, gtol=1e-12, max_nfev=60)
    return changed(np.asarray(rest.x))


def _value_of(circuit: ElementCircuit, name: str) -> float:
    match circuit.part(name):
        case Capacitor(capacitance_f=value) | Inductor(inductance_h=value):
            return float(value)
    raise OutsideModelError(f"{name} is neither a capacitor nor an inductor: its value cannot be free")


def _with_value(circuit: ElementCircuit, name: str, value: float) -> ElementCircuit:
    match part := circuit.part(name):
        case Capacitor():
            return circuit.with_part(name, replace(part, capacitance_f=value))
        case Inductor():
            return circuit.with_part(name, replace(part, inductance_h=value))
    raise OutsideModelError(f"{name} is neither a capacitor nor an inductor: its value cannot be free")
