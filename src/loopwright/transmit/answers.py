"""What one case of the array does in the transmit field: currents, voltages, heat and ratings, part by part."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf, nan, sqrt

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_circuit import ArrayState, array_state, gap_currents_a
from loopwright.circuits.bias.fuse import GENERIC_FUSE, opening_time_s
from loopwright.circuits.bias.fuse import Fuse as FuseLaw
from loopwright.circuits.faults.cases import ArrayCase
from loopwright.circuits.node_voltages import PartPattern, induced_voltages_v, part_patterns
from loopwright.circuits.parts import Fuse, Part
from loopwright.circuits.states import ElementState, PartOpen, PartShort
from loopwright.circuits.under_field.state_under_field import share_of_rating
from loopwright.circuits.wiring import Branch, ElementCircuit
from loopwright.transmit.driven_array import DrivenArray
from loopwright.transmit.exposure import Exposure

__all__ = ["ANSWER_LIMITS", "CaseAnswer", "ElementAnswer", "PartAnswer", "PowerBalance", "answer_case"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: What the answers take for granted.
ANSWER_LIMITS = (
    (
        "Diodes are what the state of their case says, and all goes with the field: powers and opening times at the "
        "rms field, voltages, currents and ratings at its peak, those of fuses at the rms field. No uncertainty is "
        "told, because nobody knows that of the parts' losses under power."
    ),
    (
        "What the bias itself turns into heat in PIN diodes and chokes, some tens of milliwatts in each, is not in "
        "these powers: the bias lines tell it."
    ),
    "Times in which fuses open are those of one generic kind of fuse, at the latest; take the data sheet of yours.",
    (
        "The power balance is that of the gaps. What flows along conductors with all gaps open is in the figures of "
        "the traces, and not in the balance."
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PartAnswer:
    """One part.

    Attributes
    ----------
    name : str
    voltage_v, current_a : float
        Across it and through it at the peak field, peak; of a line, the larger of both ends. [V], [A]
    power_w : float
        That it turns into heat at the rms field. [W]
    share : float
        Of its rating, at the peak field, of a fuse at the rms field; NaN where none was given or the part has failed.
    opens_after_s : float
        Of a fuse at the rms field, at the latest; infinite where it may stay whole, NaN for all other parts. [s]
    """

    name: str
    voltage_v: float
    current_a: float
    power_w: float
    share: float
    opens_after_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ElementAnswer:
    """One element.

    Attributes
    ----------
    name : str
    largest_current_a, mean_current_a : float
        Along its conductor, peak, at the peak field; the mean by length. [A]
    largest_at : int
        Node of the element at which the largest current flows, counted from nought.
    gap_voltage_v : ndarray, shape (g,)
        Peak, at the peak field. [V]
    trace_w : float
        That its conductor turns into heat at the rms field. [W]
    largest_trace_w_per_m : float
        Where along the conductor that is most. [W/m]
    hottest_at : int
        Node at which that is, counted from nought within the element.
    parts : tuple of PartAnswer
        In the order of its circuit.
    """

    name: str
    largest_current_a: float
    mean_current_a: float
    largest_at: int
    gap_voltage_v: Floats
    trace_w: float
    largest_trace_w_per_m: float
    hottest_at: int
    parts: tuple[PartAnswer, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerBalance:
    """Power that the transmit field gives the array through its gaps, and where it goes, at the rms field. [W]"""

    given_w: float
    parts_w: float
    receivers_w: float
    traces_w: float
    joints_w: float
    body_w: float
    radiated_w: float

    @property
    def left_w(self) -> float:
        """What no place was found for; rounding only. [W]"""
        placed = self.parts_w + self.receivers_w + self.traces_w + self.joints_w + self.body_w + self.radiated_w
        return self.given_w - placed


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseAnswer:
    """One case at one exposure.

    Attributes
    ----------
    case : ArrayCase
    port_current_a_per_t : ndarray, shape (P,)
        Into the conductors, peak, per tesla of B1+: by these the fields of the array are weighted. [A/T]
    elements : tuple of ElementAnswer
    balance : PowerBalance
    """

    case: ArrayCase
    port_current_a_per_t: Complexes
    elements: tuple[ElementAnswer, ...]
    balance: PowerBalance

    def hottest_parts(self, count: int) -> tuple[tuple[str, PartAnswer], ...]:
        """Names of elements and their parts that turn most power into heat, the most first."""
        parts = [(element.name, part) for element in self.elements for part in element.parts]
        return tuple(sorted(parts, key=lambda named: -named[1].power_w)[:count])


def answer_case(
    array: DrivenArray, case: ArrayCase, exposure: Exposure, *, fuse_law: FuseLaw = GENERIC_FUSE
) -> CaseAnswer:
    """Tell what one case does.

    Parameters
    ----------
    array : DrivenArray
        The array in the lie of this case.
    case : ArrayCase
        States of the elements.
    exposure : Exposure
        Field of the sequence.
    fuse_law : Fuse
        Time law of its fuses.

    Returns
    -------
    CaseAnswer
    """
    f = array.ports.frequency_hz
    state = array_state(array.ports.at_operation_ohm, array.circuits, case.states, frequency_hz=f)
    current = gap_currents_a(state, array.open_v_per_t)
    loads = _loads(state, array, case, exposure, fuse_law)
    return CaseAnswer(
        case=case,
        port_current_a_per_t=current,
        elements=tuple(_elements(array, current, loads, exposure)),
        balance=_balance(array, state, current, loads, exposure),
    )


def _loads(
    state: ArrayState, array: DrivenArray, case: ArrayCase, exposure: Exposure, law: FuseLaw
) -> list[list[PartAnswer]]:
    loads: list[list[PartAnswer]] = [[] for _ in array.circuits]
    for pattern in part_patterns(state, induced_voltages_v(state, array.open_v_per_t)):
        for place, element in enumerate(pattern.elements.tolist()):
            part = _intact_part(array.circuits[element], case.states[element], pattern.name)
            loads[element].append(_part(pattern, place, part, case.states[element], exposure, law))
    return loads


def _intact_part(circuit: ElementCircuit, state: ElementState, name: str) -> Part | None:
    """Return the part as bought; none of a failed one, of a line, or of what a fault has put there."""
    gone = {fault.part for fault in state.faults if isinstance(fault, PartOpen | PartShort)}
    named = {branch.name: branch.part for branch in circuit.branches if isinstance(branch, Branch)}
    return None if name in gone else named.get(name)


def _part(
    pattern: PartPattern, place: int, part: Part | None, state: ElementState, exposure: Exposure, law: FuseLaw
) -> PartAnswer:
    voltage, current = pattern.voltage[place, :, 0], pattern.current[place, :, 0]
    voltage_v, current_a = (exposure.peak_b1_plus_t * float(np.abs(ends).max()) for ends in (voltage, current))
    steady_a = exposure.rms_b1_plus_t * float(np.abs(current).max())
    # A fuse is rated for what warms it over the sequence.
    rated_a = steady_a if isinstance(part, Fuse) else current_a
    return PartAnswer(
        name=pattern.name,
        voltage_v=voltage_v,
        current_a=current_a,
        power_w=exposure.rms_b1_plus_t**2 * float(np.vdot(voltage, current).real) / 2,
        share=nan
        if part is None
        else share_of_rating(part, pattern.name, state, voltage_v=voltage_v, current_a=rated_a),
        opens_after_s=_opens_after_s(part, steady_a / sqrt(2), law),
    )


def _opens_after_s(part: Part | None, rms_a: float, law: FuseLaw) -> float:
    if not isinstance(part, Fuse):
        return nan
    rating_a = float(np.asarray(part.rated_current_rms_a))
    return float(opening_time_s(rms_a, rating_a=rating_a, fuse=law)) if np.isfinite(rating_a) else inf


def _elements(
    array: DrivenArray, current: Complexes, loads: list[list[PartAnswer]], exposure: Exposure
) -> Iterator[ElementAnswer]:
    along = array.current_along_a_per_t(current)
    size_a = exposure.peak_b1_plus_t * np.abs(along)
    lost_w = exposure.rms_b1_plus_t**2 * _node_power(array, along)
    gap_v = exposure.peak_b1_plus_t * np.abs(array.open_v_per_t + array.ports.at_operation_ohm @ current)
    for element, (name, parts) in enumerate(zip(array.names, loads, strict=True)):
        own = array.node_element == element
        per_m = lost_w[own] / array.node_length_m[own]
        yield ElementAnswer(
            name=name,
            largest_current_a=float(size_a[own].max()),
            mean_current_a=float(np.average(size_a[own], weights=array.node_length_m[own])),
            largest_at=int(size_a[own].argmax()),
            gap_voltage_v=gap_v[array.ports.port_element == element],
            trace_w=float(lost_w[own].sum()),
            largest_trace_w_per_m=float(per_m.max()),
            hottest_at=int(per_m.argmax()),
            parts=tuple(parts),
        )


def _node_power(array: DrivenArray, along: Complexes) -> Floats:
    """Heat of the conductors by node, per square of the field; what two nodes share is halved between them."""
    return np.asarray((along.conj() * (array.loss_matrix_ohm @ along)).real / 2)


def _balance(
    array: DrivenArray,
    state: ArrayState,
    current: Complexes,
    loads: list[list[PartAnswer]],
    exposure: Exposure,
) -> PowerBalance:
    split, square = array.ports.resistances, exposure.rms_b1_plus_t**2

    def lost_w(resistance_ohm: Complexes) -> float:
        return square * float((current @ resistance_ohm @ current.conj()).real) / 2

    traces_w = square * float(_node_power(array, array.node_current @ current).sum())
    return PowerBalance(
        # An EMF in series is the negative of the voltage across the open gap.
        given_w=-square * float(np.vdot(array.open_v_per_t, current).real) / 2,
        parts_w=sum(part.power_w for parts in loads for part in parts),
        receivers_w=square * _receivers_power(state, array.open_v_per_t),
        traces_w=traces_w,
        joints_w=lost_w(split.conductor_ohm) - traces_w,
        body_w=lost_w(split.body_ohm),
        radiated_w=lost_w(split.radiation_ohm),
    )


def _receivers_power(state: ArrayState, open_v_per_t: Complexes) -> float:
    """Power into the receivers' inputs, per square of the field."""
    found = 0.0
    for group, voltages in zip(state.groups, induced_voltages_v(state, open_v_per_t), strict=True):
        at_channel = np.abs(voltages[:, group.reduced.channel, 0]) ** 2
        found += float((at_channel * state.receiver_siemens[group.elements].real).sum()) / 2
    return found
