"""Diodes: what the field makes of crossed ones, and whether bias holds PIN diodes, with its faults too."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records import InterfaceRequest
from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.bias.bias_lines import LineCheck
from loopwright.circuits.bias.interface_check import InterfaceCheck
from loopwright.circuits.faults.cases import ArrayCase, Wearing
from loopwright.circuits.parts import CrossedDiodes
from loopwright.circuits.states import CableBroken, Diodes, ElementState, NoBias, Plug
from loopwright.circuits.under_field.driven_diodes import drive_array
from loopwright.circuits.under_field.driven_onsets import driven_onsets
from loopwright.circuits.under_field.pin_bias import PinBias, bias_of_line
from loopwright.circuits.under_field.pin_hold import PinHold, PinRecovery, pin_holds, pin_recovery
from loopwright.circuits.under_field.stresses import stresses
from loopwright.circuits.wiring import Branch
from loopwright.limits.while_transmitting import DiodeFollowed, OnsetCurve
from loopwright.transmit.driven_array import DrivenArray
from loopwright.transmit.lie import Lie, changes_of_b1

__all__ = ["diodes_followed", "loses_bias", "onset_curves", "pins_held", "pins_recover"]

#: Fields of a curve.
_FIELDS = 20


def diodes_followed(
    lie: Lie, conditions: Sequence[ElementState], *, peak_t: float, region: NDArray[np.bool_]
) -> tuple[DiodeFollowed, ...]:
    """Let the field decide what crossed diodes do.

    Parameters
    ----------
    lie : Lie
    conditions : sequence of ElementState
        Of all elements; what they say of crossed diodes does not matter.
    peak_t : float
        Peak B1+ of the sequence. [T]
    region : ndarray of bool, shape (nx, ny, nz)
        Where B1+ is judged.

    Returns
    -------
    tuple of DiodeFollowed
        Condition after condition, the one that acts first in front; empty where no circuit has such diodes.

    Raises
    ------
    NotConvergedError
        If the state cannot be followed up to the peak.
    """
    if not _has_pairs(lie):
        return ()
    return tuple(told for state in conditions for told in _followed(lie, state, peak_t, region))


def onset_curves(
    lie: Lie, conditions: Sequence[ElementState], *, from_t: float, peak_t: float, region: NDArray[np.bool_]
) -> tuple[OnsetCurve, ...]:
    """Follow crossed diodes through fields, evenly spread by their logarithm; parameters as above.

    Parameters
    ----------
    lie : Lie
    conditions : sequence of ElementState
    from_t, peak_t : float
        Weakest and strongest field, peak B1+. [T]
    region : ndarray of bool, shape (nx, ny, nz)

    Raises
    ------
    NotConvergedError
        If the state cannot be followed up to the peak.
    """
    if not _has_pairs(lie):
        return ()
    array, fields_t = lie.driven, np.geomspace(from_t, peak_t, _FIELDS)
    return tuple(
        OnsetCurve(
            condition=_condition(state),
            b1_plus_t=tuple(fields_t.tolist()),
            mean_b1=tuple(
                change.as_driven.mean
                for change in changes_of_b1(
                    lie,
                    drive_array(
                        array.ports.at_operation_ohm,
                        array.circuits,
                        (state,) * len(array.circuits),
                        open_v_per_t=array.open_v_per_t,
                        b1_plus_t=fields_t,
                        frequency_hz=array.ports.frequency_hz,
                    ).port_a_per_t,
                    region,
                )
            ),
        )
        for state in conditions
    )


def _has_pairs(lie: Lie) -> bool:
    return any(
        isinstance(branch, Branch) and isinstance(branch.part, CrossedDiodes)
        for circuit in lie.driven.circuits
        for branch in circuit.branches
    )


def _condition(state: ElementState) -> str:
    return "plugged in" if state.plug is Plug.IN else "unplugged"


def _followed(lie: Lie, state: ElementState, peak_t: float, region: NDArray[np.bool_]) -> Iterator[DiodeFollowed]:
    array, f = lie.driven, lie.driven.ports.frequency_hz
    port_ohm, states = array.ports.at_operation_ohm, (state,) * len(array.circuits)
    onsets = driven_onsets(
        port_ohm, array.circuits, states, open_v_per_t=array.open_v_per_t, strongest_t=peak_t, frequency_hz=f
    )
    at_peak = drive_array(
        port_ohm, array.circuits, states, open_v_per_t=array.open_v_per_t, b1_plus_t=[peak_t], frequency_hz=f
    )
    number = {(pair.element, pair.part): at for at, pair in enumerate(at_peak.pairs)}
    currents = [at_peak.blocked_a_per_t, at_peak.port_a_per_t[0], *(one.at_a_per_t for one in onsets)]
    below, peak, *at_onset = (change.as_driven.mean for change in changes_of_b1(lie, np.array(currents), region))
    for onset, mean in zip(onsets, at_onset, strict=True):
        at = number[onset.pair.element, onset.pair.part]
        yield DiodeFollowed(
            element=array.names[onset.pair.element],
            part=onset.pair.part,
            condition=_condition(state),
            acts_t=onset.acts_t,
            conducts_at_peak=bool(at_peak.conducting[0, at]),
            current_a=float(abs(at_peak.current_a[0, at])),
            b1_below=below,
            b1_at_onset=mean,
            b1_at_peak=peak,
        )


def pins_held(
    array: DrivenArray, cases: Sequence[ArrayCase], *, check: InterfaceCheck, peak_t: float
) -> tuple[PinHold, ...]:
    """Hold PIN diodes against their bias.

    Parameters
    ----------
    array : DrivenArray
    cases : sequence of ArrayCase
        Of a normal condition all elements count, of a fault those that have failed.
    check : InterfaceCheck
        Bias lines, checked, and what the scanner gives them.
    peak_t : float
        Peak B1+. [T]

    Returns
    -------
    tuple of PinHold
        The least margin first, of elements that a line serves; each in the name of its case.
    """
    lines = {name: line for line in reversed(check.lines) for name in _served(line, array.names)}
    f = array.ports.frequency_hz
    holds: list[PinHold] = []
    for case in cases if lines else ():
        counted = {number for number in case.failed or range(len(array.names)) if array.names[number] in lines}
        solved = array_state(array.ports.at_operation_ohm, array.circuits, case.states, frequency_hz=f)
        found = [one for one in stresses(solved, peak_t * array.open_v_per_t) if one.element in counted]
        any_line = next(iter(lines.values()))
        biases = [
            _bias(lines.get(name, any_line), check.interface, case, number) for number, name in enumerate(array.names)
        ]
        own = pin_holds(array.circuits, case.states, found, biases=biases, frequency_hz=f)
        holds += [replace(hold, state=case.name) for hold in own]
    return tuple(sorted(holds, key=lambda hold: hold.margin))


def pins_recover(check: InterfaceCheck) -> tuple[PinRecovery, ...]:
    """Time in which PIN diodes recover, line by line."""
    return tuple(pin_recovery(bias_of_line(line, check.interface)) for line in check.lines)


def loses_bias(case: ArrayCase) -> bool:
    """Whether a fault of an array that is plugged in keeps the bias from PIN diodes."""
    return any(
        state.plug is Plug.IN
        and (_line_is_open(case, element) or any(isinstance(one, CableBroken | NoBias) for one in state.faults))
        for element, state in enumerate(case.states)
        if element in case.failed
    )


def _line_is_open(case: ArrayCase, element: int) -> bool:
    """Whether the element's diodes block where those of its condition, without any fault of its own, conduct."""
    state = case.states[element]
    return (
        element in case.failed
        and not state.faults
        and state.pin_diodes is Diodes.BLOCK
        and case.wearing is Wearing.AS_DESIGNED
    )


def _served(line: LineCheck, names: Sequence[str]) -> tuple[str, ...]:
    return tuple(names) if "all" in line.line.elements else line.line.elements


def _bias(line: LineCheck, interface: InterfaceRequest, case: ArrayCase, element: int) -> PinBias:
    """What one diode of a line is given; nothing holds it off where the plug is out or the line is open."""
    plugged = bias_of_line(line, interface)
    reached = case.states[element].plug is Plug.IN and not _line_is_open(case, element)
    return plugged if reached else replace(plugged, reverse_voltage_v=0.0)
