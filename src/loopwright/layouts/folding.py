"""An element of a flexible carrier folded over onto its neighbour."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.crossings import near_pairs
from loopwright.layouts.distances import polygon_distance_m
from loopwright.layouts.layout import Element, Layout
from loopwright.layouts.moving import as_triple

__all__ = ["FOLD_DISTANCE_M", "FOLD_LIMITS", "Fold", "edge_pair", "folded"]

Real = NDArray[np.float64]

#: Centre-line to centre-line of conductors that lie over each other: two films and the padding pressed between them
#: (common practice). [m]
FOLD_DISTANCE_M = 2e-3

#: How a fold is modelled.
FOLD_LIMITS: tuple[str, ...] = (
    (
        "Folded: one whole element is turned over about the line between it and its neighbour and lies on the outside "
        "of that, centre over centre; conductors keep their shape and length. A crease through a conductor, parts of "
        "other elements that turn over with it, and a fold under the array are not modelled."
    ),
    "Between folded conductors there is air: the carrier's permittivity raises their capacitance, which is left out.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fold:
    """Which element is turned over, onto which one, counted from nought.

    ``distance_m`` is the least distance of its centre-line from every other one. [m]
    """

    turned: int
    onto: int
    distance_m: float = FOLD_DISTANCE_M


def edge_pair(layout: Layout) -> tuple[int, int]:
    """Element at the edge of the array, and the neighbour onto which it folds: carriers fold at their edges.

    Parameters
    ----------
    layout : Layout
        With two elements or more.

    Returns
    -------
    turned, onto : int
        Of the elements with fewest neighbours the one furthest from the middle, and the one closest to it.

    Raises
    ------
    OutsideModelError
        If nothing lies beside any element.
    """
    if not layout.neighbours:
        raise OutsideModelError("nothing folds onto anything in an array without neighbours")
    centres = np.array([element.centre_m for element in layout.elements])
    count = np.bincount(np.ravel(layout.neighbours), minlength=len(centres))
    away = np.linalg.norm(centres - centres.mean(axis=0), axis=1)
    edge = [e for e in range(len(centres)) if count[e] == count[count > 0].min()]
    turned = max(edge, key=lambda e: round(away[e], 9))
    beside = [i + j - turned for i, j in layout.neighbours if turned in (i, j)]
    return turned, min(beside, key=lambda e: float(np.linalg.norm(centres[e] - centres[turned])))


def folded(elements: Sequence[Element], fold: Fold) -> tuple[Element, ...]:
    """Elements after one of them was folded over onto its neighbour.

    Parameters
    ----------
    elements : sequence of Element
        As laid.
    fold : Fold
        Which ones, and how close they then lie.

    Returns
    -------
    tuple of Element
        The turned one keeps its corners in their order, so that its right-handed normal now points at the body. It
        lies over the neighbour at the distance asked for, or as much higher as brings every centre-line of the array
        to that distance.

    Raises
    ------
    OutsideModelError
        If both are the same element, or no height keeps the conductors apart.
    """
    if fold.turned == fold.onto or not fold.distance_m > 0:
        raise OutsideModelError("an element folds onto another one, at a distance greater than 0")
    turned, onto = elements[fold.turned], elements[fold.onto]
    flat = _turned_over(turned, onto)
    up = _unit(np.asarray(onto.normal))
    others = [np.asarray(element.vertices_m) for e, element in enumerate(elements) if e != fold.turned]
    here = replace(
        flat, vertices_m=flat.vertices_m + _rise_m(flat.vertices_m, others, up, fold) * up, layer=turned.layer + 1
    )
    here = replace(here, centre_m=as_triple(np.asarray(flat.centre_m) + (here.vertices_m - flat.vertices_m)[0]))
    return tuple(here if e == fold.turned else element for e, element in enumerate(elements))


def _turned_over(turned: Element, onto: Element) -> Element:
    """Mirror an element in the plane between the two, centre and tangent plane brought to those of the neighbour.

    What a sheet turned over about a line shows is its mirror image; on any surface that is its own mirror image in
    that plane the fold is just this.
    """
    first, second = np.asarray(turned.centre_m), np.asarray(onto.centre_m)
    outward = [_unit(np.asarray(element.normal)) for element in (turned, onto)]
    way = second - first
    mean = outward[0] + outward[1]
    across = way - mean * (way @ mean) / max(float(mean @ mean), 1e-12)
    if np.linalg.norm(across) < 1e-6 * np.linalg.norm(way) or not np.linalg.norm(way):
        raise OutsideModelError(f"{turned.name} lies over {onto.name} already: no line to fold about is between them")
    mirror = np.eye(3) - 2 * np.outer(_unit(across), _unit(across))
    turn = rotation_between(mirror @ outward[0], outward[1]) @ mirror
    return replace(
        turned,
        vertices_m=second + (np.asarray(turned.vertices_m) - first) @ turn.T,
        centre_m=onto.centre_m,
        normal=as_triple(-outward[1]),
    )


def _rise_m(line_m: Real, others: Sequence[Real], up: Real, fold: Fold) -> float:
    """Way along a direction after which a line is no nearer to any other one than the fold's distance. [m]"""
    reach = fold.distance_m + float(np.ptp(line_m, axis=0).max())
    near = [other for k, other in enumerate(others) if (0, k + 1) in set(near_pairs([line_m, *others], margin_m=reach))]

    def room_m(rise_m: float) -> float:
        return min(polygon_distance_m(line_m + rise_m * up, other) for other in near) - fold.distance_m

    if not near or room_m(fold.distance_m) >= -1e-12:
        return fold.distance_m
    if room_m(reach) < 0:
        raise OutsideModelError("no height keeps the folded element off the others: fold another pair")
    return float(brentq(room_m, fold.distance_m, reach, xtol=1e-9))


def rotation_between(before: Real, after: Real) -> Real:
    """Rotation (3, 3) of least angle that turns one unit vector into another, not its opposite."""
    axis, cosine = np.cross(before, after), float(before @ after)
    skew = np.cross(np.eye(3), axis)
    return np.asarray(np.eye(3) + skew + skew @ skew / (1 + cosine))


def _unit(vector: Real) -> Real:
    return np.asarray(vector / np.linalg.norm(vector))
