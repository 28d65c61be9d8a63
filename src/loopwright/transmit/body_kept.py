"""What the body adds to an array that lies elsewhere, taken over from the design without a new solution."""

from collections.abc import Mapping, Sequence
from math import pi

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from loopwright.fields.loop_over_body import half_space_share
from loopwright.layouts import Element
from loopwright.layouts.moving import area_vector_m2
from loopwright.layouts.worn_wrongly import Heights

__all__ = ["BODY_KEPT", "port_map"]

Floats = NDArray[np.float64]

#: How the body's part is taken over where it is not solved anew.
BODY_KEPT = (
    "What the body adds is that of the design, gap by gap: of a folded element that of the neighbour which it lies "
    "over, of elements in another size or height that of the design times the ratio by which a flat body's resistance "
    "changes. For the worst lies the body is to be solved anew."
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
    The root of the ratio of what both loops would take from a flat body, by mean height and the radius of the circle
    of equal area; the sign tells which way round the element runs.
    """
    ends = np.cumsum([0, *(len(element.gap_nodes) for element in before)])
    found = np.zeros((ends[-1], ends[-1]))
    for number, element in enumerate(after):
        like = acts_as.get(number, number)
        scale = np.sqrt(_taken(element, heights) / _taken(before[like], heights))
        scale *= np.sign(np.dot(element.normal, before[like].normal))
        rows, columns = slice(ends[like], ends[like + 1]), slice(ends[number], ends[number + 1])
        found[rows, columns] = scale * (
            np.eye(len(element.gap_nodes)) if like == number else _gaps_like(before[like], element)
        )
    return found


def _taken(element: Element, heights: Heights) -> float:
    """What a flat body takes from a loop of this size and height, but for what all have in common."""
    corners = np.asarray(element.vertices_m)
    radius = float(np.sqrt(np.linalg.norm(area_vector_m2(corners)) / pi))
    return radius**3 * half_space_share(float(heights(corners).mean()) / radius)


def _gaps_like(other: Element, element: Element) -> Floats:
    """Each gap of an element to the closest of another one; shared evenly where their numbers differ."""
    there, here = (np.asarray(one.vertices_m)[list(one.gap_nodes)] for one in (other, element))
    if len(there) != len(here):
        return np.full((len(there), len(here)), 1 / len(here))
    found = np.zeros((len(there), len(here)))
    rows, columns = linear_sum_assignment(np.linalg.norm(there[:, None] - here[None], axis=2))
    found[rows, columns] = 1.0
    return found
