"""Where one uniform current for each element tells the body's resistance within one per cent of the full current."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Body
from loopwright.conductors import DressedLayout
from loopwright.ground.constants import EPSILON_0_F_PER_M, SPEED_OF_LIGHT_M_PER_S

#: Longest way between gaps, in radians of the wave in air, and nearest wire to the skin, of the measurements behind
#: the bound; beyond them nothing is claimed.
LONGEST_WAY_RAD = 1.0
LEAST_SKIN_DISTANCE_M = 4.9e-3
#: The bound, at 5 mm from the skin; the largest measured value of what it bounds was 185.
SCALE = 200.0
#: How it falls with the distance from the skin, and up to where that was measured.
DISTANCE_POWER, LONGEST_SKIN_DISTANCE_M = 0.8, 10e-3
#: Part of the body resistance that may be missed.
TOLERANCE = 0.01


def loop_mode_holds(dressed: DressedLayout, body: Body) -> bool:
    """Say whether the loop mode is good to 1 % in every element's body resistance.

    Parameters
    ----------
    dressed : DressedLayout
        Elements with their gaps.
    body : Body
        Body with its tissues, at their frequency.

    Returns
    -------
    bool
        False also wherever nothing was measured: wires nearer to the skin than 4.9 mm, more than one radian of the
        wave between gaps, or a body without loss.
    """
    return missed_at_most(dressed, body) <= TOLERANCE


def missed_at_most(dressed: DressedLayout, body: Body) -> float:
    """Bound of :func:`missed_resistance` for the fewest gaps and the nearest wire; infinite where none was measured."""
    wave_rad_per_m = 2 * np.pi * body.frequency_hz / SPEED_OF_LIGHT_M_PER_S
    elements = dressed.layout.elements
    way_m = max(longest_way_m(np.asarray(element.vertices_m), element.gap_nodes) for element in elements)
    skin_m = dressed.layout.least_skin_distance_m
    measured = wave_rad_per_m * way_m <= LONGEST_WAY_RAD and skin_m >= LEAST_SKIN_DISTANCE_M
    gaps = min(len(element.gap_nodes) for element in elements)
    return missed_resistance(body, gaps=gaps, skin_distance_m=skin_m) if measured else float("inf")


def missed_resistance(body: Body, *, gaps: int, skin_distance_m: float) -> float:
    r"""Bound on the part of the body's resistance that the charges at the gaps add and the loop mode misses.

    Parameters
    ----------
    body : Body
        Body with its tissues, at their frequency.
    gaps : int
        Gaps of an element, about equally spaced.
    skin_distance_m : float
        Least distance of a wire from the skin, 5 mm or more. [m]

    Returns
    -------
    float
        :math:`200\,(5\,\mathrm{mm}/d)^{0.8}\,n^{-2}\,\max_t(\sigma_t/|\varepsilon_t|^2)/\bar\sigma`; infinite for a
        body without loss. [1]

    Notes
    -----
    The voltage at a gap falls as 1/n, tissue screens its field by its complex permittivity, and eddy currents lose
    power in proportion to the body's mean conductivity. The scale and the power of the distance were measured with
    loops of 20 to 80 mm radius, 1 to 8 gaps, 5 to 20 mm from spheres of 0.1 m of muscle, of fat, and of muscle under
    10 mm of fat, at 64, 128 and 298 MHz.
    """
    mean = float(body.conductivity_s_per_m().sum() / body.voxel_cover().sum())
    if mean <= 0:
        return float("inf")
    omega_eps0 = 2 * np.pi * body.frequency_hz * EPSILON_0_F_PER_M
    permittivity = np.array([tissue.permittivity(body.frequency_hz) for tissue in body.tissues])
    weakest = float(np.max(-permittivity.imag * omega_eps0 / np.abs(permittivity) ** 2))
    distance = min(skin_distance_m, LONGEST_SKIN_DISTANCE_M) / 5e-3
    return SCALE * distance**-DISTANCE_POWER / gaps**2 * weakest / mean


def longest_way_m(vertices_m: NDArray[Any], gap_nodes: tuple[int, ...]) -> float:
    """Longest way along a closed polygon from one gap to the next. [m]"""
    lengths = np.linalg.norm(np.roll(vertices_m, -1, axis=0) - vertices_m, axis=1)
    gaps = np.sort(gap_nodes)
    return float(np.add.reduceat(np.roll(lengths, -gaps[0]), gaps - gaps[0]).max())
