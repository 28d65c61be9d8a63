r"""How strongly resonant elements couple, whatever makes them resonant.

Each element is seen in its first gap, all that stands in its gaps in place and nothing at its terminal:

.. math:: k = \frac{X_{12}}{\sqrt{x_1 x_2}},\qquad x = \frac{f}{2}\frac{\mathrm{d}X}{\mathrm{d}f}

x is omega L for a loop with capacitors. A line stores energy of its own, its x is larger, and so the same mutual
reactance splits two coaxial elements less than two lumped loops.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.coaxial.coaxial_element import (
    CoaxialElement,
    circular_coaxial_element,
    coaxial_circuit,
    cut_ends,
    terminal_tuning,
)
from loopwright.circuits.coaxial.coaxial_layout import dressed_coaxial
from loopwright.circuits.coaxial.coaxial_resonance import NOTHING, self_resonance, terminal_ohm
from loopwright.circuits.parts import Capacitor
from loopwright.circuits.states import UNPLUGGED
from loopwright.circuits.tuned.element_ports import first_ports
from loopwright.circuits.tuned.tuning import tuned_capacitance_f
from loopwright.circuits.wiring import Branch, ElementCircuit, gap_node, return_node
from loopwright.conductors.coaxial_line import CoaxialCable
from loopwright.fields.wires import PortNetwork, solve_network

__all__ = [
    "CouplingRow",
    "PairCoupling",
    "ResonatorCoupling",
    "coupling_against_lumped",
    "moved",
    "pair_coupling",
    "resonator_coupling",
]

#: Half of the step over which the slope of a reactance is taken, as a fraction of the frequency.
_STEP = 1e-3
#: Gaps of the loop that a coaxial element is compared with, so many that its current is even.
LUMPED_GAPS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class ResonatorCoupling:
    """Coupling of two elements at their resonance.

    Attributes
    ----------
    coefficient : float
        k, positive where the loops' flux adds.
    mutual_ohm : complex
        Between their first gaps, both closed but for the place where it is measured. [ohm]
    resistive : float
        Re Z12 / sqrt(R1 R2): correlation of what they lose.
    slope_ohm : float
        x, mean of the two. [ohm]
    """

    coefficient: float
    mutual_ohm: complex
    resistive: float
    slope_ohm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CouplingRow:
    """Two coaxial elements and two equal loops with capacitors, so far apart.

    Attributes
    ----------
    distance_m : float
        Between their centres. [m]
    coaxial, lumped : ResonatorCoupling
    """

    distance_m: float
    coaxial: ResonatorCoupling
    lumped: ResonatorCoupling


@dataclass(frozen=True, slots=True, kw_only=True)
class PairCoupling:
    """Two elements of an array in air, and loops of the same shield in their places with capacitors in four gaps.

    Attributes
    ----------
    pair : tuple of int
        Their numbers.
    distance_m : float
        Between their centres. [m]
    coaxial, lumped : ResonatorCoupling
    """

    pair: tuple[int, int]
    distance_m: float
    coaxial: ResonatorCoupling
    lumped: ResonatorCoupling


def resonator_coupling(
    network: PortNetwork, circuits: Sequence[ElementCircuit], frequency_hz: float
) -> ResonatorCoupling:
    """Couple the first two elements, all terminals open.

    Parameters
    ----------
    network : PortNetwork
        Of all gaps, solved at more than one frequency.
    circuits : sequence of ElementCircuit
        One for each element.
    frequency_hz : float
        At which both are resonant. [Hz]

    Returns
    -------
    ResonatorCoupling
    """
    low, here, high = (
        _in_first_gaps_ohm(network, circuits, f) for f in frequency_hz * np.array([1 - _STEP, 1, 1 + _STEP])
    )
    slope = np.diagonal(high - low).imag / (4 * _STEP)
    return ResonatorCoupling(
        coefficient=float(here[0, 1].imag / np.sqrt(slope[0] * slope[1])),
        mutual_ohm=complex(here[0, 1]),
        resistive=float(here[0, 1].real / np.sqrt(here[0, 0].real * here[1, 1].real)),
        slope_ohm=float(slope[:2].mean()),
    )


def _in_first_gaps_ohm(
    network: PortNetwork, circuits: Sequence[ElementCircuit], frequency_hz: float
) -> NDArray[np.complex128]:
    """Impedance in a break of each element's first gap, all gaps closed by what stands in them."""
    port_ohm = network.at(frequency_hz)
    state = array_state(port_ohm, circuits, [UNPLUGGED] * len(circuits), frequency_hz=frequency_hz)
    loop = port_ohm.copy()
    for group in state.groups:
        for ports, gaps in zip(group.ports, group.reduced.gap_siemens, strict=True):
            loop[np.ix_(ports, ports)] += np.linalg.inv(gaps)
    first = first_ports(network.port_element)
    return np.asarray(np.linalg.inv(np.linalg.inv(loop)[np.ix_(first, first)]))


def moved(element: CoaxialElement, by_m: tuple[float, float, float]) -> CoaxialElement:
    """Return the element somewhere else.

    Parameters
    ----------
    element : CoaxialElement
    by_m : tuple of float
        How far. [m]
    """
    return replace(element, vertices_m=element.vertices_m + np.asarray(by_m))


def coupling_against_lumped(
    cable: CoaxialCable,
    diameter_m: float,
    distances_m: Sequence[float],
    *,
    pairs: int = 1,
    height_m: float = 0.0,
    segments: int = 48,
) -> tuple[CouplingRow, ...]:
    """Couple two coaxial circles, and two loops of the same shield with equal capacitors at the same frequency.

    Parameters
    ----------
    cable : CableFromDimensions or CableFromDataSheet
    diameter_m : float
        [m]
    distances_m : sequence of float
        Between the centres. [m]
    pairs : int
        Gaps of the shield and cuts of the inner conductor of the coaxial elements; the loops have four gaps.
    height_m : float
        By how much the second one lies above the first. [m]
    segments : int
        Of each circle.

    Returns
    -------
    tuple of CouplingRow
        At the coaxial element's own resonance in air.
    """
    element = circular_coaxial_element(cable, diameter_m, pairs=pairs, segments=segments)
    frequency_hz = self_resonance(element).frequency_hz
    coaxial = coaxial_circuit(element, frequency_hz, NOTHING)
    loop = _with_lumped_gaps(element)
    lumped = _capacitors_in_gaps(loop, frequency_hz)
    rows = []
    for distance_m in distances_m:
        by_m = (distance_m, 0.0, height_m)
        # The slope needs the line's constants over the band, but they barely move within a thousandth.
        rows.append(
            CouplingRow(
                distance_m=distance_m,
                coaxial=resonator_coupling(_pair(element, by_m, frequency_hz), [coaxial, coaxial], frequency_hz),
                lumped=resonator_coupling(_pair(loop, by_m, frequency_hz), [lumped, lumped], frequency_hz),
            )
        )
    return tuple(rows)


def pair_coupling(elements: Sequence[CoaxialElement], pair: tuple[int, int], frequency_hz: float) -> PairCoupling:
    """Couple two elements that a part across each terminal makes resonant, and two loops with capacitors.

    Parameters
    ----------
    elements : sequence of CoaxialElement
    pair : tuple of int
        Which two.
    frequency_hz : float
        At which all are made resonant, each alone and in air. [Hz]
    """
    both = [elements[number] for number in pair]
    loops = [_with_lumped_gaps(element) for element in both]
    first, second = (element.vertices_m.mean(axis=0) for element in both)
    return PairCoupling(
        pair=pair,
        distance_m=float(np.linalg.norm(second - first)),
        coaxial=resonator_coupling(
            _together(both, frequency_hz), [_tuned_at_terminal(one, frequency_hz) for one in both], frequency_hz
        ),
        lumped=resonator_coupling(
            _together(loops, frequency_hz), [_capacitors_in_gaps(one, frequency_hz) for one in loops], frequency_hz
        ),
    )


def _with_lumped_gaps(element: CoaxialElement) -> CoaxialElement:
    nodes = len(element.vertices_m)
    return replace(element, gap_nodes=tuple(k * nodes // LUMPED_GAPS for k in range(LUMPED_GAPS)))


def _tuned_at_terminal(element: CoaxialElement, frequency_hz: float) -> ElementCircuit:
    """Circuit of an element with a part without loss across its terminal that makes it resonant in air."""
    air = solve_network(dressed_coaxial([element]), frequency_hz, band_fraction=0.01, frequency_count=1)
    part = terminal_tuning(
        1 / terminal_ohm(element, air, frequency_hz), frequency_hz=frequency_hz, quality_factor=np.inf
    )
    tuning = Branch(name="tuning", part=part, between=cut_ends(1))
    return coaxial_circuit(element, frequency_hz, NOTHING, across=(tuning,))


def _together(elements: Sequence[CoaxialElement], frequency_hz: float) -> PortNetwork:
    return solve_network(dressed_coaxial(elements), frequency_hz, band_fraction=2 * _STEP, frequency_count=3)


def _pair(element: CoaxialElement, by_m: tuple[float, float, float], frequency_hz: float) -> PortNetwork:
    return _together([element, moved(element, by_m)], frequency_hz)


def _capacitors_in_gaps(loop: CoaxialElement, frequency_hz: float) -> ElementCircuit:
    """Equal capacitors without loss in all gaps; a terminal that takes nothing at the first."""
    alone = solve_network(dressed_coaxial([loop]), frequency_hz, band_fraction=0.01, frequency_count=1)
    capacitance_f = tuned_capacitance_f(alone.impedance_ohm[0], frequency_hz=frequency_hz, capacitor_q=np.inf)
    return ElementCircuit(
        gap_count=len(loop.gap_nodes),
        branches=tuple(
            Branch(
                name=f"C {gap}",
                part=Capacitor(capacitance_f=capacitance_f),
                between=(gap_node(gap), return_node(gap)),
            )
            for gap in range(1, len(loop.gap_nodes) + 1)
        ),
        channel=(gap_node(1), return_node(1)),
        receiver=NOTHING,
    )
