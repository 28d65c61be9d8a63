"""The array of wires as a network of its gaps: the record, and its solution from a dressed layout."""

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.conductors import DressedLayout
from loopwright.fields.wires.bundling import ArrayWires, array_wires, split_segments
from loopwright.fields.wires.impedance import GapPorts, WireMesh, gap_ports, mean_loop_currents
from loopwright.fields.wires.polynomial import interpolate, refuse_resonance_in_band, sample_frequencies_hz
from loopwright.fields.wires.spare_currents import Settled, settled
from loopwright.ground.errors import OutsideModelError

__all__ = ["PortNetwork", "solve_network", "solve_wires"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Integers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class PortNetwork:
    """Impedance between all gaps of an array in free space, and what the currents do while they meet it.

    Axes: F sampled frequencies, P ports, E elements, N nodes.  Currents per unit port current are for one port driven
    and all others open, at ``frequency_hz``; so are the loss, radiation and loop-mode matrices.
    """

    frequency_hz: float
    frequencies_hz: Floats
    #: (F, P, P), symmetric. [ohm]
    impedance_ohm: Complexes
    port_names: tuple[str, ...]
    #: (P,) element of each port, and node at which its gap sits.
    port_element: Integers
    port_node: Integers
    #: (N, P) current at every node per unit port current, that of the whole conductor, and (N,) the element of every
    #: node.
    node_current: Complexes
    node_element: Integers
    #: (N, N): I^H loss_matrix_ohm I is the power lost in the conductor, per peak current squared. [ohm]
    loss_matrix_ohm: Floats
    #: (N, N) likewise for radiation into free space. [ohm]
    radiation_matrix_ohm: Floats
    #: (E, P) mean current of each element per unit port current.
    mean_loop_current: Complexes
    #: (E, E) impedance of uniform currents, one per element ("loop mode"), conductor loss and radiation included. [ohm]
    loop_impedance_ohm: Complexes

    @property
    def loop_inductance_h(self) -> Floats:
        """Loop-mode inductance of every element and between elements, shape (E, E). [H]"""
        return self.loop_impedance_ohm.imag / (2 * pi * self.frequency_hz)

    def at(self, frequency_hz: ArrayLike) -> Complexes:
        """Port impedance at other frequencies of the band, by the polynomial through the samples.

        Parameters
        ----------
        frequency_hz : array_like, shape (...)
            Frequencies within the sampled band. [Hz]

        Returns
        -------
        ndarray, shape (..., P, P)
            Impedance. [ohm]

        Raises
        ------
        OutsideModelError
            Outside the sampled band, where the polynomial would extrapolate.
        """
        return interpolate(self.frequencies_hz, self.impedance_ohm, frequency_hz)


def solve_network(
    dressed: DressedLayout, frequency_hz: float, *, band_fraction: float, frequency_count: int
) -> PortNetwork:
    """Solve the wires of an array as an N-port over a band, in free space.

    Parameters
    ----------
    dressed : DressedLayout
        Elements, each a closed polygon with at least one gap, and their conductor.
    frequency_hz : float
        Frequency at the middle of the band. [Hz]
    band_fraction : float
        The band reaches this fraction of the frequency to either side.
    frequency_count : int
        Number of sampled frequencies, odd so that the middle is one of them; five are ample for 10 %.

    Returns
    -------
    PortNetwork
        The network.

    Raises
    ------
    OutsideModelError
        If an element has no gap or fewer than three corners, the number of frequencies is even, or the open conductors
        have a resonance of their own in the band, which the polynomial between the samples would not follow.

    Notes
    -----
    Capacitors, joints and the body are NOT in it: gaps are open ports.  The inner reactance of a solid conductor, about
    as large as its resistance, is left out: one part in Q of the inductance; that of a sprung thread's turns is in.
    Crossing capacitance is not modelled.
    Where strips run beside or over one another within a width their segments are bundles of filaments
    (:func:`split_segments`), whose currents settle under the nodes' own: the network is that of the nodes all the same.
    """
    _refuse_elements_without_gaps(dressed)
    wires = array_wires(dressed, split=split_segments(dressed))
    return solve_wires(dressed, wires, frequency_hz, band_fraction=band_fraction, frequency_count=frequency_count)


def solve_wires(
    dressed: DressedLayout, wires: ArrayWires, frequency_hz: float, *, band_fraction: float, frequency_count: int
) -> PortNetwork:
    """Solve given wires that stand for an array, as :func:`solve_network` does with those that it chooses itself.

    ``frequency_hz`` is the middle of the band. [Hz]
    """
    mesh = wires.mesh
    port_element, port_node = _place_ports(dressed, mesh)
    frequencies = sample_frequencies_hz(frequency_hz, band_fraction=band_fraction, frequency_count=frequency_count)
    sweep = [_solve_once(dressed, wires, port_node, f) for f in frequencies]
    ports, middle = sweep[frequency_count // 2]
    impedance_ohm = np.stack([solved[0].impedance_ohm for solved in sweep])
    refuse_resonance_in_band(frequencies, impedance_ohm)
    return PortNetwork(
        frequency_hz=frequency_hz,
        frequencies_hz=frequencies,
        impedance_ohm=impedance_ohm,
        port_names=_port_names(dressed),
        port_element=port_element,
        port_node=port_node,
        node_current=ports.node_current,
        node_element=mesh.node_conductor,
        loss_matrix_ohm=middle.loss_ohm,
        radiation_matrix_ohm=middle.radiation_ohm,
        mean_loop_current=mean_loop_currents(mesh, ports.node_current),
        # A uniform current leaves no charge, so the electric part drops out exactly and is better not added.
        loop_impedance_ohm=_summed_by_loop(middle.uniform_ohm, mesh.first_node[:-1]),
    )


def _solve_once(
    dressed: DressedLayout, wires: ArrayWires, port_node: Integers, frequency_hz: float
) -> tuple[GapPorts, Settled]:
    """Ports at one frequency, with the matrices they came from."""
    found = settled(dressed, wires, frequency_hz)
    return gap_ports(found.impedance_ohm, port_node), found


def _summed_by_loop(matrix: Complexes, starts: Integers) -> Complexes:
    """Quadratic form of uniform loop currents."""
    return np.asarray(np.add.reduceat(np.add.reduceat(matrix, starts, axis=0), starts, axis=1))


def _place_ports(dressed: DressedLayout, mesh: WireMesh) -> tuple[Integers, Integers]:
    """Element and node of every gap, element by element."""
    elements = dressed.layout.elements
    owner = [number for number, element in enumerate(elements) for _ in element.gap_nodes]
    inside = [node for element in elements for node in element.gap_nodes]
    port_element = np.array(owner, dtype=np.int64)
    return port_element, mesh.first_node[port_element] + np.array(inside, dtype=np.int64)


def _port_names(dressed: DressedLayout) -> tuple[str, ...]:
    """Name each port by its element and its gap, counted from one."""
    return tuple(
        f"{element.name}.gap{number}"
        for element in dressed.layout.elements
        for number in range(1, len(element.gap_nodes) + 1)
    )


def _refuse_elements_without_gaps(dressed: DressedLayout) -> None:
    for element in dressed.layout.elements:
        corners, gaps = len(element.vertices_m), element.gap_nodes
        if corners < 3:
            raise OutsideModelError(f"element {element.name}: a closed conductor needs 3 corners, found {corners}")
        if not gaps or len(set(gaps)) != len(gaps) or not all(0 <= gap < corners for gap in gaps):
            raise OutsideModelError(
                f"element {element.name}: gap_nodes = {gaps} must name at least one of its {corners} corners, each once"
            )
