r"""Port currents of many cases of one array in one transmit field, most of them a change in one element.

With Z between the open gaps, Y what the circuits put across them and e the voltages of the open gaps, the currents into
the conductors are I = -(1 + YZ)^-1 Y e and the gap voltages v = e + ZI. Where the circuits of a few gaps s change by D,

.. math:: I' = I - T_{:s} (1 + D G_{ss})^{-1} D v_s,\qquad T = (1 + YZ)^{-1},\ G = ZT,

exactly: a case costs a system of the gaps that change, and one product.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.faults.cases import ArrayCase
from loopwright.circuits.nodal import reduced
from loopwright.circuits.states import ElementState, channel_siemens, in_state
from loopwright.circuits.wiring import ElementCircuit, stacked
from loopwright.ground.errors import OutsideModelError

__all__ = ["port_currents_a_per_t"]

Complexes = NDArray[np.complex128]


def port_currents_a_per_t(
    port_ohm: Complexes,
    circuits: Sequence[ElementCircuit],
    cases: Sequence[ArrayCase],
    *,
    open_v_per_t: ArrayLike,
    frequency_hz: float,
) -> Complexes:
    """Currents into the conductors at all gaps, case after case.

    Parameters
    ----------
    port_ohm : ndarray, shape (P, P)
        Impedance between the open gaps, body included. [ohm]
    circuits : sequence of ElementCircuit
        One for each element, diodes and fuses as they are.
    cases : sequence of ArrayCase
        States of the elements, all worn alike: another lie of the carrier is another impedance.
    open_v_per_t : array_like, shape (P,)
        Voltages that the transmit field puts across the open gaps, peak, per tesla of B1+. [V/T]
    frequency_hz : float
        [Hz]

    Returns
    -------
    ndarray, shape (cases, P)
        Peak, per tesla of B1+. [A/T]

    Raises
    ------
    OutsideModelError
        If the gaps of the circuits are not those of the impedance, or cases are worn differently.

    Notes
    -----
    The case of a family is solved once by its commonest states; of a case that changes more than half of the gaps, the
    whole is solved. Memory beside the result is that of a few matrices of the size of ``port_ohm``.
    """
    _complain(port_ohm, circuits, cases)
    open_v = np.asarray(open_v_per_t, dtype=np.complex128)
    ports = _ports_of(circuits)
    siemens = _gap_siemens(circuits, cases, frequency_hz)
    found = np.empty((len(cases), len(port_ohm)), dtype=np.complex128)
    for own in _families(cases):
        states = tuple(_commonest(cases[case].states[e] for case in own) for e in range(len(circuits)))
        base = _base(port_ohm, open_v, ports, states, siemens)
        for case in own:
            found[case] = _changed(base, cases[case].states, siemens)
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class _Base:
    """One solution of the whole, from which cases depart."""

    port_ohm: Complexes
    open_v: Complexes
    ports: tuple[NDArray[np.intp], ...]
    states: tuple[ElementState, ...]
    current: Complexes
    voltage: Complexes
    per_drawn: Complexes
    seen_ohm: Complexes


_Siemens = Mapping[tuple[int, ElementState], Complexes]


def _complain(port_ohm: Complexes, circuits: Sequence[ElementCircuit], cases: Sequence[ArrayCase]) -> None:
    gaps = sum(circuit.gap_count for circuit in circuits)
    if gaps != len(port_ohm):
        raise OutsideModelError(f"the circuits have {gaps} gaps, the conductors {len(port_ohm)}")
    worn = {case.wearing for case in cases}
    if len(worn) > 1:
        named = ", ".join(sorted(one.value for one in worn))
        raise OutsideModelError(f"cases are worn differently ({named}): each of these has an impedance of its own")


def _ports_of(circuits: Sequence[ElementCircuit]) -> tuple[NDArray[np.intp], ...]:
    ends = np.cumsum([0, *(circuit.gap_count for circuit in circuits)])
    return tuple(np.arange(first, last) for first, last in pairwise(ends))


def _families(cases: Sequence[ArrayCase]) -> Iterable[list[int]]:
    by_name: dict[str, list[int]] = {}
    for number, case in enumerate(cases):
        by_name.setdefault(case.family, []).append(number)
    return by_name.values()


def _commonest(states: Iterable[ElementState]) -> ElementState:
    return Counter(states).most_common(1)[0][0]


def _gap_siemens(circuits: Sequence[ElementCircuit], cases: Sequence[ArrayCase], frequency_hz: float) -> _Siemens:
    """Admittance across its gaps of every element in every state that some case asks for. [S]"""
    asked = list(dict.fromkeys((e, state) for case in cases for e, state in enumerate(case.states)))
    loads = np.array([channel_siemens(circuits[e].receiver, state) for e, state in asked], dtype=np.complex128)
    found: dict[tuple[int, ElementState], Complexes] = {}
    for numbers, circuit in stacked([in_state(circuits[e], state) for e, state in asked]):
        own = list(numbers)
        gap_siemens = reduced(circuit, frequency_hz, loads[own]).gap_siemens
        found.update(zip([asked[number] for number in own], gap_siemens, strict=True))
    return found


def _base(
    port_ohm: Complexes,
    open_v: Complexes,
    ports: tuple[NDArray[np.intp], ...],
    states: tuple[ElementState, ...],
    siemens: _Siemens,
) -> _Base:
    loop = np.eye(len(port_ohm), dtype=np.complex128)
    drawn = np.empty_like(open_v)
    for e, (own, state) in enumerate(zip(ports, states, strict=True)):
        loop[own] += siemens[e, state] @ port_ohm[own]
        drawn[own] = siemens[e, state] @ open_v[own]
    per_drawn = np.asarray(np.linalg.inv(loop), dtype=np.complex128)
    current = -per_drawn @ drawn
    return _Base(
        port_ohm=port_ohm,
        open_v=open_v,
        ports=ports,
        states=states,
        current=current,
        voltage=open_v + port_ohm @ current,
        per_drawn=per_drawn,
        seen_ohm=port_ohm @ per_drawn,
    )


def _changed(base: _Base, states: tuple[ElementState, ...], siemens: _Siemens) -> Complexes:
    changed = [e for e, (was, now) in enumerate(zip(base.states, states, strict=True)) if was != now]
    if not changed:
        return base.current
    gaps = np.concatenate([base.ports[e] for e in changed])
    if 2 * len(gaps) > len(base.port_ohm):
        return _base(base.port_ohm, base.open_v, base.ports, states, siemens).current
    change = np.zeros((len(gaps), len(gaps)), dtype=np.complex128)
    first = 0
    for e in changed:
        here = slice(first, first := first + len(base.ports[e]))
        change[here, here] = siemens[e, states[e]] - siemens[e, base.states[e]]
    inner = np.eye(len(gaps)) + change @ base.seen_ohm[np.ix_(gaps, gaps)]
    drawn = np.linalg.solve(inner, change @ base.voltage[gaps])
    return np.asarray(base.current - base.per_drawn[:, gaps] @ drawn)
