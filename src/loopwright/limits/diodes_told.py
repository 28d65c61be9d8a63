"""Diodes in the normal conditions: what the field makes of crossed ones, and whether bias holds PIN diodes."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records import InterfaceRequest
from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.bias.bias_lines import LineCheck
from loopwright.circuits.bias.interface_check import InterfaceCheck
from loopwright.circuits.parts import CrossedDiodes
from loopwright.circuits.states import RECEIVING, ElementState, Plug
from loopwright.circuits.under_field.driven_diodes import drive_array
from loopwright.circuits.under_field.driven_onsets import driven_onsets
from loopwright.circuits.under_field.pin_bias import PinBias, bias_of_line
from loopwright.circuits.under_field.pin_hold import PinHold, PinRecovery, pin_holds, pin_recovery
from loopwright.circuits.under_field.stresses import stresses
from loopwright.circuits.wiring import Branch
from loopwright.limits.while_transmitting import DiodeFollowed
from loopwright.transmit.driven_array import DrivenArray
from loopwright.transmit.lie import Lie, changes_of_b1

__all__ = ["diodes_followed", "pins_held"]


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
    if not any(
        isinstance(branch, Branch) and isinstance(branch.part, CrossedDiodes)
        for circuit in lie.driven.circuits
        for branch in circuit.branches
    ):
        return ()
    return tuple(told for state in conditions for told in _followed(lie, state, peak_t, region))


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
            condition="plugged in" if state.plug is Plug.IN else "unplugged",
            acts_t=onset.acts_t,
            conducts_at_peak=bool(at_peak.conducting[0, at]),
            current_a=float(abs(at_peak.current_a[0, at])),
            b1_below=below,
            b1_at_onset=mean,
            b1_at_peak=peak,
        )


def pins_held(
    array: DrivenArray, conditions: Sequence[ElementState], *, check: InterfaceCheck, peak_t: float
) -> tuple[tuple[PinHold, ...], tuple[PinRecovery, ...]]:
    """Hold PIN diodes against their bias in the normal conditions.

    Parameters
    ----------
    array : DrivenArray
    conditions : sequence of ElementState
        Of all elements alike.
    check : InterfaceCheck
        Bias lines, checked, and what the scanner gives them.
    peak_t : float
        Peak B1+. [T]

    Returns
    -------
    tuple of PinHold, tuple of PinRecovery
        The least margin first, of elements that a line serves; recovery line by line.
    """
    lines = {name: line for line in reversed(check.lines) for name in _served(line, array.names)}
    elements = [number for number, name in enumerate(array.names) if name in lines]
    if not elements:
        return (), ()
    f = array.ports.frequency_hz
    holds: list[PinHold] = []
    for state in conditions:
        states = (state,) * len(array.circuits)
        solved = array_state(array.ports.at_operation_ohm, array.circuits, states, frequency_hz=f)
        found = [one for one in stresses(solved, peak_t * array.open_v_per_t) if one.element in elements]
        any_line = next(iter(lines.values()))
        biases = [_bias(lines.get(name, any_line), check.interface, state) for name in array.names]
        holds += pin_holds(array.circuits, states, found, biases=biases, frequency_hz=f)
    recovery = tuple(pin_recovery(_bias(line, check.interface, RECEIVING)) for line in check.lines)
    return tuple(sorted(holds, key=lambda hold: hold.margin)), recovery


def _served(line: LineCheck, names: Sequence[str]) -> tuple[str, ...]:
    return tuple(names) if "all" in line.line.elements else line.line.elements


def _bias(line: LineCheck, interface: InterfaceRequest, state: ElementState) -> PinBias:
    """What one diode of a line is given; nothing holds it off where the plug is out."""
    plugged = bias_of_line(line, interface)
    return plugged if state.plug is Plug.IN else replace(plugged, reverse_voltage_v=0.0)
