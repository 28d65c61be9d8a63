"""Voltages at the nodes of the circuits, and across every part by its name.

By reciprocity the voltage that a current in some branch leaves at a receiver is the voltage across that branch while
the same current flows into the receiver's terminals: these patterns serve noise, energy and ratings alike.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.array_circuit import ArrayState, CircuitGroup, gap_currents_a
from loopwright.circuits.nodal import branch_admittances_siemens
from loopwright.circuits.part_admittance import line_admittance_siemens
from loopwright.circuits.wiring import Branch, Span, nodes_of

__all__ = ["PartPattern", "induced_voltages_v", "part_patterns", "voltages_per_injection_ohm"]

Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPattern:
    """One part of all elements of equal wiring.

    Attributes
    ----------
    name : str
        Of the part.
    elements : ndarray of int, shape (E,)
        Elements that hold it.
    admittance_siemens : ndarray, shape (..., E, K, K)
        Between its K ends: one for a part, two for a line. [S]
    voltage : ndarray, shape (..., E, K, S)
        Voltage across each end for each of S excitations, in the unit of the node voltages that it was made of.
    """

    name: str
    elements: NDArray[np.intp]
    admittance_siemens: Complexes
    voltage: Complexes

    @property
    def current(self) -> Complexes:
        """Current into each end, shape (..., E, K, S)."""
        return np.asarray(self.admittance_siemens @ self.voltage)

    @property
    def conductance_siemens(self) -> Complexes:
        """Hermitian part of the admittance, shape (..., E, K, K): what takes power up, and makes noise. [S]"""
        return np.asarray((self.admittance_siemens + np.swapaxes(self.admittance_siemens, -1, -2).conj()) / 2)


def voltages_per_injection_ohm(state: ArrayState) -> tuple[Complexes, ...]:
    """Node voltages per current put into each channel.

    Parameters
    ----------
    state : ArrayState
        State of the array.

    Returns
    -------
    tuple of ndarray, shape (..., E, n, C)
        One for each group of equal wiring, nodes in the order of ``nodes_of``. [ohm]
    """
    found = []
    for group in state.groups:
        voltage = np.array(group.reduced.node_per_gap @ state.gap_voltage_ohm[..., group.ports, :])
        for place, element in enumerate(group.elements):
            voltage[..., place, :, element] += group.reduced.node_per_injection[..., place, :]
        found.append(voltage)
    return tuple(found)


def induced_voltages_v(state: ArrayState, emf_v: ArrayLike) -> tuple[Complexes, ...]:
    """Node voltages while voltages are induced in the open gaps.

    Parameters
    ----------
    state : ArrayState
        State of the array.
    emf_v : array_like, shape (..., P)
        Voltages of the open gaps. [V]

    Returns
    -------
    tuple of ndarray, shape (..., E, n, 1)
        One for each group of equal wiring. [V]
    """
    emf = np.asarray(emf_v, dtype=np.complex128)
    gap = emf + (state.port_ohm @ gap_currents_a(state, emf)[..., None])[..., 0]
    return tuple(np.asarray(group.reduced.node_per_gap @ gap[..., group.ports, None]) for group in state.groups)


def part_patterns(state: ArrayState, node_voltages: tuple[Complexes, ...]) -> Iterator[PartPattern]:
    """Voltages across every part.

    Parameters
    ----------
    state : ArrayState
        State of the array.
    node_voltages : tuple of ndarray, shape (..., E, n, S)
        One for each group, as the other functions of this module give them.

    Yields
    ------
    PartPattern
        Part after part of every group; the receivers are no parts.
    """
    for group, voltages in zip(state.groups, node_voltages, strict=True):
        yield from _patterns(group, voltages, state.frequency_hz)


def _patterns(group: CircuitGroup, voltages: Complexes, frequency_hz: ArrayLike) -> Iterator[PartPattern]:
    number = {node: at for at, node in enumerate(nodes_of(group.circuit))}
    two_ended = branch_admittances_siemens(group.circuit, frequency_hz)

    def across(pair: tuple[str, str]) -> Complexes:
        top, bottom = (voltages[..., number[node], :] if node in number else 0.0 for node in pair)
        return np.asarray(top - bottom + np.zeros(voltages.shape[:-2] + voltages.shape[-1:]), dtype=np.complex128)

    for branch in group.circuit.branches:
        yield PartPattern(
            name=branch.name,
            elements=group.elements,
            admittance_siemens=_admittance_siemens(branch, two_ended, frequency_hz),
            voltage=np.stack([across(pair) for pair in _ends(branch)], axis=-2),
        )


def _ends(branch: Branch | Span) -> tuple[tuple[str, str], ...]:
    return (branch.near, branch.far) if isinstance(branch, Span) else (branch.between,)


def _admittance_siemens(branch: Branch | Span, two_ended: dict[str, Complexes], frequency_hz: ArrayLike) -> Complexes:
    if isinstance(branch, Branch):
        return np.asarray(two_ended[branch.name][..., None, None])
    own, mutual = line_admittance_siemens(branch.line, frequency_hz)
    return np.stack([np.stack([own, mutual], axis=-1), np.stack([mutual, own], axis=-1)], axis=-2)
