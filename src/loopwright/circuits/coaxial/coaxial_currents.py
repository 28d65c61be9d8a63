"""How the current of a coaxial element runs outside on its shield and inside on its line."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_circuit import ArrayState
from loopwright.circuits.coaxial.coaxial_element import CoaxialElement, coaxial_circuit, line_pieces
from loopwright.circuits.coaxial.coaxial_resonance import NOTHING, open_terminal
from loopwright.circuits.wiring import Branch, Span, nodes_of
from loopwright.conductors.coaxial_line import line_constants
from loopwright.fields.wires import PortNetwork
from loopwright.layouts.windings import places_along

__all__ = ["CoaxialCurrents", "coaxial_currents"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CoaxialCurrents:
    """Currents and voltages for a current of 1 A put into the terminal.

    Attributes
    ----------
    outside_places : ndarray, shape (nodes,)
        Fractions of the length, from the first node.
    outside_a : ndarray of complex, shape (nodes,)
        Current on the outside of the shield, along the wire. [A]
    inside_places : ndarray, shape (points,)
        Likewise, piece after piece; past 1 where the last piece closes the loop.
    inside_a : ndarray of complex, shape (points,)
        Current of the inner conductor along the wire; the shield's inside carries its opposite. [A]
    inside_v : ndarray of complex, shape (points,)
        Inner conductor against shield. [V]
    """

    outside_places: NDArray[np.float64]
    outside_a: NDArray[np.complex128]
    inside_places: NDArray[np.float64]
    inside_a: NDArray[np.complex128]
    inside_v: NDArray[np.complex128]


def coaxial_currents(
    element: CoaxialElement, network: PortNetwork, *, points: int = 33, across: tuple[Branch, ...] = ()
) -> CoaxialCurrents:
    """Tell how the current runs outside and inside, at the network's middle frequency.

    Parameters
    ----------
    element : CoaxialElement
    network : PortNetwork
        Of its outside.
    points : int
        On every piece of line.
    across : tuple of Branch
        Further parts at gaps or cuts.

    Returns
    -------
    CoaxialCurrents
        Inside in closed form between the voltages at the ends of every piece.
    """
    frequency_hz = network.frequency_hz
    state = open_terminal(element, network.at(frequency_hz), frequency_hz, across)
    ends = _line_voltages(element, state, across)
    pieces = [
        _along(element, frequency_hz, (here, there), ends[name], points) for name, here, there in line_pieces(element)
    ]
    places, current, voltage = (np.concatenate(parts) for parts in zip(*pieces, strict=True))
    return CoaxialCurrents(
        outside_places=places_along(element.vertices_m),
        outside_a=network.node_current @ state.port_current[:, 0],
        inside_places=places,
        inside_a=current,
        inside_v=voltage,
    )


def _line_voltages(
    element: CoaxialElement, state: ArrayState, across: tuple[Branch, ...]
) -> dict[str, tuple[complex, complex]]:
    """Inner conductor against shield at both ends of every piece, for 1 A put into the terminal."""
    circuit = coaxial_circuit(element, state.frequency_hz, NOTHING, across=across)
    reduced = state.groups[0].reduced
    nodal = reduced.node_per_gap[0] @ state.gap_voltage_ohm[:, 0] + reduced.node_per_injection[0]
    at = dict.fromkeys(circuit.every_return, 0j) | dict(zip(nodes_of(circuit), nodal.tolist(), strict=True))
    return {
        span.name: (at[span.near[0]] - at[span.near[1]], at[span.far[0]] - at[span.far[1]])
        for span in circuit.branches
        if isinstance(span, Span)
    }


def _along(
    element: CoaxialElement,
    frequency_hz: float,
    between: tuple[float, float],
    voltage_v: tuple[complex, complex],
    points: int,
) -> tuple[NDArray[np.float64], NDArray[np.complex128], NDArray[np.complex128]]:
    """Places, current and voltage along one piece, from the voltages at its ends."""
    constants = line_constants(element.cable, frequency_hz)
    place = np.linspace(*between, points)
    behind = constants.propagation_per_m * (place - place[0]) * element.length_m
    ahead = constants.propagation_per_m * (place[-1] - place) * element.length_m
    near, far = voltage_v
    whole = np.sinh(behind[-1])
    voltage = (near * np.sinh(ahead) + far * np.sinh(behind)) / whole
    current = (near * np.cosh(ahead) - far * np.cosh(behind)) / (whole * constants.characteristic_ohm.real)
    return place, current, voltage
