"""A flexible array stretched over the body, or worn inside out: where its centre-lines then lie.

Elements stay on the body: each is drawn larger about its own centre, or as it was, and laid at its new height over the
skin, so that its conductor gets exactly the length that it shall have.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from loopwright.bodies import Solid
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.crossings import least_conductor_distance_m, least_skin_distances_m
from loopwright.layouts.flexing import Girth, Stretch, flexed
from loopwright.layouts.folding import rotation_between
from loopwright.layouts.layout import Element, Layout
from loopwright.layouts.mesh_skin import MeshSkin
from loopwright.layouts.moving import as_triple

__all__ = ["INSIDE_OUT_LIMITS", "STRETCH_LIMITS", "Heights", "heights_over", "inside_out", "stretched", "worn_layout"]

Real = NDArray[np.float64]
#: Heights (n,) over the skin of points (n, 3). [m]
Heights = Callable[[Real], Real]

#: Step of the differences that give the skin's normal: wider than facets, narrower than limbs. [m]
_STEP_M = 1e-3
#: Landings take rounds until points are this close to their height. [m]
_CLOSE_M, _ROUNDS = 1e-8, 30
#: Corners of an element this close to one plane lie in it. [m]
_FLAT_M = 1e-7
#: Lines of two conductors closer than this would be one conductor. [m]
_LEAST_DISTANCE_M = 0.1e-3
#: Length of the mean of all normals below which an array surrounds what it lies on.
_ONE_SIDE = 0.5

STRETCH_LIMITS: tuple[str, ...] = (
    (
        "Stretched: evenly in both directions about the middle of the array. One that lies on one side keeps its "
        "heights over the skin; one that surrounds the body grows about its middle, off the skin. Gaps, capacitors and "
        "the cross section of the conductor stay as they are: printed capacitors and conductors that thin are not in "
        "it, and a torn trace is an open part of the list of single faults."
    ),
)
INSIDE_OUT_LIMITS: tuple[str, ...] = (
    (
        "Worn inside out: elements keep their places and lengths and stand at the height that the outer cover leaves "
        "them, in reverse order. Parts then lie against the skin with the cover alone between: currents and fields "
        "show it; temperatures are not told, for the layers of the design are not those, and skin gets warmer."
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Laid:
    """What an element shall be: its centre, the heights of centre and corners [m], and the length of its conductor."""

    centre_m: Real
    centre_height_m: float
    heights_m: Real
    length_m: float


def heights_over(layout: Layout, solid: Solid) -> Heights:
    """Tell heights over what an array lies on: the carrier that bridges hollows where it was laid on one."""
    if layout.drawn is not None and isinstance(layout.drawn.skin, MeshSkin):
        return layout.drawn.skin.heights_m
    return lambda points_m: -solid.depth_m(points_m)


def stretched(elements: Sequence[Element], strain: float, heights: Heights) -> tuple[Element, ...]:
    """Elements of a carrier that is stretched evenly in both directions.

    Parameters
    ----------
    elements : sequence of Element
        As laid.
    strain : float
        Relative change of every conductor's length.
    heights : callable
        Heights (n,) of points (n, 3) over the skin. [m]

    Returns
    -------
    tuple of Element
        Lengths of conductors grow by exactly the strain, as does the mean distance of an open array's centres from
        one another; heights over the skin are kept. An array that surrounds the body grows about its middle, a plane
        one in its planes.

    Raises
    ------
    OutsideModelError
        If the strain is -1 or less, or the stretched array does not find room on the body.
    """
    if not strain > -1:
        raise OutsideModelError(f"strain = {strain:g} of a stretch must be greater than -1")
    middle = as_triple(np.mean([element.centre_m for element in elements], axis=0))
    if _surrounds(elements):
        return flexed(elements, Girth(around=strain, along=strain, axis=(0.0, 0.0, 1.0), fixed_m=middle))
    if _plane(elements):
        normal = np.asarray(elements[0].normal)
        in_plane, flat = as_triple(np.linalg.svd(normal[None])[2][1]), as_triple(normal)
        return flexed(elements, Stretch(along=strain, across=strain, direction=in_plane, fixed_m=middle, normal=flat))
    centres = np.array([element.centre_m for element in elements])
    return _relaid(elements, heights, heights(centres), rises_m=np.zeros(len(elements)), growth=1 + strain)


def inside_out(elements: Sequence[Element], cover_m: float, heights: Heights) -> tuple[Element, ...]:
    """Elements of a carrier that is worn with its outside on the skin.

    Parameters
    ----------
    elements : sequence of Element
        As laid.
    cover_m : float
        From the skin to the nearest centre-line when worn so: the outer cover. [m]
    heights : callable
        Heights (n,) of points (n, 3) over the skin. [m]

    Returns
    -------
    tuple of Element
        The layer that was outermost is now nearest; each moves along the skin's normals as a whole, keeps the length of
        its conductor, and, where the array does not surround the body, its distances.

    Raises
    ------
    OutsideModelError
        If the cover has no thickness.
    """
    if not cover_m > 0:
        raise OutsideModelError(f"cover_m = {cover_m:g} of an array worn inside out must be greater than 0")
    stand_offs = _stand_offs_m(elements, heights)
    rises = cover_m + stand_offs.max() - 2 * stand_offs
    if _plane(elements):
        return tuple(_shifted(element, float(rise)) for element, rise in zip(elements, rises, strict=True))
    centres = np.array([element.centre_m for element in elements])
    return _relaid(elements, heights, heights(centres), rises_m=rises, growth=1.0)


def worn_layout(layout: Layout, elements: Sequence[Element], solid: Solid, *, notes: Sequence[str]) -> Layout:
    """Layout of elements that lie elsewhere, its distances taken anew.

    Parameters
    ----------
    layout : Layout
        As designed.
    elements : sequence of Element
        The same elements as they are worn.
    solid : Solid
        The body.
    notes : sequence of str
        What there is to say of it.

    Raises
    ------
    OutsideModelError
        If a conductor enters the body, or two conductors meet.
    """
    lines = [np.asarray(element.vertices_m) for element in elements]
    to_skin = float(least_skin_distances_m(lines, solid).min())
    closest = least_conductor_distance_m(lines)
    if to_skin <= 0:
        raise OutsideModelError("worn like this a conductor would enter the body")
    if closest is not None and not closest[0] >= _LEAST_DISTANCE_M:
        raise OutsideModelError(f"{elements[closest[1]].name} and {elements[closest[2]].name} would meet")
    centres = np.array([element.centre_m for element in elements])
    return replace(
        layout,
        elements=tuple(elements),
        neighbour_distance_m=tuple(float(np.linalg.norm(centres[i] - centres[j])) for i, j in layout.neighbours),
        least_skin_distance_m=to_skin,
        least_conductor_distance_m=None if closest is None else closest[0],
        notes=tuple(notes),
        coupling_left=None,
        drawn=None,
    )


def _relaid(
    elements: Sequence[Element], heights: Heights, centre_heights_m: Real, *, rises_m: Real, growth: float
) -> tuple[Element, ...]:
    """Elements laid again, so many metres higher each, all lengths so many times as long."""
    centres = _spread_m(elements, heights, centre_heights_m + rises_m, growth)
    return tuple(
        _laid_again(
            element,
            heights,
            _Laid(
                centre_m=centre,
                centre_height_m=float(height + rise),
                heights_m=heights(np.asarray(element.vertices_m)) + rise,
                length_m=growth * _length_m(element.vertices_m),
            ),
        )
        for element, centre, height, rise in zip(elements, centres, centre_heights_m, rises_m, strict=True)
    )


def _spread_m(elements: Sequence[Element], heights: Heights, at_m: Real, growth: float) -> Real:
    """Centres (elements, 3) at heights (elements,), their mean distance so many times that of before. [m]"""
    before = np.array([element.centre_m for element in elements])
    middle = before.mean(axis=0)
    wanted = growth * _mean_way_m(before)

    def there_m(factor: float) -> Real:
        return _landed_m(middle + factor * (before - middle), at_m, heights)

    if len(before) == 1 or _surrounds(elements):
        return there_m(1.0)
    return there_m(_solved(lambda factor: _mean_way_m(there_m(factor)) - wanted, growth))


def _laid_again(element: Element, heights: Heights, wanted: _Laid) -> Element:
    """One element about a new centre, its arms longer or shorter until its conductor has the length wanted."""
    normal = _unit(np.asarray(element.normal))
    now = _normals(wanted.centre_m[None], heights)[0]
    out = now if now @ normal > 0 else -now
    arms = (np.asarray(element.vertices_m) - np.asarray(element.centre_m)) @ rotation_between(normal, out).T

    def line_m(factor: float) -> Real:
        return _landed_m(wanted.centre_m + factor * arms, wanted.heights_m, heights)

    ratio = wanted.length_m / _length_m(element.vertices_m)
    factor = _solved(lambda one: _length_m(line_m(one)) - wanted.length_m, ratio)
    return replace(
        element,
        size_m=element.size_m * ratio,
        centre_m=as_triple(wanted.centre_m),
        normal=as_triple(out),
        vertices_m=line_m(factor),
    )


def _landed_m(points_m: Real, at_m: Real, heights: Heights) -> Real:
    """Points (n, 3) moved along the skin's normals to heights (n,). [m]"""
    points = np.array(points_m, dtype=np.float64)
    for _ in range(_ROUNDS):
        short = at_m - heights(points)
        if np.abs(short).max() < _CLOSE_M:
            return points
        points += short[:, None] * _normals(points, heights)
    raise OutsideModelError("the array finds no room at this height over the skin: the body is too sharp or too small")


def _normals(points_m: Real, heights: Heights) -> Real:
    """Unit vectors (n, 3) along which the height over the skin grows, at points (n, 3). [m]"""
    steps = _STEP_M * np.concatenate([np.eye(3), -np.eye(3)])
    found = heights((points_m + steps[:, None]).reshape(-1, 3)).reshape(6, -1)
    return _unit((found[:3] - found[3:]).T)


def _solved(miss: Callable[[float], float], guess: float) -> float:
    """Factor near a guess at which nothing is missed."""
    low, high = 0.7 * guess, 1.3 * guess
    if miss(low) > 0 or miss(high) < 0:
        raise OutsideModelError("the array finds no room on the body at the size that it shall have")
    return float(brentq(miss, low, high, xtol=1e-10))


def _stand_offs_m(elements: Sequence[Element], heights: Heights) -> Real:
    """Least height of every element's layer, (elements,). [m]"""
    least = np.array([heights(np.asarray(element.vertices_m)).min() for element in elements])
    layers = np.array([element.layer for element in elements])
    return np.array([least[layers == layer].min() for layer in layers])


def _surrounds(elements: Sequence[Element]) -> bool:
    normals = _unit(np.array([element.normal for element in elements]))
    return bool(np.linalg.norm(normals.mean(axis=0)) < _ONE_SIDE)


def _plane(elements: Sequence[Element]) -> bool:
    """Whether all elements lie in parallel planes, as on a plate that does not follow the skin."""
    normal = _unit(np.asarray(elements[0].normal, dtype=np.float64))
    away = [np.ptp((np.asarray(element.vertices_m) - np.asarray(element.centre_m)) @ normal) for element in elements]
    return bool(max(away) < _FLAT_M)


def _shifted(element: Element, rise_m: float) -> Element:
    way = rise_m * _unit(np.asarray(element.normal))
    return replace(element, vertices_m=element.vertices_m + way, centre_m=as_triple(np.asarray(element.centre_m) + way))


def _mean_way_m(centres_m: Real) -> float:
    """Mean distance of centres (elements, 3) from one another. [m]"""
    return float(np.linalg.norm(centres_m[:, None] - centres_m[None], axis=2).mean())


def _length_m(line_m: Real) -> float:
    return float(np.linalg.norm(np.roll(line_m, -1, axis=0) - line_m, axis=1).sum())


def _unit(vectors: Real) -> Real:
    return np.asarray(vectors / np.linalg.norm(vectors, axis=-1, keepdims=True))
