"""What the elements that were measured see of the others, which were not."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.parts import PinDiode
from loopwright.circuits.states import ACTIVELY_DETUNED, RECEIVING
from loopwright.circuits.surroundings import open_gaps_ohm
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.measuring import Others

__all__ = ["ports_beside_others"]

Complexes = NDArray[np.complex128]


def ports_beside_others(
    port_ohm: Complexes,
    circuits: Sequence[ElementCircuit],
    *,
    measured: Sequence[int],
    others: Others,
    frequencies_hz: NDArray[np.float64],
) -> Complexes:
    """Impedance between the gaps of the elements that were measured, the others as they were left.

    Parameters
    ----------
    port_ohm : ndarray, shape (F, P, P)
        Between the gaps of all elements. [ohm]
    circuits : sequence of ElementCircuit
        Of all elements.
    measured : sequence of int
        Elements in the order of the analyser's ports.
    others : Others
        Their gaps open, or their PIN diodes conducting and their preamplifiers in place.
    frequencies_hz : ndarray, shape (F,)
        [Hz]

    Returns
    -------
    ndarray, shape (F, p, p)
        Gaps in the order of ``measured``. [ohm]

    Raises
    ------
    OutsideModelError
        If the others have no PIN diodes to be detuned by.
    """
    rest = [e for e in range(len(circuits)) if e not in measured]
    if others is Others.DETUNED and rest:
        _look_for_diodes(circuits, rest)
        states = [ACTIVELY_DETUNED if element in rest else RECEIVING for element in range(len(circuits))]
        return open_gaps_ohm(array_state(port_ohm, circuits, states, frequency_hz=frequencies_hz[:, None]), measured)
    first = np.cumsum([0, *(circuit.gap_count for circuit in circuits)])
    kept = np.concatenate([np.arange(first[e], first[e + 1]) for e in measured])
    return np.asarray(port_ohm[:, kept[:, None], kept])


def _look_for_diodes(circuits: Sequence[ElementCircuit], rest: list[int]) -> None:
    for element in rest:
        if not any(isinstance(circuits[element].part(b.name), PinDiode) for b in circuits[element].branches):
            raise OutsideModelError(
                "the circuit has no PIN diode, so the others cannot have been detuned: --others open, or write the "
                "diode into the circuit of the brief"
            )
