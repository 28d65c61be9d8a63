"""In which conditions the scanner transmits: crossed diodes as most of them are at the peak of the field."""

from collections.abc import Mapping

import numpy as np

from loopwright.circuits.faults.listing import transmit_conditions
from loopwright.circuits.states import (
    ACTIVELY_DETUNED,
    BIAS_MISSING,
    DETUNED_BY_BOTH,
    PASSIVELY_DETUNED,
    RECEIVING,
    UNPLUGGED,
    Diodes,
    ElementState,
)
from loopwright.circuits.under_field.driven_diodes import drive_array
from loopwright.transmit.driven_array import DrivenArray

__all__ = ["conditions_at_peak"]

#: The same with crossed diodes that block.
_BLOCKING: Mapping[str, ElementState] = {
    DETUNED_BY_BOTH.name: ACTIVELY_DETUNED,
    BIAS_MISSING.name: RECEIVING,
    PASSIVELY_DETUNED.name: UNPLUGGED,
}


def conditions_at_peak(array: DrivenArray, *, peak_t: float) -> tuple[ElementState, ...]:
    """Conditions of all elements, plugged and unplugged, as they are at the peak of the field.

    Parameters
    ----------
    array : DrivenArray
    peak_t : float
        Peak B1+. [T]

    Returns
    -------
    tuple of ElementState
        Crossed diodes conduct where at least half of the pairs do; cases tell those that do otherwise.

    Raises
    ------
    NotConvergedError
        If the diodes cannot be followed up to the peak.
    """
    return tuple(_as_most(array, state, peak_t) for state in transmit_conditions(array.circuits))


def _as_most(array: DrivenArray, state: ElementState, peak_t: float) -> ElementState:
    if state.crossed_diodes is not Diodes.CONDUCT:
        return state
    driven = drive_array(
        array.ports.at_operation_ohm,
        array.circuits,
        (state,) * len(array.circuits),
        open_v_per_t=array.open_v_per_t,
        b1_plus_t=[peak_t],
        frequency_hz=array.ports.frequency_hz,
    )
    return state if np.mean(driven.conducting) >= 0.5 else _BLOCKING[state.name]
