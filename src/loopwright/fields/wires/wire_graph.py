r"""Straight pieces of thin wire that meet at junctions: their currents, and the impedance between them.

Every piece carries a current that is linear from one of its two ends to the other, so it has two unknowns of its own:
the current along it at its start and at its end.  At every node what flows in flows out, which ties the ends that meet
there: m ends leave m - 1 unknowns, a free end none.  With T from the unknowns to the currents of all ends,

.. math:: Z = T^T\Big(j\omega\mu_0 A + \frac{1}{j\omega\varepsilon_0} D\,\Phi D^T + R\Big) T,

where D takes the currents of a piece's ends to the charge that they leave on it.  At a junction the charge of every
piece stays its own, constant along it; potentials then come out alike where the pieces meet, as far as the mesh tells.
"""

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import connected_components

from loopwright.fields.wires.kernel_numba import fill_pieces
from loopwright.fields.wires.pieces import Pieces
from loopwright.ground.constants import EPSILON_0_F_PER_M, MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S

__all__ = [
    "WireGraph",
    "continuity",
    "ends_impedance_ohm",
    "ends_loss_ohm",
    "free_ends",
    "graph_impedance_ohm",
    "graph_pieces",
    "unknown_at",
]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Integers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class WireGraph:
    """Straight pieces of wire between nodes, any number of them at one node.

    The currents of its ends, wherever they stand in one list, are those of all starts and then those of all ends, in
    the direction of their piece.

    Attributes
    ----------
    nodes_m : ndarray, shape (nodes, 3)
        [m]
    branches : ndarray of int, shape (pieces, 2)
        Node at which each piece starts, and node at which it ends.
    radius_m : ndarray, shape (pieces,)
        Radius of every piece. [m]
    """

    nodes_m: Floats
    branches: Integers
    radius_m: Floats

    @property
    def vertices_m(self) -> Floats:
        """Where every piece starts, shape (pieces, 3). [m]"""
        return np.asarray(self.nodes_m[self.branches[:, 0]])

    @property
    def steps_m(self) -> Floats:
        """Way from the start of every piece to its end, shape (pieces, 3). [m]"""
        return np.asarray(self.nodes_m[self.branches[:, 1]] - self.nodes_m[self.branches[:, 0]])

    @property
    def next_node(self) -> Integers:
        """Number of the current at the end of every piece; that at its start has the number of the piece."""
        return len(self.branches) + np.arange(len(self.branches), dtype=np.int64)

    @property
    def first_node(self) -> Integers:
        """Where the pieces begin and end that stand for one conductor: all together."""
        return np.array([0, len(self.branches)], dtype=np.int64)


def continuity(graph: WireGraph) -> csr_array:
    """Currents of all ends per unknown, so that what flows into a node flows out of it.

    Parameters
    ----------
    graph : WireGraph
        The wires.

    Returns
    -------
    sparse array, shape (2 pieces, unknowns)
        Every unknown is the current of one end.  The first end of a node is none; it carries what the others leave.
    """
    closing, free = _closing_ends(graph), free_ends(graph)
    out = np.repeat([1.0, -1.0], len(graph.branches))
    rows = np.concatenate([free, closing[free]])
    columns = np.tile(np.arange(len(free)), 2)
    values = np.concatenate([np.ones(len(free)), -out[closing[free]] * out[free]])
    return csr_array(coo_array((values, (rows, columns)), shape=(len(closing), len(free))))


def free_ends(graph: WireGraph) -> Integers:
    """Ends whose currents are the unknowns, in their order, shape (unknowns,)."""
    return np.flatnonzero(_closing_ends(graph) != np.arange(2 * len(graph.branches)))


def _closing_ends(graph: WireGraph) -> Integers:
    """For every end the first end at its node, starts before ends, shape (2 pieces,)."""
    _, first, place = np.unique(graph.branches.T.ravel(), return_index=True, return_inverse=True)
    return np.asarray(first[place.ravel()], dtype=np.int64)


def unknown_at(graph: WireGraph, node: int) -> int:
    """Number of the unknown that is the current through a node where two pieces meet, in the direction of the second.

    Parameters
    ----------
    graph : WireGraph
        The wires.
    node : int
        A node where one piece ends and one starts.

    Returns
    -------
    int
        A gap there is a port of this unknown.

    Raises
    ------
    ValueError
        If other pieces meet there.
    """
    starting, ending = (np.flatnonzero(column == node) for column in graph.branches.T)
    if len(starting) != 1 or len(ending) != 1:
        raise ValueError(f"at node {node} {len(ending)} pieces end and {len(starting)} start; a gap needs one of each")
    return int(np.searchsorted(free_ends(graph), len(graph.branches) + ending[0]))


def graph_pieces(graph: WireGraph, kept: Integers) -> Pieces:
    """Some pieces of a graph for the compiled fill, with the currents of their two ends as unknowns.

    Parameters
    ----------
    graph : WireGraph
        The wires.
    kept : ndarray of int, shape (groups, pieces)
        Numbers of the pieces, in groups that are filled together.

    Notes
    -----
    Pieces that are joined, however far round, take the root of the mean of their squared radii between them.  That
    keeps the energy of any charges positive: :math:`1/R` is a sum of :math:`e^{-t^2 R^2}`, and with
    :math:`R^2 = d^2 + (a^2 + b^2)/2` each is a positive kernel times a factor of either piece.  Pieces that nothing
    joins take none.
    """
    first, last = graph.branches.T
    nodes = len(graph.nodes_m)
    joined = connected_components(coo_array((np.ones(len(first)), (first, last)), shape=(nodes, nodes)))[1]
    chosen = kept.ravel()
    kinds, conductor = np.unique(
        np.column_stack([joined[first[chosen]], graph.radius_m[chosen]]), axis=0, return_inverse=True
    )
    square = (kinds[:, None, 1] ** 2 + kinds[None, :, 1] ** 2) / 2
    radius_m = np.where(kinds[:, None, 0] == kinds[None, :, 0], np.sqrt(square), 0.0)
    numbers = np.arange(len(chosen), dtype=np.int64)
    return Pieces(
        starts_m=graph.nodes_m[first[chosen]],
        ends_m=graph.nodes_m[last[chosen]],
        first_piece=np.arange(len(kept) + 1, dtype=np.int64) * kept.shape[1],
        start_node=numbers,
        end_node=len(chosen) + numbers,
        share=np.ones(len(chosen)),
        spare=np.full(len(chosen), -1, dtype=np.int64),
        conductor=conductor.ravel().astype(np.int64),
        magnetic_radius_m=radius_m,
        electric_radius_m=radius_m,
    )


def ends_impedance_ohm(pieces: Pieces, pairs: Integers, frequency_hz: float) -> Complexes:
    """Impedance between the currents of all ends of perfect pieces, for some pairs of their groups.

    Parameters
    ----------
    pieces : Pieces
        As :func:`graph_pieces` gives them.
    pairs : ndarray of int, shape (pairs, 2)
        Groups whose blocks are wanted.
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (2 pieces, 2 pieces)
        Magnetic and electric part together. [ohm]
    """
    omega = 2 * pi * frequency_hz
    vector_m, potential_per_m = fill_pieces(pieces, pairs, wavenumber_per_m=omega / SPEED_OF_LIGHT_M_PER_S, near=pieces)
    electric = potential_per_m / (1j * omega * EPSILON_0_F_PER_M)
    return 1j * omega * MU_0_H_PER_M * vector_m + np.block([[electric, -electric], [-electric, electric]])


def ends_loss_ohm(lengths_m: Floats, resistance_ohm_per_m: Floats) -> csr_array:
    """Loss of linear currents as a quadratic form of those of the ends.

    Parameters
    ----------
    lengths_m : ndarray, shape (pieces,)
        Length of every piece. [m]
    resistance_ohm_per_m : ndarray, shape (pieces,)
        Resistance of each. [ohm/m]

    Returns
    -------
    sparse array, shape (2 pieces, 2 pieces)
        A third of the resistance for each end, a sixth between the two. [ohm]
    """
    whole = lengths_m * resistance_ohm_per_m
    start, end = np.arange(len(whole)), len(whole) + np.arange(len(whole))
    rows, columns = np.concatenate([start, end, start, end]), np.concatenate([start, end, end, start])
    values = np.concatenate([whole / 3, whole / 3, whole / 6, whole / 6])
    return csr_array(coo_array((values, (rows, columns)), shape=(2 * len(whole), 2 * len(whole))))


def graph_impedance_ohm(graph: WireGraph, frequency_hz: float, *, resistance_ohm_per_m: Floats) -> Complexes:
    """Impedance between the unknown currents of wires with junctions, in free space.

    Parameters
    ----------
    graph : WireGraph
        The wires.
    frequency_hz : float
        Frequency. [Hz]
    resistance_ohm_per_m : ndarray, shape (pieces,)
        Resistance of every piece. [ohm/m]

    Returns
    -------
    ndarray, shape (unknowns, unknowns)
        Symmetric; its unknowns are the columns of :func:`continuity`. [ohm]

    Notes
    -----
    Holds while pieces are at least four radii long, much shorter than the wavelength, and meet at angles at which they
    do not lie within one another for more than a radius or two.  The wires of a junction are not shortened by the
    radius of those that they meet.

    References
    ----------
    R. F. Harrington, Field Computation by Moment Methods, 1968, ch. 4 (from memory), for wires; that each piece at a
    junction keeps its own charge is common practice.
    """
    pieces = graph_pieces(graph, np.arange(len(graph.branches), dtype=np.int64)[None])
    ends = ends_impedance_ohm(pieces, np.zeros((1, 2), dtype=np.int64), frequency_hz)
    ends = ends + ends_loss_ohm(pieces.lengths_m, resistance_ohm_per_m).toarray()
    flow = continuity(graph)
    return np.asarray(flow.T @ (flow.T @ ends).T)
