"""An array as it is printed flat: the film's outline, the centre-lines of its elements, and the slits cut into it."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from loopwright.layouts.curved import Feet
from loopwright.layouts.films.grids import inside_outline
from loopwright.layouts.layout import Element
from loopwright.layouts.moving import as_triple
from loopwright.layouts.outlines import gap_nodes, outline_m, segments_that_fit
from loopwright.layouts.skins import Skin

__all__ = [
    "FilmPattern",
    "FlatElement",
    "FlatPoint",
    "conductor_edges_m",
    "elements_at",
    "elements_cut",
    "elements_laid_flat",
    "flat_element",
    "pattern_of",
]

Real = NDArray[np.float64]
FlatPoint = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatElement:
    """One element on the flat film; ``outline_m`` (segments, 2) is its closed centre-line, against the clock. [m]

    ``gap_nodes`` are the nodes at which its gaps sit; of elements that cross, the one of the higher ``layer`` is above.
    """

    name: str
    shape: str
    size_m: float
    centre_m: FlatPoint
    outline_m: Real
    gap_nodes: tuple[int, ...]
    layer: int = 0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FilmPattern:
    """A flat film: ``outline_m`` (corners, 2) against the clock, its elements, and what is cut out of it. [m]

    ``slits_m`` are closed outlines (corners, 2) of what is taken away [m]; ``marks_m`` are places of the flat film that
    somebody wants to see on the drawing, such as the widest gap to the body, by name. [m]
    """

    outline_m: Real
    elements: tuple[FlatElement, ...]
    conductor_width_m: float
    slits_m: tuple[Real, ...] = ()
    marks_m: dict[str, FlatPoint] = field(default_factory=dict)


def flat_element(
    name: str, shape: str, *, size_m: float, centre_m: FlatPoint, segments: int, gaps: int, layer: int = 0
) -> FlatElement:
    """A circle or a square of this diameter or side about a place of the flat film [m], of at least so many sides."""
    count = segments_that_fit(shape, segments=segments, gaps=gaps)
    return FlatElement(
        name=name,
        shape=shape,
        size_m=size_m,
        centre_m=centre_m,
        outline_m=outline_m(shape, size_m=size_m, segments=count) + np.asarray(centre_m),
        gap_nodes=gap_nodes(segments=count, gaps=gaps),
        layer=layer,
    )


def elements_laid_flat(pattern: FilmPattern, *, layer_step_m: float = 0.0) -> tuple[Element, ...]:
    """Elements of a pattern on a table, in the plane z = 0 and above it by their layers, so far apart. [m]"""
    return tuple(_on_table(flat, layer_step_m * flat.layer) for flat in pattern.elements)


def _on_table(flat: FlatElement, height_m: float) -> Element:
    return Element(
        name=flat.name,
        shape=flat.shape,
        size_m=flat.size_m,
        centre_m=(*flat.centre_m, height_m),
        normal=(0.0, 0.0, 1.0),
        vertices_m=np.concatenate([flat.outline_m, np.full((len(flat.outline_m), 1), height_m)], axis=1),
        gap_nodes=flat.gap_nodes,
        layer=flat.layer,
    )


def elements_at(
    pattern: FilmPattern, skin: Skin, foot: Feet, *, stand_off_m: float, layer_step_m: float = 0.0
) -> tuple[Element, ...]:
    """Elements of a pattern whose origin and axes are laid on one foot of a skin.

    Parameters
    ----------
    pattern : FilmPattern
        What is printed.
    skin : Skin
        What it is laid on: developable, so that it keeps its lengths, or curved, along shortest lines from the foot.
    foot : Feet
        A single one: where the origin of the pattern comes to lie, and its axes.
    stand_off_m : float
        From the skin to the centre-line of the lowest layer; lengths hold there. [m]
    layer_step_m : float
        From one layer to the next. [m]
    """
    return tuple(
        _element_at(flat, skin, foot, stand_off_m, stand_off_m + layer_step_m * flat.layer) for flat in pattern.elements
    )


def _element_at(flat: FlatElement, skin: Skin, foot: Feet, lengths_hold_m: float, stand_off_m: float) -> Element:
    nodes = skin.walked(foot, np.concatenate([[flat.centre_m], flat.outline_m]), stand_off_m=lengths_hold_m)
    places = nodes.points_m + stand_off_m * nodes.normal
    return Element(
        name=flat.name,
        shape=flat.shape,
        size_m=flat.size_m,
        centre_m=as_triple(places[0]),
        normal=as_triple(nodes.normal[0]),
        vertices_m=places[1:],
        gap_nodes=flat.gap_nodes,
        layer=flat.layer,
    )


def conductor_edges_m(element: FlatElement, *, width_m: float) -> tuple[Real, Real]:
    """Outer and inner edge of a conductor of this width [m] along an element, (segments, 2), corners mitred. [m]"""
    return _moved_outwards_m(element.outline_m, width_m / 2), _moved_outwards_m(element.outline_m, -width_m / 2)


def elements_cut(pattern: FilmPattern) -> tuple[str, ...]:
    """Names of the elements whose conductor a slit goes through or into."""
    return tuple(
        element.name
        for element in pattern.elements
        if any(_meets(slit, *conductor_edges_m(element, width_m=pattern.conductor_width_m)) for slit in pattern.slits_m)
    )


def _meets(slit_m: Real, outer_m: Real, inner_m: Real) -> bool:
    """Whether a closed outline crosses an edge of a ring, or a corner of it lies between the ring's edges."""
    between = inside_outline(slit_m, outer_m) & ~inside_outline(slit_m, inner_m)
    return bool(between.any()) or any(_cross(slit_m, edge) for edge in (outer_m, inner_m))


def _cross(first_m: Real, second_m: Real) -> bool:
    """Whether two closed outlines cross."""
    p, q = first_m[:, None], np.roll(first_m, -1, axis=0)[:, None]
    r, s = second_m[None], np.roll(second_m, -1, axis=0)[None]
    return bool(np.any((_side(p, q, r) * _side(p, q, s) < 0) & (_side(r, s, p) * _side(r, s, q) < 0)))


def _side(start: Real, end: Real, point: Real) -> Real:
    """Twice the area of a triangle, positive where the point is to the left of the way."""
    way, away = end - start, point - start
    return np.asarray(way[..., 0] * away[..., 1] - way[..., 1] * away[..., 0])


def _moved_outwards_m(outline_m: Real, way_m: float) -> Real:
    sides = np.roll(outline_m, -1, axis=0) - outline_m
    after = np.stack([sides[:, 1], -sides[:, 0]], axis=1) / np.linalg.norm(sides, axis=1, keepdims=True)
    before = np.roll(after, 1, axis=0)
    return np.asarray(outline_m + way_m * (before + after) / (1 + np.sum(before * after, axis=1, keepdims=True)))


def pattern_of(elements: Sequence[FlatElement], *, margin_m: float, conductor_width_m: float) -> FilmPattern:
    """A pattern on a rectangular film that ends a margin [m] beyond the conductors of this width. [m]"""
    nodes = np.concatenate([element.outline_m for element in elements])
    reach = margin_m + conductor_width_m / 2
    (left, low), (right, high) = nodes.min(axis=0) - reach, nodes.max(axis=0) + reach
    outline = np.array([[left, low], [right, low], [right, high], [left, high]])
    return FilmPattern(outline_m=outline, elements=tuple(elements), conductor_width_m=conductor_width_m)
