"""The circuit of one element, or of a small cluster, with everything that a bench may find different.

What may differ are numbers with a prior: values of parts, inductance and resistance of each loop, mutual reactance of
each pair, and the length of line between the circuit and the plane of calibration. At zero the model is the design.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_circuit import ArrayState, array_state
from loopwright.circuits.main_values import scaled
from loopwright.circuits.parts import Capacitor, Fuse, Inductor, Line, Resistor, Values
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.constants import SPEED_OF_LIGHT_M_PER_S

__all__ = ["BenchModel", "Difference", "Kind", "Priors", "bench_model", "turned"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


class Kind(Enum):
    """What a difference is a difference of."""

    PART = "part"
    INDUCTANCE = "inductance of the loop"
    RESISTANCE = "resistance of the loop"
    MUTUAL = "mutual reactance"
    LENGTH = "length to the plane of calibration"


@dataclass(frozen=True, slots=True, kw_only=True)
class Priors:
    """How far things stray before anything is measured, as standard deviations.

    Parts, inductance and resistance as logarithms, mutual reactance over that of a loop, length in m. All are common
    practice for hand-built coils; ``parts`` holds by name the widths of those whose own tolerance is known.
    """

    part: float = 0.05
    parts: Mapping[str, float] = field(default_factory=dict)
    inductance: float = 0.05
    resistance: float = 0.5
    mutual: float = 0.02
    length_m: float = 3e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One number that may differ from the design: kind, elements, part, and the width of its prior."""

    kind: Kind
    elements: tuple[int, ...]
    part: str = ""
    width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchModel:
    """Design of the elements that were measured, and what may differ.

    Attributes
    ----------
    frequencies_hz : ndarray, shape (F,)
        [Hz]
    frequency_hz : float
        Operating frequency, at which loops are told and parts turned. [Hz]
    port_ohm : ndarray, shape (F, P, P)
        Impedance between the gaps of these elements, the others as they were. [ohm]
    operation_ohm : ndarray, shape (P, P)
        The same at the operating frequency. [ohm]
    port_element : ndarray of int, shape (P,)
    circuits : tuple of ElementCircuit
    differences : tuple of Difference
    reference_ohm : float
        Of the measurement. [ohm]
    """

    frequencies_hz: Floats
    frequency_hz: float
    port_ohm: Complexes
    operation_ohm: Complexes
    port_element: NDArray[np.intp]
    circuits: tuple[ElementCircuit, ...]
    differences: tuple[Difference, ...]
    reference_ohm: float

    def circuits_with(self, values: Floats) -> tuple[ElementCircuit, ...]:
        """Return the circuits with these differences in their parts; ``values`` in widths of the priors."""
        circuits = list(self.circuits)
        for one, value in zip(self.differences, values.tolist(), strict=True):
            if one.kind is Kind.PART:
                (element,), factor = one.elements, float(np.exp(one.width * value))
                circuits[element] = turned(circuits[element], one.part, factor)
        return tuple(circuits)

    def port_ohm_with(self, values: Floats) -> Complexes:
        """Return the impedance between the gaps with these differences, shape (F, P, P). [ohm]"""
        return self._changed(self.port_ohm, self.frequencies_hz, values)

    def operation_ohm_with(self, values: Floats) -> Complexes:
        """Return the same at the operating frequency, shape (P, P). [ohm]"""
        return self._changed(self.operation_ohm[None], np.array([self.frequency_hz]), values)[0]

    def ports_of(self, element: int) -> NDArray[np.intp]:
        """Gaps of an element among those of the model."""
        return np.flatnonzero(self.port_element == element)

    def _changed(self, port_ohm: Complexes, frequencies_hz: Floats, values: Floats) -> Complexes:
        found = port_ohm.copy()
        every, slope = np.arange(len(found)), frequencies_hz / self.frequency_hz
        for one, value in zip(self.differences, values.tolist(), strict=True):
            of = [self.ports_of(element) for element in one.elements]
            block = np.ix_(every, of[0], of[0])
            match one.kind:
                case Kind.INDUCTANCE:
                    found[block] += 1j * np.expm1(one.width * value) * port_ohm[block].imag
                case Kind.RESISTANCE:
                    found[block] += np.expm1(one.width * value) * port_ohm[block].real
                case Kind.MUTUAL:
                    added = 1j * one.width * value * slope[:, None, None] / (len(of[0]) * len(of[1]))
                    found[np.ix_(every, of[0], of[1])] += added
                    found[np.ix_(every, of[1], of[0])] += added
                case _:
                    pass
        return found

    def state_with(self, values: Floats) -> ArrayState:
        """Return the elements as the analyser has them: its reference in place of every receiver, no diode acting."""
        return array_state(
            self.port_ohm_with(values),
            self.circuits_with(values),
            [RECEIVING] * len(self.circuits),
            frequency_hz=self.frequencies_hz[:, None],
            receiver_siemens=np.full(len(self.circuits), 1 / self.reference_ohm),
        )

    def scattering_with(self, values: Floats) -> Complexes:
        """Return what the bench would see, shape (F, N, N).

        With H the voltage at the loaded channels per current put into them, S = 2 H / R - 1.
        """
        turn = self.turn_to_plane(values)
        seen = 2 * self.state_with(values).channel_ohm / self.reference_ohm - np.eye(len(self.circuits))
        return np.asarray(turn[:, :, None] * seen * turn[:, None, :])

    def turn_to_plane(self, values: Floats) -> Complexes:
        """Phase of each port from its circuit to the plane of calibration, one way, shape (F, N)."""
        length_m = np.zeros(len(self.circuits))
        for one, value in zip(self.differences, values.tolist(), strict=True):
            if one.kind is Kind.LENGTH:
                length_m[one.elements[0]] += one.width * value
        return np.asarray(np.exp(-2j * np.pi * self.frequencies_hz[:, None] * length_m / SPEED_OF_LIGHT_M_PER_S))

    def loops_ohm(self, values: Floats) -> Complexes:
        """Impedance of and between the loops at equal currents in all gaps, no capacitors, shape (N, N). [ohm]"""
        sums = np.eye(len(self.circuits))[self.port_element]
        return np.asarray(sums.T @ self.operation_ohm_with(values) @ sums)


def turned(circuit: ElementCircuit, name: str, factor: Values) -> ElementCircuit:
    """Return the circuit with the value of one part multiplied.

    Parameters
    ----------
    circuit : ElementCircuit
    name : str
        Of the part.
    factor : float or ndarray
        Shape (...), that of draws.
    """
    return circuit.with_part(name, scaled(circuit.part(name), factor))


def bench_model(
    *,
    frequencies_hz: Floats,
    frequency_hz: float,
    port_ohm: Complexes,
    operation_ohm: Complexes,
    port_element: NDArray[np.integer],
    circuits: Sequence[ElementCircuit],
    priors: Priors,
    reference_ohm: float,
) -> BenchModel:
    """Let everything differ that a bench may find different.

    Parameters
    ----------
    frequencies_hz : ndarray, shape (F,)
        Of the measurement, inside the band of the model. [Hz]
    frequency_hz : float
        Operating frequency. [Hz]
    port_ohm : ndarray, shape (F, P, P)
        Impedance between the gaps of the elements that were measured. [ohm]
    operation_ohm : ndarray, shape (P, P)
        The same at the operating frequency. [ohm]
    port_element : ndarray of int, shape (P,)
        Their elements, numbered from zero without holes.
    circuits : sequence of ElementCircuit
        As designed.
    priors : Priors
        How far things stray.
    reference_ohm : float
        Of the measurement. [ohm]

    Returns
    -------
    BenchModel
    """
    own = [np.flatnonzero(np.asarray(port_element) == e) for e in range(len(circuits))]
    uniform = [abs(operation_ohm[np.ix_(gaps, gaps)].sum()) for gaps in own]
    found: list[Difference] = []
    for e, circuit in enumerate(circuits):
        found += [
            Difference(kind=Kind.PART, elements=(e,), part=name, width=priors.parts.get(name, priors.part))
            for name in (branch.name for branch in circuit.branches)
            if isinstance(circuit.part(name), Capacitor | Inductor | Resistor | Fuse | Line)
        ]
        found.append(Difference(kind=Kind.INDUCTANCE, elements=(e,), width=priors.inductance))
        found.append(Difference(kind=Kind.RESISTANCE, elements=(e,), width=priors.resistance))
        found.append(Difference(kind=Kind.LENGTH, elements=(e,), width=priors.length_m))
    found += [
        Difference(kind=Kind.MUTUAL, elements=(i, j), width=priors.mutual * (uniform[i] * uniform[j]) ** 0.5)
        for i in range(len(circuits))
        for j in range(i)
    ]
    return BenchModel(
        frequencies_hz=frequencies_hz,
        frequency_hz=frequency_hz,
        port_ohm=port_ohm,
        operation_ohm=operation_ohm,
        port_element=np.asarray(port_element, dtype=np.intp),
        circuits=tuple(circuits),
        differences=tuple(found),
        reference_ohm=reference_ohm,
    )
