"""Are crossed diodes in the state that a case takes for granted, at the peak of the field?"""

from collections.abc import Sequence

import numpy as np

from loopwright.circuits.bias.crossed_diodes import CrossedDiodes as DiodeLaw
from loopwright.circuits.bias.crossed_diodes import junction_admittance_s
from loopwright.circuits.bias.rising_root import rising_root
from loopwright.circuits.parts import CrossedDiodes
from loopwright.circuits.states import Diodes, ElementState
from loopwright.circuits.under_field.pairs_seen import diode_law
from loopwright.circuits.wiring import Branch, ElementCircuit
from loopwright.transmit.answers import CaseAnswer, PartAnswer

__all__ = ["conducts_from_v", "diodes_otherwise"]

#: Between which the voltage is looked for. [V]
_LOW_V, _HIGH_V = 1e-3, 10.0


def conducts_from_v(law: DiodeLaw, *, frequency_hz: float) -> float:
    """Amplitude across a pair at which its junctions carry as much as their capacitance. [V]

    Parameters
    ----------
    law : DiodeLaw
        The two diodes.
    frequency_hz : float
        [Hz]
    """
    bare = 2 * np.pi * frequency_hz * law.junction_capacitance_f

    def over(log_v: np.ndarray) -> np.ndarray:
        admittance = junction_admittance_s(np.exp(log_v), diodes=law, frequency_hz=frequency_hz)
        return np.asarray(np.log(admittance.real / bare))

    return float(np.exp(rising_root(over, np.log(np.array([_LOW_V])), np.log(np.array([_HIGH_V]))))[0])


def diodes_otherwise(
    answer: CaseAnswer, circuits: Sequence[ElementCircuit], *, frequency_hz: float
) -> frozenset[tuple[int, str]]:
    """Crossed diodes that are not in the state which a case takes for granted.

    Parameters
    ----------
    answer : CaseAnswer
        Of the case, with voltages and currents at the peak field.
    circuits : sequence of ElementCircuit
        One for each element.
    frequency_hz : float
        [Hz]

    Returns
    -------
    frozenset of (int, str)
        Element and part. One taken as blocking across which stands more than :func:`conducts_from_v`, or as conducting
        through which flows less than would flow at that voltage. Diodes that have failed are left out.
    """
    found = set()
    known: dict[tuple[float, float], float] = {}
    for number, (told, circuit, state) in enumerate(zip(answer.elements, circuits, answer.case.states, strict=True)):
        parts = {part.name: part for part in told.parts}
        for branch in circuit.branches:
            if not (isinstance(branch, Branch) and isinstance(branch.part, CrossedDiodes)):
                continue
            if state.faults_of(branch.name) or branch.name not in parts:
                continue
            law = diode_law(branch.part)
            key = (law.junction_capacitance_f, law.series_resistance_ohm)
            if key not in known:
                known[key] = conducts_from_v(law, frequency_hz=frequency_hz)
            if _otherwise(parts[branch.name], state, law, known[key], frequency_hz):
                found.add((number, branch.name))
    return frozenset(found)


def _otherwise(part: PartAnswer, state: ElementState, law: DiodeLaw, from_v: float, frequency_hz: float) -> bool:
    if state.crossed_diodes is Diodes.BLOCK:
        return part.voltage_v > from_v
    least_a = from_v * abs(junction_admittance_s(from_v, diodes=law, frequency_hz=frequency_hz))
    return part.current_a < float(least_a)
