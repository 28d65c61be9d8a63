r"""How the port impedances change when conductors move a little, without solving again.

.. math:: \frac{\partial Z_{ij}}{\partial p} = \mathbf{I}_i^T\,\frac{\partial Z}{\partial p}\,\mathbf{I}_j

with the node currents of one port driven and the others open: the reciprocity identity for a symmetric matrix.  Only
the rows of what moves are filled again, on either side of where it stands.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from loopwright.conductors import DressedLayout
from loopwright.fields.wires.bundling import (
    ArrayWires,
    array_wires,
    moved_pieces,
    piece_resistances_ohm_per_m,
    split_segments,
)
from loopwright.fields.wires.impedance import all_pairs, loss_ohm, parts_ohm
from loopwright.fields.wires.port_network import PortNetwork
from loopwright.fields.wires.spare_currents import inner_ohm, settled
from loopwright.ground.errors import OutsideModelError

__all__ = ["impedance_gradient_ohm", "impedance_gradients_ohm", "linearisation_error"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Integers = NDArray[np.int64]

#: Way to either side for the difference: a fortieth of the closest crossings of 0.2 mm, far above rounding. [m]
STEP_M = 5e-6


def impedance_gradient_ohm(dressed: DressedLayout, network: PortNetwork, displacements_m: Floats) -> Complexes:
    """Rate of the port impedances with parameters that move the corners of elements, at the middle of the band.

    Parameters
    ----------
    dressed : DressedLayout
        Elements and their conductor.
    network : PortNetwork
        Their solution.
    displacements_m : ndarray, shape (parameters, corners, 3)
        Way of every corner of every element, in their order, per unit of each parameter: unit vectors at the corners of
        one element give its shift in metres, the way of a stretch gives the stretch as a whole. [m]

    Returns
    -------
    ndarray, shape (parameters, ports, ports)
        Change of the impedance at the network's middle frequency per unit of each parameter; symmetric. [ohm]

    Notes
    -----
    First order only; :func:`linearisation_error` tells how far that carries: with conductors crossing 0.5 mm apart a
    shift of 1 mm is told to 15 % and one of 0.25 mm to 4 %, with gaps open.  Conductors keep their width and their
    thickness.  Cost: for each parameter, twice the fill of the moved elements' rows.
    """
    return impedance_gradients_ohm(dressed, network, displacements_m, frequencies_hz=[network.frequency_hz])[0]


def impedance_gradients_ohm(
    dressed: DressedLayout, network: PortNetwork, displacements_m: Floats, *, frequencies_hz: Sequence[float]
) -> Complexes:
    """Rates of the port impedances at several frequencies of the band, for little more than those at one.

    Parameters
    ----------
    dressed, network, displacements_m
        As for :func:`impedance_gradient_ohm`. [m]
    frequencies_hz : sequence of float
        Frequencies. [Hz]

    Returns
    -------
    ndarray, shape (frequencies, parameters, ports, ports)
        Changes per unit of each parameter. [ohm]

    Notes
    -----
    Exact at the middle.  Elsewhere the magnetic part follows the frequency, the electric part its inverse, and currents
    between open gaps are taken to be those of the middle: within 0.2 % of the largest rate at 2 % off the middle.
    """
    wires = array_wires(dressed, split=split_segments(dressed))
    if len(wires.split) != len(network.node_current):
        raise OutsideModelError("the network was not solved from these elements")
    current = network.node_current
    if wires.split.any():
        # Nothing drives the filaments' own currents, so to first order their settling anew changes nothing.
        own = settled(dressed, wires, network.frequency_hz).spare_current @ current
        current = np.concatenate([current, own])
    ratios = np.asarray(frequencies_hz) / network.frequency_hz
    powers = np.stack([ratios, ratios**-1, ratios**0], axis=1)  # of magnetic part, electric part, loss
    rates = [_rates_ohm(dressed, wires, network.frequency_hz, current, way) for way in displacements_m]
    return np.asarray(np.einsum("fk,pkij->fpij", powers, np.stack(rates)))


def _rates_ohm(
    dressed: DressedLayout, wires: ArrayWires, frequency_hz: float, current: Complexes, way_m: Floats
) -> Complexes:
    """Rate of magnetic part, electric part and loss with one parameter, shape (3, ports, ports).

    ``current`` is (unknowns, ports); only rows of what moves are looked at.
    """
    longest = float(np.linalg.norm(way_m, axis=1).max())
    if longest == 0:
        return np.zeros((3, current.shape[1], current.shape[1]), dtype=np.complex128)
    step = STEP_M / longest
    moving = np.unique(wires.mesh.node_conductor[np.any(way_m != 0, axis=1)])
    pairs = all_pairs(len(wires.mesh.first_node) - 1)
    pairs = pairs[np.isin(pairs, moving).any(axis=1)]
    rows = _unknowns_of(wires, moving)
    there, back = (_parts_ohm(dressed, wires, frequency_hz, pairs, rows, sign * step * way_m) for sign in (1, -1))
    rates = []
    for after, before in zip(there, back, strict=True):
        rate = (after - before) / (2 * step)
        own, every = rows[rows < rate.shape[1]], current[: rate.shape[1]]
        # Rows of what moves, their mirror image in the columns, and the block that was then counted twice.
        once = current[own].T @ rate @ every
        rates.append(once + once.T - current[own].T @ rate[:, own] @ current[own])
    return np.stack(rates)


def _unknowns_of(wires: ArrayWires, elements: Integers) -> Integers:
    """Numbers of the currents that some elements carry: at nodes, then the filaments' own."""
    nodes = np.flatnonzero(np.isin(wires.mesh.node_conductor, elements))
    spare = wires.pieces.spare[np.isin(wires.pieces.start_node, nodes)]
    return np.concatenate([nodes, wires.pieces.nodes + np.unique(spare[spare >= 0])])


def _parts_ohm(
    dressed: DressedLayout,
    wires: ArrayWires,
    frequency_hz: float,
    pairs: Integers,
    rows: Integers,
    displacement_m: Floats,
) -> tuple[Complexes, Complexes, Floats]:
    """Rows of magnetic part, electric part (between nodes) and loss after a small move."""
    pieces = moved_pieces(dressed, wires, displacement_m)
    magnetic, electric = parts_ohm(pieces, pairs, frequency_hz, near=wires.pieces)
    magnetic = magnetic + 1j * inner_ohm(dressed, pieces, frequency_hz)
    loss = loss_ohm(pieces, piece_resistances_ohm_per_m(dressed, wires, frequency_hz))
    return magnetic[rows], electric[rows[rows < len(electric)]], loss[rows]


def linearisation_error(network: PortNetwork, moved: PortNetwork, change_ohm: Complexes) -> float:
    """How far a change that was told to first order is from the change itself.

    Parameters
    ----------
    network, moved : PortNetwork
        Solutions before and after a move.
    change_ohm : ndarray, shape (ports, ports)
        Gradient times the amount of the move. [ohm]

    Returns
    -------
    float
        Largest difference between the changes over the largest change. [1]
    """
    before, after = (one.impedance_ohm[len(one.frequencies_hz) // 2] for one in (network, moved))
    return float(np.abs(after - before - change_ohm).max() / np.abs(after - before).max())
