"""Where an element of coaxial line is resonant, and how large it must be for that.

The terminal stands across the first cut of the inner conductor. With nothing there the element is resonant where its
impedance is largest, a parallel resonance; a receiver of high impedance leaves the element as it is.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import log, pi

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from loopwright.circuits.array_circuit import ArrayState, array_state
from loopwright.circuits.coaxial.coaxial_element import (
    CoaxialElement,
    circular_coaxial_element,
    coaxial_circuit,
    line_pieces,
)
from loopwright.circuits.coaxial.coaxial_layout import dressed_coaxial
from loopwright.circuits.parts import Preamplifier
from loopwright.circuits.states import UNPLUGGED
from loopwright.circuits.wiring import Branch
from loopwright.conductors.coaxial_line import CoaxialCable, line_constants
from loopwright.fields.wires import PortNetwork, solve_network
from loopwright.ground.constants import MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S
from loopwright.ground.errors import OutsideModelError

__all__ = [
    "NOTHING",
    "SelfResonance",
    "closed_form_diameter_m",
    "closed_form_resonance_hz",
    "diameter_for_frequency_m",
    "open_terminal",
    "self_resonance",
    "terminal_ohm",
]

#: The first search reaches from here to there times the estimate of a uniform current; L grows with the frequency.
SEARCH = (0.55, 1.1)
#: Frequencies at which the conductors are solved for the search, and for the answer within 4 % of it.
SEARCH_SAMPLES, ANSWER_SAMPLES = 9, 3
ANSWER_BAND = 0.04
#: Steps in which a band is searched for the rise of the susceptance.
LADDER = 41
#: Nothing stands at an open terminal; the receiver must still be written down.
NOTHING = Preamplifier(input_ohm=50.0 + 0.0j)


@dataclass(frozen=True, slots=True, kw_only=True)
class SelfResonance:
    """The resonance of one element, nothing at its terminal.

    Attributes
    ----------
    frequency_hz : float
        Where the susceptance of the terminal rises through zero. [Hz]
    terminal_ohm : float
        Impedance there, real. [ohm]
    quality_factor : float
        f dB/df / (2 G) at the terminal, radiation included.
    network : PortNetwork
        The outside, solved 4 % to either side.
    """

    frequency_hz: float
    terminal_ohm: float
    quality_factor: float
    network: PortNetwork


def closed_form_resonance_hz(cable: CoaxialCable, diameter_m: float, *, pairs: int = 1) -> float:
    r"""Resonance of a circle of one turn from its static inductance, gaps and cuts alternately and evenly spaced.

    Parameters
    ----------
    cable : CableFromDimensions or CableFromDataSheet
    diameter_m : float
        [m]
    pairs : int
        N, gaps of the shield and cuts of the inner conductor.

    Returns
    -------
    float
        Root of :math:`\omega L = 2 N Z_0 \cot(\omega l / 2 N v)`, L = mu0 R [ln(8R/a) - 2], l the circumference. [Hz]

    Notes
    -----
    L is that of the shield's outside alone. Forms for two equal conductors, or with other counts of gaps in the
    denominator, define L otherwise. 2 to 4 % high for one pair, more for several, because L grows with frequency.

    References
    ----------
    Derived here. Use of such loops: B. Zhang, D. K. Sodickson, M. A. Cloos, High impedance detector arrays for magnetic
    resonance, Nat. Biomed. Eng. 2, 2018 (arXiv:1709.03416, abstract read).
    """
    radius = diameter_m / 2
    inductance = MU_0_H_PER_M * radius * (log(8 * radius / (cable.shield_outer_diameter_m / 2)) - 2)

    def reactance_ohm(frequency_hz: float) -> float:
        constants = line_constants(cable, frequency_hz)
        half = constants.propagation_per_m.imag * pi * diameter_m / (2 * pairs)
        load = 2 * pairs * constants.characteristic_ohm.real / np.tan(half)
        return float(2 * pi * frequency_hz * inductance - load)

    quarter_hz = (
        pairs * float(line_constants(cable, 1e8).velocity_factor) * SPEED_OF_LIGHT_M_PER_S / (2 * pi * diameter_m)
    )
    return float(brentq(reactance_ohm, 0.01 * quarter_hz, 0.999 * quarter_hz, rtol=1e-10))


def closed_form_diameter_m(cable: CoaxialCable, frequency_hz: float, *, pairs: int = 1) -> float:
    """Diameter whose closed-form resonance lies at a frequency.

    Parameters
    ----------
    cable : CableFromDimensions or CableFromDataSheet
    frequency_hz : float
        [Hz]
    pairs : int
        Gaps of the shield and cuts of the inner conductor.

    Returns
    -------
    float
        [m]

    Raises
    ------
    OutsideModelError
        If it lies outside 20 times the cable's diameter to 2 m.
    """

    def over_hz(diameter_m: float) -> float:
        return closed_form_resonance_hz(cable, diameter_m, pairs=pairs) - frequency_hz

    least_m, most_m = 20 * cable.shield_outer_diameter_m, 2.0
    if not over_hz(least_m) > 0 > over_hz(most_m):
        raise OutsideModelError(
            f"no circle from {least_m * 1e3:.0f} mm to {most_m * 1e3:.0f} mm of this cable with {pairs} gaps is "
            f"resonant at {frequency_hz / 1e6:.4g} MHz; take another number of gaps or another cable"
        )
    return float(brentq(over_hz, least_m, most_m, xtol=1e-7))


def open_terminal(
    element: CoaxialElement, port_ohm: NDArray[np.complex128], frequency_hz: float, across: tuple[Branch, ...] = ()
) -> ArrayState:
    """Solve one element, nothing at its terminal.

    Parameters
    ----------
    element : CoaxialElement
    port_ohm : ndarray, shape (gap, gap)
        Impedance between the gaps of its shield, body included where there is one. [ohm]
    frequency_hz : float
        [Hz]
    across : tuple of Branch
        Further parts at gaps or cuts.
    """
    circuit = coaxial_circuit(element, frequency_hz, NOTHING, across=across)
    return array_state(port_ohm, [circuit], [UNPLUGGED], frequency_hz=frequency_hz)


def terminal_ohm(
    element: CoaxialElement, network: PortNetwork, frequency_hz: float, across: tuple[Branch, ...] = ()
) -> complex:
    """Impedance across the first cut of the inner conductor.

    Parameters
    ----------
    element : CoaxialElement
    network : PortNetwork
        Of its outside.
    frequency_hz : float
        In the network's band. [Hz]
    across : tuple of Branch
        Further parts at gaps or cuts.

    Returns
    -------
    complex
        [ohm]
    """
    return complex(open_terminal(element, network.at(frequency_hz), frequency_hz, across).seen_ohm[0])


def self_resonance(element: CoaxialElement, across: tuple[Branch, ...] = ()) -> SelfResonance:
    """Find the first parallel resonance of the terminal, in air.

    Parameters
    ----------
    element : CoaxialElement
    across : tuple of Branch
        Further parts at gaps or cuts.

    Returns
    -------
    SelfResonance

    Raises
    ------
    OutsideModelError
        If none lies between 0.55 and 1.1 times what a uniform current would give.
    """
    dressed = dressed_coaxial([element])
    guess_hz = _uniform_resonance_hz(element, across)
    low, high = SEARCH
    middle_hz = guess_hz * (low + high) / 2
    wide = solve_network(dressed, middle_hz, band_fraction=(high - low) / (high + low), frequency_count=SEARCH_SAMPLES)
    first_hz = _first_resonance_hz(
        lambda f: 1 / terminal_ohm(element, wide, f, across), low * guess_hz, high * guess_hz
    )
    near = solve_network(dressed, first_hz, band_fraction=ANSWER_BAND, frequency_count=ANSWER_SAMPLES)
    seen = _first_resonance_hz(
        lambda f: 1 / terminal_ohm(element, near, f, across),
        first_hz * (1 - ANSWER_BAND),
        first_hz * (1 + ANSWER_BAND),
    )
    at_resonance = terminal_ohm(element, near, seen, across)
    return SelfResonance(
        frequency_hz=seen,
        terminal_ohm=at_resonance.real,
        quality_factor=_quality(lambda f: 1 / terminal_ohm(element, near, f, across), seen),
        network=near,
    )


def _uniform_resonance_hz(element: CoaxialElement, across: tuple[Branch, ...]) -> float:
    """Resonance of the static inductance with what stands in the gaps."""
    static = solve_network(dressed_coaxial([element]), 1e6, band_fraction=0.5, frequency_count=1)
    inductance_h = float(static.loop_inductance_h[0, 0])

    def reactance_ohm(frequency_hz: float) -> float:
        state = open_terminal(element, static.impedance_ohm[0], frequency_hz, across)
        loads = np.linalg.inv(state.groups[0].reduced.gap_siemens[0])
        return float(2 * pi * frequency_hz * inductance_h + loads.sum().imag)

    longest_m = max(there - here for _, here, there in line_pieces(element)) * element.length_m
    speed = float(line_constants(element.cable, 1e8).velocity_factor) * SPEED_OF_LIGHT_M_PER_S
    ladder = speed / (4 * longest_m) * np.geomspace(0.01, 0.999, 40)
    found = np.array([reactance_ohm(f) for f in ladder])
    rises = np.flatnonzero((found[:-1] < 0) & (found[1:] >= 0))
    if not rises.size:
        raise OutsideModelError(
            "no resonance below the quarter wave of the longest piece of line; add gaps, cuts or capacitors"
        )
    return float(brentq(reactance_ohm, ladder[rises[0]], ladder[rises[0] + 1], rtol=1e-8))


def _first_resonance_hz(siemens: Callable[[float], complex], low_hz: float, high_hz: float) -> float:
    """Where the susceptance first rises through zero; at its poles it falls."""
    ladder = np.linspace(low_hz, high_hz, LADDER)
    found = np.array([siemens(f).imag for f in ladder])
    rises = np.flatnonzero((found[:-1] < 0) & (found[1:] >= 0))
    if not rises.size:
        raise OutsideModelError(
            f"the terminal has no parallel resonance from {low_hz / 1e6:.4g} to {high_hz / 1e6:.4g} MHz"
        )
    return float(brentq(lambda f: siemens(f).imag, ladder[rises[0]], ladder[rises[0] + 1], rtol=1e-10))


def _quality(siemens: Callable[[float], complex], resonance_hz: float) -> float:
    step = 1e-4 * resonance_hz
    slope = (siemens(resonance_hz + step).imag - siemens(resonance_hz - step).imag) / (2 * step)
    return float(resonance_hz * slope / (2 * siemens(resonance_hz).real))


def diameter_for_frequency_m(cable: CoaxialCable, frequency_hz: float, *, pairs: int = 1, segments: int = 48) -> float:
    """Diameter of the circle of one turn that is resonant at a frequency, in air.

    Parameters
    ----------
    cable : CableFromDimensions or CableFromDataSheet
    frequency_hz : float
        [Hz]
    pairs : int
        Gaps of the shield and cuts of the inner conductor.
    segments : int
        Of the polygon outside.

    Returns
    -------
    float
        From the conductors' network; the closed form is where the search starts. [m]
    """
    diameter_m = closed_form_diameter_m(cable, frequency_hz, pairs=pairs)
    for _ in range(12):
        # The whole element scales nearly as 1/D^1.1, so a secant in logarithms settles in a few steps.
        element = circular_coaxial_element(cable, diameter_m, pairs=pairs, segments=segments)
        ratio = self_resonance(element).frequency_hz / frequency_hz
        diameter_m *= ratio**0.9
        if abs(ratio - 1) < 1e-5:
            return diameter_m
    raise OutsideModelError(f"no diameter was found for {frequency_hz / 1e6:.4g} MHz with {pairs} gaps")
