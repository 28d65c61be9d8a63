"""Elements that are not where they were drawn: small moves of placement, as ways of their corners."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.layouts.layout import Element, Triple

__all__ = ["PlacementMoves", "moved_elements", "placement_moves"]

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacementMoves:
    """Ways in which elements may be misplaced, four for each.

    ``names`` tells each move; ``element`` is the number of the element that moves, ``unit`` that of the amount, and
    ``displacement_m`` (moves, corners, 3) the way of every corner of every element per unit. [m]
    """

    names: tuple[str, ...]
    element: NDArray[np.int64]
    unit: tuple[str, ...]
    displacement_m: Real


def placement_moves(elements: Sequence[Element]) -> PlacementMoves:
    """Unit moves of every element: along two tangents, along its normal, and about its normal.

    Parameters
    ----------
    elements : sequence of Element
        The elements.

    Returns
    -------
    PlacementMoves
        Per metre for the three shifts, per radian for the turn about the normal through the centre.

    Notes
    -----
    The first tangent is the way from the centre to the first corner, laid into the plane across the normal; the second
    stands left of it as seen from outside.
    """
    first = np.cumsum([0, *(len(element.vertices_m) for element in elements)])
    ways = np.zeros((4 * len(elements), first[-1], 3))
    for number, element in enumerate(elements):
        own = slice(first[number], first[number + 1])
        normal = _unit(np.asarray(element.normal))
        arms = np.asarray(element.vertices_m) - np.asarray(element.centre_m)
        tangent = _unit(arms[0] - normal * (normal @ arms[0]))
        ways[4 * number : 4 * number + 3, own] = np.stack([tangent, np.cross(normal, tangent), normal])[:, None]
        ways[4 * number + 3, own] = np.cross(normal, arms)
    moves = ("along its first tangent", "along its second tangent", "along its normal", "about its normal")
    return PlacementMoves(
        names=tuple(f"{element.name} {move}" for element in elements for move in moves),
        element=np.repeat(np.arange(len(elements)), 4).astype(np.int64),
        unit=("m", "m", "m", "rad") * len(elements),
        displacement_m=ways,
    )


def moved_elements(elements: Sequence[Element], displacement_m: Real) -> tuple[Element, ...]:
    """Elements whose corners have moved a little.

    Parameters
    ----------
    elements : sequence of Element
        The elements before.
    displacement_m : ndarray, shape (corners, 3)
        Way of every corner of every element, in their order. [m]

    Returns
    -------
    tuple of Element
        The elements after; centres move by the mean way of their corners, and normals as the corners turn.
    """
    ways = np.split(displacement_m, np.cumsum([len(element.vertices_m) for element in elements])[:-1])
    return tuple(_moved(element, way) for element, way in zip(elements, ways, strict=True))


def _moved(element: Element, way_m: Real) -> Element:
    before = np.asarray(element.vertices_m, dtype=np.float64)
    turn = _unit(area_vector_m2(before + way_m)) - _unit(area_vector_m2(before))
    return replace(
        element,
        vertices_m=before + way_m,
        centre_m=as_triple(np.asarray(element.centre_m) + way_m.mean(axis=0)),
        normal=as_triple(_unit(np.asarray(element.normal) + turn)),
    )


def area_vector_m2(corners_m: Real) -> Real:
    """Half the sum of the cross products of successive corners (corners, 3) [m]: area times normal. [m^2]"""
    return np.asarray(np.cross(corners_m, np.roll(corners_m, -1, axis=0)).sum(axis=0) / 2)


def as_triple(point: Real) -> Triple:
    """Give a point as three plain numbers."""
    x, y, z = np.asarray(point, dtype=np.float64).tolist()
    return (x, y, z)


def _unit(vector: Real) -> Real:
    return np.asarray(vector / np.linalg.norm(vector))
