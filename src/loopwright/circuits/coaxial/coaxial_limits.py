"""What the model of a coaxial element leaves out, and where it stops."""

import numpy as np

from loopwright.circuits.coaxial.coaxial_element import CoaxialElement
from loopwright.conductors.coaxial_line import cable_limits
from loopwright.ground.constants import SPEED_OF_LIGHT_M_PER_S
from loopwright.layouts.windings import places_along

__all__ = ["coaxial_limits", "least_turn_distance_m"]

#: Turns closer than this many shield diameters share their current unevenly: 1.6 % of inductance at three.
LEAST_PITCH_IN_DIAMETERS = 3.0
#: Bends sharper than this many shield diameters press the line out of round (common practice, static bending radius).
LEAST_BEND_IN_DIAMETERS = 5.0
#: Nodes farther apart along the wire than this many shield diameters count as those of another turn.
_APART = 12.0


def least_turn_distance_m(element: CoaxialElement) -> float:
    """Least distance between nodes of different turns; infinite for a single open loop.

    Parameters
    ----------
    element : CoaxialElement

    Returns
    -------
    float
        [m]
    """
    place = places_along(element.vertices_m) * element.length_m
    along = np.abs(place[:, None] - place)
    along = np.minimum(along, element.length_m - along)
    apart = np.linalg.norm(element.vertices_m[:, None] - element.vertices_m, axis=2)
    return float(apart[along > _APART * element.cable.shield_outer_diameter_m].min(initial=np.inf))


def coaxial_limits(element: CoaxialElement, frequency_hz: float) -> tuple[str, ...]:
    """Say what the answers for an element do not hold, and where it leaves the range of its model.

    Parameters
    ----------
    element : CoaxialElement
    frequency_hz : float
        [Hz]

    Returns
    -------
    tuple of str
        One sentence each; the first ones hold for every coaxial element.
    """
    across_m = element.cable.shield_outer_diameter_m
    found = [
        *cable_limits(element.cable, frequency_hz),
        "The wave inside and the current outside meet at gaps only.",
        "Stray capacitance of the open ends at gaps and cuts, some tenths of a picofarad, is left out; it lowers f0.",
        "What stands at the terminal is balanced: a cable that leaves there carries no current on its outside.",
    ]
    turns_m = least_turn_distance_m(element)
    if turns_m < LEAST_PITCH_IN_DIAMETERS * across_m:
        found.append(
            f"Turns come within {turns_m / across_m:.1f} shield diameters of one another; closer than "
            f"{LEAST_PITCH_IN_DIAMETERS:g} their currents crowd, which thin wires do not show: inductance is a few "
            "per cent high and loss low."
        )
    step = np.roll(element.vertices_m, -1, axis=0) - element.vertices_m
    lengths = np.linalg.norm(step, axis=1)
    turn = np.einsum("ij,ij->i", step, np.roll(step, -1, axis=0)) / (lengths * np.roll(lengths, -1))
    bend_m = float((lengths / np.maximum(np.arccos(np.clip(turn, -1, 1)), 1e-9)).min())
    if bend_m < LEAST_BEND_IN_DIAMETERS * across_m:
        found.append(
            f"The sharpest bend has a radius of {bend_m * 1e3:.1f} mm, {bend_m / across_m:.1f} shield diameters; "
            f"below {LEAST_BEND_IN_DIAMETERS:g} the line inside is no longer what its data say."
        )
    if lengths.max() * frequency_hz > SPEED_OF_LIGHT_M_PER_S / 20:
        found.append("The longest segment exceeds a twentieth of the wavelength; take more segments.")
    if lengths.min() < 2 * across_m:
        found.append("Segments are shorter than two shield diameters; take fewer, or inductance comes out high.")
    return tuple(found)
