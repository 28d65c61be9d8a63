"""The array of wires as a network of its gaps: the record, and its solution from a dressed layout."""

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.conductors import DressedLayout
from loopwright.fields.wires.bundling import ArrayWires, array_wires, bundled_elements, wire_resistances_ohm_per_m
from loopwright.fields.wires.impedance import (
    GapPorts,
    gap_ports,
    lossless_impedance_ohm,
    mass_matrix_m,
    mean_loop_currents,
)
from loopwright.fields.wires.polynomial import interpolate, sample_frequencies_hz
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
    #: (P,) element of each port, and node at which its gap sits; of a bundle, the node on its first filament.
    port_element: Integers
    port_node: Integers
    #: (N, P) current at every node per unit port current, and (N,) the element of every node.  In an element that is
    #: a bundle of filaments each node carries its filament's current, and at a gap they add up to the port's.
    node_current: Complexes
    node_element: Integers
    #: (N, N): I^H loss_matrix_ohm I is the power lost in the conductor, per peak current squared. [ohm]
    loss_matrix_ohm: Floats
    #: (N, N) likewise for radiation into free space. [ohm]
    radiation_matrix_ohm: Floats
    #: (E, P) mean current of each element per unit port current, over all its filaments.
    mean_loop_current: Complexes
    #: (E, E) impedance of uniform currents, one per element ("loop mode"), conductor loss and radiation included; in a
    #: bundle, uniform along each filament and shared among them as one voltage round all would have it. [ohm]
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
        If an element has no gap or fewer than three corners, or the number of frequencies is even.

    Notes
    -----
    Capacitors, joints and the body are NOT in it: gaps are open ports.  The inner reactance of the conductor, about as
    large as its resistance, is left out: one part in Q of the inductance.  Crossing capacitance is not modelled.
    Strips that run beside or over one another within a width are bundles of filaments (:func:`bundled_elements`); a gap
    cuts all filaments of its strip, which share its voltage and whose currents add up to the port's.
    """
    _refuse_elements_without_gaps(dressed)
    wires = array_wires(dressed, bundled=bundled_elements(dressed))
    return solve_wires(dressed, wires, frequency_hz, band_fraction=band_fraction, frequency_count=frequency_count)


def solve_wires(
    dressed: DressedLayout, wires: ArrayWires, frequency_hz: float, *, band_fraction: float, frequency_count: int
) -> PortNetwork:
    """Solve given wires that stand for an array, as :func:`solve_network` does with those that it chooses itself.

    ``frequency_hz`` is the middle of the band. [Hz]
    """
    port_element, port_nodes = _place_ports(dressed, wires)
    frequencies = sample_frequencies_hz(frequency_hz, band_fraction=band_fraction, frequency_count=frequency_count)
    sweep = [_solve_once(dressed, wires, port_nodes, f) for f in frequencies]
    ports, lossless, magnetic, loss = sweep[frequency_count // 2]
    first = wires.first_conductor
    return PortNetwork(
        frequency_hz=frequency_hz,
        frequencies_hz=frequencies,
        impedance_ohm=np.stack([solved[0].impedance_ohm for solved in sweep]),
        port_names=_port_names(dressed),
        port_element=port_element,
        port_node=np.array([nodes[0] for nodes in port_nodes], dtype=np.int64),
        node_current=ports.node_current,
        node_element=wires.node_element,
        loss_matrix_ohm=loss,
        radiation_matrix_ohm=lossless.real,
        mean_loop_current=np.add.reduceat(mean_loop_currents(wires.mesh, ports.node_current), first, axis=0),
        # A uniform current leaves no charge, so the electric part drops out exactly and is better not added.
        loop_impedance_ohm=_in_parallel(_summed(magnetic + loss, wires.mesh.first_node[:-1]), first),
    )


def _solve_once(
    dressed: DressedLayout, wires: ArrayWires, port_nodes: list[Integers], frequency_hz: float
) -> tuple[GapPorts, Complexes, Complexes, Floats]:
    """Ports at one frequency, with the lossless, magnetic and loss matrices they came from."""
    lossless, magnetic = lossless_impedance_ohm(wires.mesh, frequency_hz)
    resistance = wire_resistances_ohm_per_m(dressed, wires, frequency_hz)[wires.mesh.node_conductor]
    loss = resistance[:, None] * mass_matrix_m(wires.mesh)  # which joins no two wires
    return gap_ports(lossless + loss, port_nodes), lossless, magnetic, loss


def _summed(matrix: Complexes, starts: Integers) -> Complexes:
    """Sum over blocks of rows and columns: the quadratic form of currents that are uniform in each block."""
    return np.asarray(np.add.reduceat(np.add.reduceat(matrix, starts, axis=0), starts, axis=1))


def _in_parallel(impedance_ohm: Complexes, first: Integers) -> Complexes:
    """Impedance between elements whose wires, from the first of each on, share one voltage."""
    if len(first) == len(impedance_ohm):
        return impedance_ohm
    admittance_s: Complexes = np.linalg.inv(impedance_ohm).astype(np.complex128)
    return np.linalg.inv(_summed(admittance_s, first)).astype(np.complex128)


def _place_ports(dressed: DressedLayout, wires: ArrayWires) -> tuple[Integers, list[Integers]]:
    """Element of every gap, and its nodes on the wires of that element."""
    gaps = [(number, node) for number, element in enumerate(dressed.layout.elements) for node in element.gap_nodes]
    port_element = np.array([number for number, _ in gaps], dtype=np.int64)
    return port_element, [wires.gap_nodes(number, node) for number, node in gaps]


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
