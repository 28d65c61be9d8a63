"""One element's circuit seen from its gaps and its receiver, by nodal analysis.

All arrays may have leading axes: frequencies, draws, elements of equal wiring.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.part_admittance import admittance_siemens, line_admittance_siemens
from loopwright.circuits.parts import CrossedDiodes, Fuse, PinDiode
from loopwright.circuits.wiring import Branch, ElementCircuit, Span, nodes_of
from loopwright.ground.errors import OutsideModelError

__all__ = ["Reduced", "branch_admittances_siemens", "nodal_admittance_siemens", "reduced"]

Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reduced:
    """A circuit of n nodes and g gaps, its receiver in place.

    With gap voltages v and a current i put into the channel, the currents that leave the conductor through the gaps are
    ``gap_siemens v - node_per_gap[channel] i``, and the node voltages ``node_per_gap v + node_per_injection i``.

    Attributes
    ----------
    gap_siemens : ndarray, shape (..., g, g)
        Admittance that the gaps see. [S]
    node_per_gap : ndarray, shape (..., n, g)
        Node voltages per gap voltage; the first g rows are the unit matrix.
    node_per_injection : ndarray, shape (..., n)
        Node voltages per current into the channel, the gaps held at no voltage. [ohm]
    channel : int
        Number of the node at which the receiver stands.
    """

    gap_siemens: Complexes
    node_per_gap: Complexes
    node_per_injection: Complexes
    channel: int

    @property
    def channel_per_gap(self) -> Complexes:
        """Voltage at the receiver per gap voltage, shape (..., g)."""
        return np.asarray(self.node_per_gap[..., self.channel, :])

    @property
    def channel_own_ohm(self) -> Complexes:
        """Voltage at the receiver per current put in there, the gaps held at no voltage, shape (...). [ohm]"""
        return np.asarray(self.node_per_injection[..., self.channel])


def branch_admittances_siemens(circuit: ElementCircuit, frequency_hz: ArrayLike) -> dict[str, Complexes]:
    """Admittance of every part that has two ends.

    Parameters
    ----------
    circuit : ElementCircuit
        Passive parts; diodes and fuses have been resolved by a state.
    frequency_hz : array_like, shape (...)
        [Hz]

    Returns
    -------
    dict of str to ndarray, shape (...)
        [S]
    """
    found = {}
    for branch in circuit.branches:
        if isinstance(branch, Branch):
            if isinstance(branch.part, PinDiode | CrossedDiodes | Fuse):
                raise OutsideModelError(f"{branch.name} is not linear: choose a state for it first")
            found[branch.name] = admittance_siemens(branch.part, frequency_hz)
    return found


def nodal_admittance_siemens(circuit: ElementCircuit, frequency_hz: ArrayLike) -> Complexes:
    """Admittance matrix between the nodes of a circuit, its gaps open and its receiver away.

    Parameters
    ----------
    circuit : ElementCircuit
        Passive parts and lines.
    frequency_hz : array_like, shape (...)
        [Hz]

    Returns
    -------
    ndarray, shape (..., n, n)
        In the order of ``nodes_of``; symmetric. [S]
    """
    number = {node: at for at, node in enumerate(nodes_of(circuit))}
    two_ended = branch_admittances_siemens(circuit, frequency_hz)
    stamps: list[tuple[tuple[int | None, int | None], tuple[int | None, int | None], Complexes]] = []
    for branch in circuit.branches:
        if isinstance(branch, Span):
            near = (number.get(branch.near[0]), number.get(branch.near[1]))
            far = (number.get(branch.far[0]), number.get(branch.far[1]))
            own, mutual = line_admittance_siemens(branch.line, frequency_hz)
            stamps += [(near, near, own), (far, far, own), (near, far, mutual), (far, near, mutual)]
        else:
            ends = (number.get(branch.between[0]), number.get(branch.between[1]))
            stamps.append((ends, ends, two_ended[branch.name]))
    shape = np.broadcast_shapes(np.shape(frequency_hz), *(np.shape(value) for *_, value in stamps))
    matrix = np.zeros((*shape, len(number), len(number)), dtype=np.complex128)
    for rows, columns, value in stamps:
        for sign_row, row in zip((1, -1), rows, strict=True):
            for sign_column, column in zip((1, -1), columns, strict=True):
                if row is not None and column is not None:
                    matrix[..., row, column] += np.asarray(sign_row * sign_column * value, dtype=np.complex128)
    return matrix


def reduced(circuit: ElementCircuit, frequency_hz: ArrayLike, receiver_siemens: ArrayLike) -> Reduced:
    """See a circuit from its gaps and its receiver.

    Parameters
    ----------
    circuit : ElementCircuit
        Passive parts and lines.
    frequency_hz : array_like, shape (...)
        [Hz]
    receiver_siemens : array_like, shape (...)
        Admittance that stands at the channel; zero when it is unplugged. [S]

    Returns
    -------
    Reduced

    Raises
    ------
    numpy.linalg.LinAlgError
        If a node hangs on nothing; ``complaints`` of the circuit says which.
    """
    nodes, gaps = nodes_of(circuit), circuit.gap_count
    channel = nodes.index(circuit.channel[0])
    nodal = nodal_admittance_siemens(circuit, frequency_hz)
    shape = np.broadcast_shapes(nodal.shape[:-2], np.shape(receiver_siemens))
    nodal = np.broadcast_to(nodal, (*shape, *nodal.shape[-2:]))
    loaded = nodal.copy()
    loaded[..., channel, channel] += np.asarray(receiver_siemens, dtype=np.complex128)
    injected = np.zeros((len(nodes), 1))
    injected[channel] = 1
    inner = np.linalg.solve(
        loaded[..., gaps:, gaps:],
        np.concatenate(
            (-loaded[..., gaps:, :gaps], np.broadcast_to(injected[gaps:], (*shape, len(nodes) - gaps, 1))), axis=-1
        ),
    )
    per_gap = np.concatenate((np.broadcast_to(np.eye(gaps), (*shape, gaps, gaps)), inner[..., :-1]), axis=-2)
    per_injection = np.concatenate((np.zeros((*shape, gaps)), inner[..., -1]), axis=-1)
    return Reduced(
        gap_siemens=loaded[..., :gaps, :] @ per_gap,
        node_per_gap=per_gap,
        node_per_injection=per_injection,
        channel=channel,
    )
