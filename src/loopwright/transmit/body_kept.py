"""What the body adds to an array that lies elsewhere, taken over from the design without a new solution."""

from collections.abc import Mapping, Sequence
from math import pi

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from loopwright.fields.loop_over_body import FLATTEST, ball_resistance_ohm
from loopwright.layouts import Element
from loopwright.layouts.moving import area_vector_m2
from loopwright.layouts.worn_wrongly import Heights

__all__ = ["BODY_KEPT", "port_map"]

Floats = NDArray[np.float64]

#: Directions in which the body is felt for its curvature.
_BEARINGS = 16
#: Radius of the smallest ball, over that of the element.
_ROUNDEST = 1.2

#: How the body's part is taken over where it is not solved anew.
BODY_KEPT = (
    "What the body adds is that of the design, gap by gap: of a folded element that of the neighbour which it lies "
    "over, of elements in another size or height that of the design times the ratio by which the loss of a circle on a "
    "ball changes, curved as the body is under the element. Loops on balls of muscle, solved anew, came within 5 % of "
    "it folded, stretched by a tenth and inside out; their coupling through the body was off by up to an eighth of "
    "their own part, currents in their ports by up to 9 %. For the worst lies the body is to be solved anew."
)


def port_map(
    before: Sequence[Element], after: Sequence[Element], heights: Heights, *, acts_as: Mapping[int, int]
) -> Floats:
    """Port currents of the design that act on the body as those of the elements as worn do.

    Parameters
    ----------
    before, after : sequence of Element
        As designed, and as worn.
    heights : callable
        Heights (n,) of points (n, 3) over the skin. [m]
    acts_as : mapping of int to int
        Elements that act on the body like another one of the design; all others like themselves.

    Returns
    -------
    ndarray, shape (P, P)
        Column by column the currents of the design for one in a port as worn.

    Notes
    -----
    The root of the ratio of what circles of their areas and mean heights lose in a ball, whose radius is that of the
    body under the element of the design; the sign tells which way round the element runs.
    """
    ends = np.cumsum([0, *(len(element.gap_nodes) for element in before)])
    found = np.zeros((ends[-1], ends[-1]))
    for number, element in enumerate(after):
        like = acts_as.get(number, number)
        ball_m = _ball_radius_m(before[like], heights)
        scale = np.sqrt(_taken(element, heights, ball_m) / _taken(before[like], heights, ball_m))
        scale *= np.sign(np.dot(element.normal, before[like].normal))
        rows, columns = slice(ends[like], ends[like + 1]), slice(ends[number], ends[number + 1])
        found[rows, columns] = scale * (
            np.eye(len(element.gap_nodes)) if like == number else _gaps_like(before[like], element)
        )
    return found


def _taken(element: Element, heights: Heights, ball_radius_m: float) -> float:
    """What a ball takes from a circle of the element's area and height, but for what all have in common."""
    height_m = float(heights(np.asarray(element.vertices_m)).mean())
    return ball_resistance_ohm(
        _radius_m(element), height_m, ball_radius_m=ball_radius_m, sigma_s_per_m=1.0, frequency_hz=1.0
    )


def _radius_m(element: Element) -> float:
    """Radius of the circle of the element's area. [m]"""
    return float(np.sqrt(np.linalg.norm(area_vector_m2(np.asarray(element.vertices_m))) / pi))


def _ball_radius_m(element: Element, heights: Heights) -> float:
    """Radius of the ball over which heights rise as over the body, from the element's centre to its edge. [m]

    On the tangent plane at the distance a from the centre, which is the distance d from the middle of a ball, heights
    are larger by sqrt(d^2 + a^2) - d.
    """
    radius, centre = _radius_m(element), np.asarray(element.centre_m)
    first, second = np.linalg.svd(np.asarray(element.normal)[None])[2][1:]
    angle = 2 * pi * np.arange(_BEARINGS)[:, None] / _BEARINGS
    around = centre + radius * (np.cos(angle) * first + np.sin(angle) * second)
    here = float(heights(centre[None])[0])
    rise = float(np.mean(heights(around))) - here
    flattest = FLATTEST * radius
    from_middle = flattest if rise <= 0 else (radius**2 - rise**2) / (2 * rise)
    return float(np.clip(from_middle - here, _ROUNDEST * radius, flattest))


def _gaps_like(other: Element, element: Element) -> Floats:
    """Each gap of an element to the closest of another one; shared evenly where their numbers differ."""
    there, here = (np.asarray(one.vertices_m)[list(one.gap_nodes)] for one in (other, element))
    if len(there) != len(here):
        return np.full((len(there), len(here)), 1 / len(here))
    found = np.zeros((len(there), len(here)))
    rows, columns = linear_sum_assignment(np.linalg.norm(there[:, None] - here[None], axis=2))
    found[rows, columns] = 1.0
    return found
