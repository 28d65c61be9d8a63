"""What the gaps of some elements see: their own conductors, with all other elements and their circuits in place."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_circuit import ArrayState, gap_voltages_v

__all__ = ["open_gaps_ohm", "surroundings_ohm"]

Complexes = NDArray[np.complex128]


def surroundings_ohm(state: ArrayState) -> tuple[Complexes, ...]:
    """Impedance between the gaps of every element alone, all others in place.

    Parameters
    ----------
    state : ArrayState
        State of the array.

    Returns
    -------
    tuple of ndarray, each of shape (..., g, g)
        For every element what its own circuit is wired to: ``open_gaps_ohm`` of it. [ohm]
    """
    inside = gap_voltages_v(state, state.port_ohm)
    own = _own_circuits(state)
    return tuple(_taken_off_ohm(inside[..., gaps[:, None], gaps], siemens) for gaps, siemens in own)


def open_gaps_ohm(state: ArrayState, elements: Sequence[int]) -> Complexes:
    """Impedance between the open gaps of some elements, the circuits of all others in place.

    Parameters
    ----------
    state : ArrayState
        State of the array.
    elements : sequence of int
        Elements whose circuits are taken away, counted from nought.

    Returns
    -------
    ndarray, shape (..., g, g)
        G (1 - YG)^-1 with G their block of (1 + ZY)^-1 Z and Y their own circuits; element after element as given.
        [ohm]
    """
    own = [_own_circuits(state)[element] for element in elements]
    gaps = np.concatenate([ports for ports, _ in own])
    inside = gap_voltages_v(state, state.port_ohm[..., gaps])[..., gaps, :]
    siemens = np.zeros_like(inside)
    first = 0
    for ports, circuit in own:
        here = slice(first, first := first + len(ports))
        siemens[..., here, here] = circuit
    return _taken_off_ohm(inside, siemens)


def _own_circuits(state: ArrayState) -> list[tuple[NDArray[np.intp], Complexes]]:
    """Gaps of every element, and what its circuit puts across them."""
    own = {
        element: (np.asarray(group.ports[at]), group.reduced.gap_siemens[..., at, :, :])
        for group in state.groups
        for at, element in enumerate(group.elements.tolist())
    }
    return [own[element] for element in sorted(own)]


def _taken_off_ohm(inside_ohm: Complexes, siemens: Complexes) -> Complexes:
    # Nothing is inverted that could be singular with a shorted gap.
    return np.asarray(inside_ohm @ np.linalg.inv(np.eye(inside_ohm.shape[-1]) - siemens @ inside_ohm))
