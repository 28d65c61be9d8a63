"""Elements bent, stretched, or put round a thicker limb: where their centre-lines then lie.

A flex is a map of space.  Bending keeps lengths along the film in which the elements lie and the heights of layers
above it; stretching changes lengths in that film and keeps heights.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.layout import Element, Triple
from loopwright.layouts.moving import as_triple

__all__ = ["Bend", "Flex", "Girth", "Stretch", "flex_displacement_m", "flexed"]

Real = NDArray[np.float64]

#: Way from an element's centre along which its flexed normal is found, over its size.
_NEARBY = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """A film wrapped round a cylinder that it touches along a line.

    The line goes through ``touching_m`` along ``axis``; ``normal`` points from the cylinder to the film.  Lengths
    across the line are laid along the cylinder.
    """

    radius_m: float
    axis: Triple
    touching_m: Triple
    normal: Triple

    def __post_init__(self) -> None:
        """Refuse a cylinder that is none."""
        _refuse_unless(self.radius_m > 0, f"radius_m = {self.radius_m:g} of a bend must be greater than 0")
        _refuse_parallel(self.axis, self.normal)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A plane film stretched evenly: by one strain along ``direction``, by another across it.

    ``fixed_m`` stays where it is; heights along ``normal`` are kept.  Strains are relative changes of length.
    """

    along: float
    across: float
    direction: Triple
    fixed_m: Triple
    normal: Triple

    def __post_init__(self) -> None:
        """Refuse a film drawn to nothing."""
        _refuse_unless(min(self.along, self.across) > -1, "the strains of a stretch must be greater than -1")
        _refuse_parallel(self.direction, self.normal)


@dataclass(frozen=True, slots=True, kw_only=True)
class Girth:
    """An elastic sleeve put over a limb of other girth, about an axis through ``fixed_m``.

    ``around`` is the strain of every length round the axis, ``along`` that of lengths along it.
    """

    around: float
    along: float
    axis: Triple
    fixed_m: Triple

    def __post_init__(self) -> None:
        """Refuse a sleeve drawn to nothing."""
        _refuse_unless(min(self.around, self.along) > -1, "the strains of a sleeve must be greater than -1")


Flex = Bend | Stretch | Girth


def flexed(elements: Sequence[Element], flex: Flex) -> tuple[Element, ...]:
    """Elements after a flex of the film in which they lie.

    Parameters
    ----------
    elements : sequence of Element
        The elements before, plane or bent already.
    flex : Bend, Stretch or Girth
        What is done to them.

    Returns
    -------
    tuple of Element
        Same names, gaps and layers; sizes as drawn flat grow with the root of the stretched area.

    Notes
    -----
    Only places change: what a stretch does to the width, thickness and resistance of the conductor and to capacitors is
    not in it.
    """
    move = _map_of(flex)
    return tuple(_flexed(element, flex, move) for element in elements)


def flex_displacement_m(elements: Sequence[Element], flex: Flex) -> Real:
    """Way of every corner of every element under a flex, shape (corners, 3). [m]"""
    after = flexed(elements, flex)
    return np.concatenate([new.vertices_m - old.vertices_m for new, old in zip(after, elements, strict=True)])


def _flexed(element: Element, flex: Flex, move: Callable[[Real], Real]) -> Element:
    centre, normal = np.asarray(element.centre_m), np.asarray(element.normal) / np.linalg.norm(element.normal)
    first, second = np.linalg.svd(normal[None])[2][1:]
    aside = _NEARBY * element.size_m * np.stack([0 * first, first, -first, second, -second])
    moved = move(centre + aside)
    turned = np.cross(moved[1] - moved[2], moved[3] - moved[4])
    return replace(
        element,
        size_m=element.size_m * _growth(flex),
        vertices_m=move(np.asarray(element.vertices_m, dtype=np.float64)),
        centre_m=as_triple(moved[0]),
        normal=as_triple(np.sign(np.cross(first, second) @ normal) * turned / np.linalg.norm(turned)),
    )


def _growth(flex: Flex) -> float:
    """Root of the change of area."""
    match flex:
        case Bend():
            return 1.0
        case Stretch(along=first, across=second) | Girth(around=first, along=second):
            return float(np.sqrt((1 + first) * (1 + second)))
    assert_never(flex)


def _map_of(flex: Flex) -> Callable[[Real], Real]:
    """Map of points (points, 3)."""
    match flex:
        case Bend():
            return lambda points: _bent_m(points, flex)
        case Stretch():
            frame = _frame(flex.direction, flex.normal)
            return lambda points: _scaled_m(points, flex.fixed_m, frame, (1 + flex.along, 1 + flex.across, 1.0))
        case Girth():
            frame = _frame(flex.axis, _any_across(flex.axis))
            wide = 1 + flex.around
            return lambda points: _scaled_m(points, flex.fixed_m, frame, (1 + flex.along, wide, wide))
    assert_never(flex)


def _bent_m(points_m: Real, bend: Bend) -> Real:
    along, across, up = _frame(bend.axis, bend.normal)
    away = points_m - np.asarray(bend.touching_m)
    angle, distance = away @ across / bend.radius_m, bend.radius_m + away @ up
    sideways, height = distance * np.sin(angle), distance * np.cos(angle) - bend.radius_m
    moved = np.stack([away @ along, sideways, height], axis=1) @ np.stack([along, across, up])
    return np.asarray(bend.touching_m + moved)


def _scaled_m(points_m: Real, fixed_m: Triple, frame: Real, factors: tuple[float, float, float]) -> Real:
    return np.asarray(fixed_m + (points_m - np.asarray(fixed_m)) @ frame.T * factors @ frame)


def _frame(first: Triple, up: Triple) -> Real:
    """Rows: unit vector along the first, the one across, and one near the second; right-handed."""
    along = np.asarray(first) / np.linalg.norm(first)
    across = np.cross(up, along)
    across /= np.linalg.norm(across)
    return np.stack([along, across, np.cross(along, across)])


def _any_across(axis: Triple) -> Triple:
    unit = np.asarray(axis) / np.linalg.norm(axis)
    return as_triple(np.linalg.svd(unit[None])[2][1])


def _refuse_unless(holds: object, sentence: str) -> None:
    if not holds:
        raise OutsideModelError(sentence)


def _refuse_parallel(first: Triple, second: Triple) -> None:
    sine = np.linalg.norm(np.cross(first, second)) / (np.linalg.norm(first) * np.linalg.norm(second))
    _refuse_unless(sine > 1e-6, f"the directions {first} and {second} of a flex must not be parallel")
