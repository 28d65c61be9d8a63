"""Where one uniform current for each element tells the body's resistance within one per cent of the full current."""

import numpy as np

from loopwright.bodies import Body
from loopwright.conductors import DressedLayout
from loopwright.ground.constants import SPEED_OF_LIGHT_M_PER_S

#: Longest way between gaps, in radians of the wave in air, up to which the two agree.
LONGEST_WAY_RAD = 0.35
#: Nearest wire and least |eps_c| of the tissues in the measurements; beyond them nothing is claimed.
LEAST_SKIN_DISTANCE_M = 4.9e-3
LEAST_PERMITTIVITY = 7.0


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
        True where the longest way along a conductor from gap to gap is short against the wave, no wire comes closer
        to the skin than was measured, and no tissue has less permittivity: a body that screens charges badly takes
        more power from them.
    """
    wave_rad_per_m = 2 * np.pi * body.frequency_hz / SPEED_OF_LIGHT_M_PER_S
    way_m = max(_longest_way_m(element.vertices_m, element.gap_nodes) for element in dressed.layout.elements)
    weakest = min(abs(tissue.permittivity(body.frequency_hz)) for tissue in body.tissues)
    return bool(
        wave_rad_per_m * way_m <= LONGEST_WAY_RAD
        and dressed.layout.least_skin_distance_m >= LEAST_SKIN_DISTANCE_M
        and weakest >= LEAST_PERMITTIVITY
    )


def _longest_way_m(vertices_m: np.ndarray, gap_nodes: tuple[int, ...]) -> float:
    """Longest way along a closed polygon from one gap to the next."""
    lengths = np.linalg.norm(np.roll(vertices_m, -1, axis=0) - vertices_m, axis=1)
    gaps = np.sort(gap_nodes)
    turned = np.roll(lengths, -gaps[0])
    return float(np.add.reduceat(turned, gaps - gaps[0]).max())
