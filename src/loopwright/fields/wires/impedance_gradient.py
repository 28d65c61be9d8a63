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
    bundled_elements,
    moved_wires_m,
    wire_resistances_ohm_per_m,
)
from loopwright.fields.wires.impedance import impedance_rows_ohm
from loopwright.fields.wires.port_network import PortNetwork
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
    wires = array_wires(dressed, bundled=bundled_elements(dressed))
    if len(wires.mesh.vertices_m) != len(network.node_current):
        raise OutsideModelError("the network was not solved from these elements")
    resistance = wire_resistances_ohm_per_m(dressed, wires, network.frequency_hz)
    return np.stack([_rate_ohm(dressed, wires, network, resistance, way) for way in displacements_m])


def _rate_ohm(
    dressed: DressedLayout, wires: ArrayWires, network: PortNetwork, resistance_ohm_per_m: Floats, way_m: Floats
) -> Complexes:
    """Rate of the port impedance with one parameter, shape (ports, ports)."""
    ports = network.node_current.shape[1]
    longest = float(np.linalg.norm(way_m, axis=1).max())
    moved = _moved_conductors(dressed, wires, way_m)
    if longest == 0 or len(moved) == 0:
        return np.zeros((ports, ports), dtype=np.complex128)
    step = STEP_M / longest
    rows = np.flatnonzero(np.isin(wires.mesh.node_conductor, moved))
    there, back = (
        impedance_rows_ohm(
            wires.mesh,
            moved_wires_m(dressed, wires, sign * step * way_m),
            moved,
            resistance_ohm_per_m=resistance_ohm_per_m,
            frequency_hz=network.frequency_hz,
        )
        for sign in (1, -1)
    )
    rate = (there - back) / (2 * step)
    current, own = network.node_current, network.node_current[rows]
    # Rows of what moves, their mirror image in the columns, and the block that was then counted twice.
    once = own.T @ rate @ current
    return np.asarray(once + once.T - own.T @ rate[:, rows] @ own)


def _moved_conductors(dressed: DressedLayout, wires: ArrayWires, way_m: Floats) -> Integers:
    """Numbers of the conductors whose element moves."""
    corners = [len(element.vertices_m) for element in dressed.layout.elements]
    owner = np.repeat(np.arange(len(corners)), corners)
    moving = np.unique(owner[np.any(way_m != 0, axis=1)])
    return np.flatnonzero(np.isin(wires.conductor_element, moving))


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
