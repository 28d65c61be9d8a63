"""The circuit of one element, or of a small cluster, with everything that a bench may find different.

What may differ are numbers with a prior: values of parts, inductance and resistance of each loop, mutual reactance of
each pair, and the length of line between the circuit and the plane of calibration. At zero the model is the design.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_circuit import array_state, source_ohm
from loopwright.circuits.parts import Capacitor, Fuse, Inductor, Line, Resistor
from loopwright.circuits.states import RECEIVING, scaled
from loopwright.circuits.tuned.matching import scattering
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.constants import SPEED_OF_LIGHT_M_PER_S

__all__ = ["BenchModel", "Difference", "Kind", "Priors", "bench_model"]

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

    Parts, inductance and resistance as logarithms, mutual reactance over that of a loop, length in m. All
    are common practice for hand-built coils; a measured part may be given a narrower one.
    """

    part: float = 0.05
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
        Operating frequency, at which mutual reactances are told. [Hz]
    port_ohm : ndarray, shape (F, P, P)
        Impedance between the gaps of these elements, those of others open. [ohm]
    port_element : ndarray of int, shape (P,)
    circuits : tuple of ElementCircuit
    differences : tuple of Difference
    reference_ohm : float
        Of the measurement. [ohm]
    """

    frequencies_hz: Floats
    frequency_hz: float
    port_ohm: Complexes
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
                part = circuits[element].part(one.part)
                changed = (
                    replace(part, length_m=part.length_m * factor) if isinstance(part, Line) else scaled(part, factor)
                )
                circuits[element] = circuits[element].with_part(one.part, changed)
        return tuple(circuits)

    def port_ohm_with(self, values: Floats) -> Complexes:
        """Return the impedance between the gaps with these differences, shape (F, P, P). [ohm]"""
        found = self.port_ohm.copy()
        of = [np.flatnonzero(self.port_element == e) for e in range(len(self.circuits))]
        every, slope = np.arange(len(found)), self.frequencies_hz / self.frequency_hz
        for one, value in zip(self.differences, values.tolist(), strict=True):
            match one.kind:
                case Kind.INDUCTANCE:
                    block = np.ix_(every, of[one.elements[0]], of[one.elements[0]])
                    found[block] += 1j * np.expm1(one.width * value) * self.port_ohm[block].imag
                case Kind.RESISTANCE:
                    block = np.ix_(every, of[one.elements[0]], of[one.elements[0]])
                    found[block] += np.expm1(one.width * value) * self.port_ohm[block].real
                case Kind.MUTUAL:
                    i, j = (of[element] for element in one.elements)
                    added = 1j * one.width * value * slope[:, None, None] / (len(i) * len(j))
                    found[np.ix_(every, i, j)] += added
                    found[np.ix_(every, j, i)] += added
                case _:
                    pass
        return found

    def scattering_with(self, values: Floats) -> Complexes:
        """Return what the bench would see, shape (F, N, N)."""
        state = array_state(
            self.port_ohm_with(values),
            self.circuits_with(values),
            [RECEIVING] * len(self.circuits),
            frequency_hz=self.frequencies_hz[:, None],
            receiver_siemens=np.full(len(self.circuits), 1 / self.reference_ohm),
        )
        return self._moved_to_plane(scattering(source_ohm(state), self.reference_ohm), values)

    def _moved_to_plane(self, seen: Complexes, values: Floats) -> Complexes:
        length_m = np.zeros(len(self.circuits))
        for one, value in zip(self.differences, values.tolist(), strict=True):
            if one.kind is Kind.LENGTH:
                length_m[one.elements[0]] += one.width * value
        turn = np.exp(-2j * np.pi * self.frequencies_hz[:, None] * length_m / SPEED_OF_LIGHT_M_PER_S)
        return np.asarray(turn[:, :, None] * seen * turn[:, None, :])

    def uniform_ohm(self, values: Floats) -> Complexes:
        """Loop-mode impedance of every element at the operating frequency, without capacitors, shape (E,). [ohm]"""
        middle = int(np.argmin(np.abs(self.frequencies_hz - self.frequency_hz)))
        ports = self.port_ohm_with(values)[middle]
        return np.array(
            [ports[np.ix_(own, own)].sum() for own in (self.port_element == e for e in range(len(self.circuits)))]
        )


def bench_model(
    *,
    frequencies_hz: Floats,
    frequency_hz: float,
    port_ohm: Complexes,
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
        Impedance between the gaps of the elements that were measured, the gaps of others open. [ohm]
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
    middle = int(np.argmin(np.abs(frequencies_hz - frequency_hz)))
    uniform = [abs(port_ohm[middle][np.ix_(own, own)].sum()) for own in _own(port_element, len(circuits))]
    found: list[Difference] = []
    for e, circuit in enumerate(circuits):
        found += [
            Difference(kind=Kind.PART, elements=(e,), part=branch.name, width=priors.part)
            for branch in circuit.branches
            if isinstance(circuit.part(branch.name), Capacitor | Inductor | Resistor | Fuse | Line)
        ]
        found.append(Difference(kind=Kind.INDUCTANCE, elements=(e,), width=priors.inductance))
        found.append(Difference(kind=Kind.RESISTANCE, elements=(e,), width=priors.resistance))
        found.append(Difference(kind=Kind.LENGTH, elements=(e,), width=priors.length_m))
    for i in range(len(circuits)):
        found += [
            Difference(kind=Kind.MUTUAL, elements=(i, j), width=priors.mutual * (uniform[i] * uniform[j]) ** 0.5)
            for j in range(i)
        ]
    return BenchModel(
        frequencies_hz=frequencies_hz,
        frequency_hz=frequency_hz,
        port_ohm=port_ohm,
        port_element=np.asarray(port_element, dtype=np.intp),
        circuits=tuple(circuits),
        differences=tuple(found),
        reference_ohm=reference_ohm,
    )


def _own(port_element: NDArray[np.integer], count: int) -> list[NDArray[np.bool_]]:
    return [np.asarray(port_element == e) for e in range(count)]
