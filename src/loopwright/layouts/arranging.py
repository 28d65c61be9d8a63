"""From the array that is asked for to its elements on the body."""

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Block, Body, Ellipsoid, EllipticColumn, Solid
from loopwright.brief.records import ArrayRequest, ElementRequest, TilingRequest
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.crossings import (
    layers_of,
    least_conductor_distance_m,
    least_skin_distances_m,
    nearest_ring,
)
from loopwright.layouts.layout import Element, Layout, Triple
from loopwright.layouts.outlines import gap_nodes, outline_m, segments_that_fit
from loopwright.layouts.skins import ColumnSkin, EllipsoidSkin, Skin, frames
from loopwright.layouts.tilings import tiling_on

Real = NDArray[np.float64]

#: Lines of two conductors closer than this would be one conductor.
_LEAST_DISTANCE_M = 0.1e-3


def arrange(request: ArrayRequest, body: Body, *, segments_per_element: int = 24) -> Layout:
    """Lay the elements that are asked for on or about the body.

    Parameters
    ----------
    request : ArrayRequest
        Explicit elements, or a tiling.
    body : Body
        What they are laid on; only its shape matters.
    segments_per_element : int
        Least number of straight segments of one element; more are taken where gaps and corners need it.

    Raises
    ------
    OutsideModelError
        If a conductor enters the body, two conductors meet, or a tiling does not fit the surface.
    """
    if request.tiling is None:
        return _explicit(request.elements, body.solid, segments=segments_per_element)
    return _tiled(request.tiling, body.solid, segments=segments_per_element)


def skin_of(solid: Solid) -> Skin:
    """The surface of a body on which elements can be laid."""
    match solid.skin:
        case Ellipsoid(semi_axes_m=semi_axes):
            return EllipsoidSkin(semi_axes_m=semi_axes)
        case EllipticColumn(semi_axes_m=column_axes, height_m=height):
            return ColumnSkin(semi_axes_m=column_axes, height_m=height)
        case Block():
            raise OutsideModelError("a tiling cannot be laid on a slab yet. Write the elements one by one.")


def _explicit(requests: tuple[ElementRequest, ...], solid: Solid, *, segments: int) -> Layout:
    elements = tuple(_flat_element(request, segments=segments) for request in requests)
    pairs = nearest_ring(np.array([element.centre_m for element in elements]))
    distances = [np.linalg.norm(np.subtract(elements[i].centre_m, elements[j].centre_m)) for i, j in pairs]
    return _checked(
        elements, pairs, np.array(distances), solid, notes=("Elements are plane, where they were asked for.",)
    )


def _flat_element(request: ElementRequest, *, segments: int) -> Element:
    n = segments_that_fit(request.shape, segments=segments, gaps=request.gaps)
    flat = outline_m(request.shape, size_m=request.size_m, segments=n)
    along, across = frames(np.array([request.normal]))
    return Element(
        name=request.name,
        shape=request.shape,
        size_m=request.size_m,
        centre_m=request.centre_m,
        normal=request.normal,
        vertices_m=np.asarray(request.centre_m) + flat @ np.concatenate([along, across]),
        gap_nodes=gap_nodes(segments=n, gaps=request.gaps),
    )


def _tiled(request: TilingRequest, solid: Solid, *, segments: int) -> Layout:
    skin = skin_of(solid)
    tiling = tiling_on(skin, request)
    feet, count = tiling.feet, request.count
    n = segments_that_fit(request.shape, segments=segments, gaps=request.gaps)
    flat = outline_m(request.shape, size_m=tiling.size_m, segments=n)
    at_skin = skin.wrapped_m(feet, flat, stand_off_m=np.full(count, request.stand_off_m))
    layers = layers_of(at_skin, separation_m=request.crossing_separation_m)
    stand_off = request.stand_off_m + request.crossing_separation_m * np.array(layers)
    vertices = skin.wrapped_m(feet, flat, stand_off_m=stand_off)
    centres = feet.points_m + stand_off[:, None] * feet.normal
    elements = tuple(
        Element(
            name=f"E{k + 1:02d}",
            shape=request.shape,
            size_m=tiling.size_m,
            centre_m=_triple(centres[k]),
            normal=_triple(feet.normal[k]),
            vertices_m=vertices[k],
            gap_nodes=gap_nodes(segments=n, gaps=request.gaps),
            layer=layers[k],
        )
        for k in range(count)
    )
    pairs = nearest_ring(feet.points_m + request.stand_off_m * feet.normal)
    distances = skin.distances_m(feet, np.array(pairs, dtype=np.int64).reshape(-1, 2), stand_off_m=request.stand_off_m)
    notes = (*tiling.notes, skin.wrapping, _overlap_note(distances / tiling.size_m), _layer_note(stand_off, layers))
    return _checked(elements, pairs, distances, solid, notes=(*notes, *_end_notes(skin, vertices)))


def _checked(
    elements: tuple[Element, ...],
    pairs: tuple[tuple[int, int], ...],
    distances_m: Real,
    solid: Solid,
    *,
    notes: tuple[str, ...],
) -> Layout:
    """The layout, unless conductors enter the body or meet."""
    outlines = [element.vertices_m for element in elements]
    to_skin = least_skin_distances_m(outlines, solid)
    if to_skin.min() <= 0:
        inside = ", ".join(element.name for element, way in zip(elements, to_skin, strict=True) if way <= 0)
        raise OutsideModelError(f"conductors enter the body: {inside}. Move these elements outwards.")
    closest = least_conductor_distance_m(outlines)
    if closest is not None and closest[0] < _LEAST_DISTANCE_M:
        raise OutsideModelError(
            f"the conductors of {elements[closest[1]].name} and {elements[closest[2]].name} meet "
            f"({closest[0] * 1e3:.3f} mm apart). Where elements overlap, one has to stand further out."
        )
    return Layout(
        elements=elements,
        neighbours=pairs,
        neighbour_distance_m=tuple(float(distance) for distance in distances_m),
        least_skin_distance_m=float(to_skin.min()),
        least_conductor_distance_m=None if closest is None else closest[0],
        notes=(*notes, _room_note(elements, to_skin, closest)),
    )


def _overlap_note(overlaps: Real) -> str:
    if len(overlaps) == 0:
        return "A single element has no neighbours."
    return (
        f"Centre distance over size between {len(overlaps)} pairs of neighbours, along the surface: "
        f"{overlaps.min():.3f} to {overlaps.max():.3f}, mean {overlaps.mean():.3f}."
    )


def _layer_note(stand_off_m: Real, layers: tuple[int, ...]) -> str:
    if max(layers) == 0:
        return f"No conductors cross; all stand {stand_off_m[0] * 1e3:.2f} mm off the skin."
    return (
        f"Conductors cross, so elements stand on {max(layers) + 1} layers, {stand_off_m.min() * 1e3:.2f} to "
        f"{stand_off_m.max() * 1e3:.2f} mm off the skin at their nodes; the stand-off asked for is that of layer 0."
    )


def _room_note(elements: tuple[Element, ...], to_skin: Real, closest: tuple[float, int, int] | None) -> str:
    skin = f"Least distance of a conductor's line from the skin {to_skin.min() * 1e3:.2f} mm"
    if closest is None:
        return f"{skin}."
    names = f"{elements[closest[1]].name} and {elements[closest[2]].name}"
    return f"{skin}, between two of them {closest[0] * 1e3:.2f} mm ({names})."


def _end_notes(skin: Skin, vertices_m: Real) -> tuple[str, ...]:
    """A caution where elements reach past the cut ends of a column."""
    if isinstance(skin, EllipsoidSkin):
        return ()
    past = np.abs(vertices_m[..., 2]).max(axis=1) > skin.height_m / 2
    if not past.any():
        return ()
    return (f"{past.sum()} elements reach past the cut ends of the body, where there is nothing to load them.",)


def _triple(point: Real) -> Triple:
    x, y, z = point.tolist()
    return (x, y, z)
