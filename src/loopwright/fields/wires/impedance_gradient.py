r"""How the port impedances change when conductors move a little, without solving again.

.. math:: \frac{\partial Z_{ij}}{\partial p} = \mathbf{I}_i^T\,\frac{\partial Z}{\partial p}\,\mathbf{I}_j

with the node currents of one port driven and the others open: the reciprocity identity for a symmetric matrix.  Only
the rows of what moves are filled again, on either side of where it stands.
"""

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
from loopwright.fields.wires.spare_currents import settled
from loopwright.ground.errors import OutsideModelError

__all__ = ["impedance_gradient_ohm", "linearisation_error"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Integers = NDArray[np.int64]

#: Way to either side for the difference: a fortieth of the closest crossings of 0.2 mm, far above rounding. [m]
STEP_M = 5e-6


def impedance_gradient_ohm(dressed: DressedLayout, network: PortNetwork, displacements_m: Floats) -> Complexes:
    """Rate of the port impedances with parameters that move the corners of elements.

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
    shift of 1 mm is told to 15 % and one of 0.25 mm to 4 %, with gaps open.  Elsewhere in the band the change follows
    the frequency, as reactances do.  Conductors keep their width and their thickness.  Cost: for each parameter, twice
    the fill of the moved elements' rows.
    """
    wires = array_wires(dressed, split=split_segments(dressed))
    if len(wires.split) != len(network.node_current):
        raise OutsideModelError("the network was not solved from these elements")
    spare = settled(dressed, wires, network.frequency_hz).spare_current if wires.split.any() else np.zeros((0,) * 2)
    # Nothing drives the filaments' own currents, so to first order their settling anew changes nothing.
    own = spare @ network.node_current if len(spare) else network.node_current[:0]
    current = np.concatenate([network.node_current, own])
    return np.stack([_rate_ohm(dressed, wires, network.frequency_hz, current, way) for way in displacements_m])


def _rate_ohm(
    dressed: DressedLayout, wires: ArrayWires, frequency_hz: float, current: Complexes, way_m: Floats
) -> Complexes:
    """Rate of the port impedance with one parameter, for currents (unknowns, ports); shape (ports, ports)."""
    longest = float(np.linalg.norm(way_m, axis=1).max())
    if longest == 0:
        return np.zeros((current.shape[1],) * 2, dtype=np.complex128)
    step = STEP_M / longest
    moving = np.unique(wires.mesh.node_conductor[np.any(way_m != 0, axis=1)])
    pairs = all_pairs(len(wires.mesh.first_node) - 1)
    pairs = pairs[np.isin(pairs, moving).any(axis=1)]
    there, back = (_impedance_ohm(dressed, wires, frequency_hz, pairs, sign * step * way_m) for sign in (1, -1))
    return np.asarray(current.T @ ((there - back) @ current) / (2 * step))


def _impedance_ohm(
    dressed: DressedLayout, wires: ArrayWires, frequency_hz: float, pairs: Integers, displacement_m: Floats
) -> Complexes:
    """Blocks of the impedance of all currents that belong to some pairs, and all of the loss, after a small move."""
    pieces = moved_pieces(dressed, wires, displacement_m)
    magnetic, electric = parts_ohm(pieces, pairs, frequency_hz, near=wires.pieces)
    found = magnetic + loss_ohm(pieces, piece_resistances_ohm_per_m(dressed, wires, frequency_hz))
    found[: len(electric), : len(electric)] += electric
    return found


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
