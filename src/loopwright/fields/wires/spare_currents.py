"""Currents that filaments carry on their own, and the impedance between nodes once they have settled."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import null_space

from loopwright.conductors import FILAMENTS, DressedLayout, inner_reactance_ohm_per_m
from loopwright.fields.wires.bundling import ArrayWires, piece_resistances_ohm_per_m
from loopwright.fields.wires.impedance import all_pairs, loss_ohm, parts_ohm
from loopwright.fields.wires.pieces import Pieces

__all__ = ["Settled", "inner_ohm", "settled"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """Impedance between the currents of nodes, all (nodes, nodes) [ohm], with the filaments' own currents settled.

    ``spare_current`` (pieces' own currents, nodes) are those currents per current of every node.  Radiation is that of
    evenly shared currents; the rest of the resistance is loss.
    """

    impedance_ohm: Complexes
    uniform_ohm: Complexes
    loss_ohm: Floats
    radiation_ohm: Floats
    spare_current: Complexes


def settled(dressed: DressedLayout, wires: ArrayWires, frequency_hz: float) -> Settled:
    """Settle the filaments' own currents: nothing drives them but the nodes' currents.

    Parameters
    ----------
    dressed : DressedLayout
        Elements and their conductor.
    wires : ArrayWires
        Their wires.
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    Settled
        ``uniform_ohm`` leaves out the electric part, which uniform currents do not have.

    Notes
    -----
    On every stretch of a split strip the filaments' own currents add up to nothing, and the voltage along it is the
    same for all, which the short ways across the strip at its ends enforce.
    """
    pairs = all_pairs(len(wires.mesh.first_node) - 1)
    magnetic, electric = parts_ohm(wires.pieces, pairs, frequency_hz, near=wires.pieces)
    magnetic = magnetic + 1j * inner_ohm(dressed, wires.pieces, frequency_hz)
    loss = loss_ohm(wires.pieces, piece_resistances_ohm_per_m(dressed, wires, frequency_hz))
    nodes = wires.pieces.nodes
    lossless = magnetic[:nodes, :nodes] + electric
    even_loss = loss[:nodes, :nodes]
    spare, change = _spare_currents(magnetic + loss, nodes)
    return Settled(
        impedance_ohm=lossless + even_loss + change,
        uniform_ohm=magnetic[:nodes, :nodes] + even_loss + change,
        loss_ohm=even_loss + change.real,
        radiation_ohm=lossless.real,
        spare_current=spare,
    )


def inner_ohm(dressed: DressedLayout, pieces: Pieces, frequency_hz: float) -> Floats:
    """Reactance that a conductor has beyond a smooth wire at a frequency [Hz], shape (unknowns, unknowns). [ohm]"""
    per_m = inner_reactance_ohm_per_m(dressed.cross_section, frequency_hz)
    return loss_ohm(pieces, np.full(len(pieces.share), per_m))


def _spare_currents(impedance_ohm: Complexes, nodes: int) -> tuple[Complexes, Complexes]:
    """Own currents per node current, and what they change in the impedance between nodes."""
    segments = (len(impedance_ohm) - nodes) // FILAMENTS
    if segments == 0:
        return np.zeros((0, nodes), dtype=np.complex128), np.zeros((nodes, nodes), dtype=np.complex128)
    patterns = null_space(np.ones((1, FILAMENTS)))  # orthonormal, each adding up to nothing
    driven = (impedance_ohm[:nodes, nodes:].reshape(nodes, segments, FILAMENTS) @ patterns).reshape(nodes, -1)
    among = impedance_ohm[nodes:, nodes:].reshape(segments, FILAMENTS, segments, FILAMENTS)
    among = np.einsum("ap,satb,bq->sptq", patterns, among, patterns, optimize=True)
    unknowns = driven.shape[1]
    amounts = -np.linalg.solve(among.reshape(unknowns, unknowns), driven.T)
    spare = np.einsum("ap,spn->san", patterns, amounts.reshape(segments, -1, nodes))
    change = driven @ amounts
    return spare.reshape(-1, nodes), np.asarray((change + change.T) / 2)
