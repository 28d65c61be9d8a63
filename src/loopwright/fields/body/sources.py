"""What drives the body: sources that carry current, and how much of each a current in every port brings.

The body is solved once for every source. Any state of the circuit - whatever closes the gaps - is then a recombination
of these solutions by the currents in its ports.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Body
from loopwright.brief.records.computation import AskedExcitation
from loopwright.conductors import DressedLayout
from loopwright.fields.body.excitation import (
    impressed_field_of_loops_v_per_m,
    impressed_field_of_wires_v_per_m,
    magnetic_field_of_wires_t,
)
from loopwright.fields.body.faces import CurrentFaces
from loopwright.fields.body.loop_mode import loop_mode_holds
from loopwright.fields.wires.bundling import mesh_wires
from loopwright.fields.wires.filament_fields import magnetic_field_t_per_a
from loopwright.fields.wires.pieces import StraightWires
from loopwright.fields.wires.port_network import PortNetwork
from loopwright.ground.constants import SPEED_OF_LIGHT_M_PER_S


class Excitation(Enum):
    """Which current of the array meets the body."""

    LOOP_MODE = "loop mode"
    FULL_CURRENT = "full current"


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopSources:
    """Uniform currents on closed polygons, without charges.

    ``loops_m`` holds (vertices, 3) for each source [m]; ``source_per_port_current`` is (source, port) [A/A].
    """

    loops_m: tuple[NDArray[np.float64], ...]
    source_per_port_current: NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class WireSources:
    """Currents and charges on all wires, one column of node currents for each source.

    ``node_current`` is (node, source) [A per unit source]; ``source_per_port_current`` is (source, port) [1/A].
    """

    mesh: StraightWires
    node_current: NDArray[np.complex128]
    source_per_port_current: NDArray[np.complex128]


BodySources = LoopSources | WireSources


def excitation_of(sources: BodySources) -> Excitation:
    """Which current these sources carry."""
    return Excitation.LOOP_MODE if isinstance(sources, LoopSources) else Excitation.FULL_CURRENT


def chosen_excitation(asked: AskedExcitation, dressed: DressedLayout, body: Body) -> Excitation:
    """Take the excitation that was asked for; automatic takes the loop mode where :func:`loop_mode_holds`."""
    if asked == "automatic":
        return Excitation.LOOP_MODE if loop_mode_holds(dressed, body) else Excitation.FULL_CURRENT
    return Excitation(asked)


def closed_loops(loops_m: Sequence[NDArray[np.float64]]) -> LoopSources:
    """Loops that are each their own port, closed polygons (vertices, 3) of uniform current. [m]"""
    return LoopSources(loops_m=tuple(loops_m), source_per_port_current=np.eye(len(loops_m), dtype=np.complex128))


def array_sources(excitation: Excitation, dressed: DressedLayout, network: PortNetwork) -> BodySources:
    """Sources that serve every state of an array's gaps.

    Parameters
    ----------
    excitation : Excitation
        Loop mode: one source for each element, its uniform current. Full current: as many sources as there are gaps.
    dressed : DressedLayout
        The elements.
    network : PortNetwork
        Their wires, solved in free space.

    Notes
    -----
    With full current the sources of an element are patterns of its gap currents, all other gaps open: first all gaps
    alike, nearly the tuned current, then orthogonal patterns that add to zero. The currents that they induce on every
    other wire belong to them. The body's own action on how currents spread between open gaps is left out.
    """
    if excitation is Excitation.LOOP_MODE:
        loops = tuple(element.vertices_m for element in dressed.layout.elements)
        return LoopSources(loops_m=loops, source_per_port_current=network.mean_loop_current)
    patterns = _gap_patterns(network.port_element)
    return WireSources(
        mesh=mesh_wires(dressed),
        node_current=network.node_current @ patterns,
        source_per_port_current=np.linalg.inv(patterns).astype(np.complex128),
    )


def _gap_patterns(port_element: NDArray[np.integer]) -> NDArray[np.float64]:
    """Patterns of port currents, shape (port, pattern): by element, all alike and then orthogonal waves of sum zero."""
    patterns = np.zeros((len(port_element),) * 2)
    for element in np.unique(port_element):
        own = np.flatnonzero(port_element == element)
        order = np.arange(len(own))
        patterns[np.ix_(own, own)] = np.cos(np.pi * np.outer(order + 0.5, order) / len(own))
    return patterns


def impressed_rows_v_per_m(faces: CurrentFaces, sources: BodySources) -> NDArray[np.complex64]:
    """Normal component of E_inc on the faces per unit of each source, shape (source, faces). [V/m]"""
    if isinstance(sources, LoopSources):
        return impressed_field_of_loops_v_per_m(faces, sources.loops_m)
    return impressed_field_of_wires_v_per_m(faces, sources.mesh, sources.node_current)


def incident_magnetic_field_t(
    points_m: NDArray[np.float64], sources: BodySources, frequency_hz: float
) -> NDArray[np.complexfloating]:
    """Magnetic field of each source in free space at ``points_m`` (points, 3) [m], shape (source, 3, points). [T]

    ``frequency_hz`` is the frequency of the currents. [Hz]
    """
    if isinstance(sources, LoopSources):
        wavenumber = 2 * np.pi * frequency_hz / SPEED_OF_LIGHT_M_PER_S
        return np.stack([magnetic_field_t_per_a(points_m, vertices, wavenumber).T for vertices in sources.loops_m])
    return magnetic_field_of_wires_t(points_m, sources.mesh, sources.node_current, frequency_hz)
