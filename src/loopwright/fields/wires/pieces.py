"""Straight pieces of thin wire: what the compiled fill takes."""

from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

__all__ = ["Pieces", "StraightWires", "closed_wires", "following_nodes", "following_vertices"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


class StraightWires(Protocol):
    """Segments whose current is linear, for whoever wants their fields; currents have the numbers of segments' starts.

    Closed wires are such, one current for every node, and so are wires that meet at junctions, two for every segment.
    """

    @property
    def vertices_m(self) -> Floats:
        """Where every segment starts, shape (segments, 3). [m]"""

    @property
    def steps_m(self) -> Floats:
        """Way from its start to its end, shape (segments, 3). [m]"""

    @property
    def first_node(self) -> Integers:
        """Where the segments of each conductor start, and the number of segments, shape (conductors + 1,)."""

    @property
    def next_node(self) -> Integers:
        """Number of the current at the end of every segment, shape (segments,)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """Straight pieces, one or several for every segment of closed centre-lines, and the currents that they carry.

    Every piece carries ``share`` of the current of its segment, linear from ``start_node`` to ``end_node``, and of the
    charge that it leaves.  A piece whose ``spare`` is not -1 carries besides a current of its own, the same all along,
    unknown number ``spare`` after those of the nodes; pieces in a row may carry the same one.  Pieces of element e
    stand from ``first_piece[e]`` on.  Two pieces take the kernel radii that the matrices (conductors, conductors) hold
    for their ``conductor``.
    """

    starts_m: Floats
    ends_m: Floats
    first_piece: Integers
    start_node: Integers
    end_node: Integers
    share: Floats
    spare: Integers
    conductor: Integers
    magnetic_radius_m: Floats
    electric_radius_m: Floats

    @property
    def nodes(self) -> int:
        """Number of nodes, which is that of segments."""
        return int(self.start_node.max()) + 1

    @property
    def spares(self) -> int:
        """Number of currents besides those of the nodes."""
        return int(self.spare.max()) + 1

    @property
    def lengths_m(self) -> Floats:
        """Length of every piece, shape (pieces,). [m]"""
        return np.asarray(np.linalg.norm(self.ends_m - self.starts_m, axis=1))


def closed_wires(
    vertices_m: Floats, first_node: Integers, *, magnetic_radius_m: Floats, electric_radius_m: Floats
) -> Pieces:
    """Closed wires whose every segment is one piece.

    Parameters
    ----------
    vertices_m : ndarray, shape (nodes, 3)
        Corners of all closed conductors. [m]
    first_node : ndarray of int, shape (conductors + 1,)
        Where each conductor starts, and the number of nodes.
    magnetic_radius_m, electric_radius_m : ndarray, shape (conductors, conductors)
        Radius of the reduced kernel for each pair. [m]
    """
    first = np.asarray(first_node, dtype=np.int64)
    nodes = np.arange(len(vertices_m), dtype=np.int64)
    return Pieces(
        starts_m=np.asarray(vertices_m, dtype=np.float64),
        ends_m=following_vertices(np.asarray(vertices_m, dtype=np.float64), first),
        first_piece=first,
        start_node=nodes,
        end_node=following_nodes(first),
        share=np.ones(len(nodes)),
        spare=np.full(len(nodes), -1, dtype=np.int64),
        conductor=np.repeat(np.arange(len(first) - 1, dtype=np.int64), np.diff(first)),
        magnetic_radius_m=magnetic_radius_m,
        electric_radius_m=electric_radius_m,
    )


def following_nodes(first_node: Integers) -> Integers:
    """Number of the node at the other end of every segment of closed conductors, shape (nodes,)."""
    following = np.arange(1, first_node[-1] + 1, dtype=np.int64)
    following[first_node[1:] - 1] = first_node[:-1]
    return following


def following_vertices(vertices_m: Floats, first_node: Integers) -> Floats:
    """Give for every node the next node of its own closed conductor.

    Parameters
    ----------
    vertices_m : ndarray, shape (nodes, 3)
        Corners of all closed conductors. [m]
    first_node : ndarray of int, shape (conductors + 1,)
        Where each conductor starts, and the number of nodes.

    Returns
    -------
    ndarray, shape (nodes, 3)
        The other end of each segment. [m]
    """
    return np.concatenate([np.roll(vertices_m[start:stop], -1, axis=0) for start, stop in pairwise(first_node)])
