"""The array of wires as a network of its gaps: the record, and its solution from a dressed layout."""

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.conductors import (
    DressedLayout,
    equivalent_radius_m,
    inner_reactance_ohm_per_m,
    resistance_ohm_per_m,
)
from loopwright.fields.wires.closeness import conductor_distances_m, kernel_radii_m
from loopwright.fields.wires.impedance import (
    GapPorts,
    WireMesh,
    gap_ports,
    lossless_impedance_ohm,
    mass_matrix_m,
    mean_loop_currents,
)
from loopwright.fields.wires.kernel_numba import following_vertices
from loopwright.fields.wires.polynomial import interpolate, sample_frequencies_hz
from loopwright.ground.errors import OutsideModelError

__all__ = ["PortNetwork", "mesh_wires", "solve_network"]

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
    #: (N, P) current at every node per unit port current, and (N,) the element of every node.
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


def mesh_wires(dressed: DressedLayout) -> WireMesh:
    """String the elements' centre-lines together as one list of nodes, with the kernel radius of each pair.

    Parameters
    ----------
    dressed : DressedLayout
        Elements and their conductor.

    Returns
    -------
    WireMesh
        The wires as the method of moments sees them.
    """
    elements = dressed.layout.elements
    vertices = np.concatenate([np.asarray(element.vertices_m, dtype=np.float64) for element in elements])
    first = np.cumsum([0, *(len(element.vertices_m) for element in elements)], dtype=np.int64)
    radius = np.full(len(elements), equivalent_radius_m(dressed.cross_section))
    steps = following_vertices(vertices, first) - vertices
    magnetic, electric = kernel_radii_m(radius, conductor_distances_m(vertices, steps, first))
    return WireMesh(vertices_m=vertices, first_node=first, magnetic_radius_m=magnetic, electric_radius_m=electric)


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
    Capacitors, joints and the body are NOT in it: gaps are open ports.  The inner reactance of a solid conductor, about
    as large as its resistance, is left out: one part in Q of the inductance; that of a sprung thread's turns is in.
    Crossing capacitance is not modelled.
    """
    _refuse_elements_without_gaps(dressed)
    mesh = mesh_wires(dressed)
    port_element, port_node = _place_ports(dressed, mesh)
    frequencies = sample_frequencies_hz(frequency_hz, band_fraction=band_fraction, frequency_count=frequency_count)
    sweep = [_solve_once(dressed, mesh, port_node, f) for f in frequencies]
    ports, lossless, magnetic, loss = sweep[frequency_count // 2]
    return PortNetwork(
        frequency_hz=frequency_hz,
        frequencies_hz=frequencies,
        impedance_ohm=np.stack([solved[0].impedance_ohm for solved in sweep]),
        port_names=_port_names(dressed),
        port_element=port_element,
        port_node=port_node,
        node_current=ports.node_current,
        node_element=mesh.node_conductor,
        loss_matrix_ohm=loss,
        radiation_matrix_ohm=lossless.real,
        mean_loop_current=mean_loop_currents(mesh, ports.node_current),
        # A uniform current leaves no charge, so the electric part drops out exactly and is better not added.
        loop_impedance_ohm=_summed_by_loop(magnetic + loss, mesh.first_node[:-1]),
    )


def _solve_once(
    dressed: DressedLayout, mesh: WireMesh, port_node: Integers, frequency_hz: float
) -> tuple[GapPorts, Complexes, Complexes, Floats]:
    """Ports at one frequency, with the lossless, magnetic and loss matrices they came from."""
    lossless, magnetic = lossless_impedance_ohm(mesh, frequency_hz)
    mass_m = mass_matrix_m(mesh)
    loss = resistance_ohm_per_m(dressed.cross_section, frequency_hz) * mass_m
    inner = 1j * inner_reactance_ohm_per_m(dressed.cross_section, frequency_hz) * mass_m
    lossless, magnetic = lossless + inner, magnetic + inner
    return gap_ports(lossless + loss, port_node), lossless, magnetic, loss


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
