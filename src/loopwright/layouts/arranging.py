"""From the array that is asked for to its elements on the body."""

from collections.abc import Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Body, Solid
from loopwright.brief.records import ArrayRequest, ElementRequest, PieceRequest, TilingRequest
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.progress import Progress, Silent
from loopwright.layouts.clearances import centres_past_ends, fit_notes, room_note
from loopwright.layouts.coupling import Coupling, CouplingLeft, Pairs
from loopwright.layouts.crossings import least_conductor_distance_m, least_skin_distances_m, near_pairs, nearest_ring
from loopwright.layouts.curved import frames
from loopwright.layouts.distances import polygon_distance_m
from loopwright.layouts.films.under_tilings import film_under, refuse_past_cuts
from loopwright.layouts.grounds import plate_of, skin_of
from loopwright.layouts.laying import Laid, lay
from loopwright.layouts.layout import Drawn, Element, Layout
from loopwright.layouts.outlines import gap_nodes, outline_m, segments_that_fit

Real = NDArray[np.float64]

#: Lines of two conductors closer than this would be one conductor.
_LEAST_DISTANCE_M = 0.1e-3
_FURTHER_OUT = "Where elements overlap, one has to stand further out."
_MORE_SEGMENTS = "Ask for more `computation.segments_per_element`, or for another overlap."
_NOBODY = Silent()
#: Layers that elements which cross may take, and the sag of their straight segments in all: room to be kept free. [m]
_LAYERS, _SAG_M = 6, 8e-3


def arrange(
    request: ArrayRequest,
    body: Body,
    *,
    segments_per_element: int = 24,
    coupling: Coupling | None = None,
    near: Layout | None = None,
    progress: Progress = _NOBODY,
) -> Layout:
    """Lay the elements that are asked for on or about the body; as :func:`arrange_on` otherwise."""
    return arrange_on(
        request,
        body.solid,
        segments_per_element=segments_per_element,
        coupling=coupling,
        near=near,
        progress=progress,
    )


def arrange_on(
    request: ArrayRequest,
    solid: Solid,
    *,
    segments_per_element: int = 24,
    coupling: Coupling | None = None,
    near: Layout | None = None,
    progress: Progress = _NOBODY,
) -> Layout:
    """Lay the elements that are asked for on or about a body of which only the shape is known.

    Parameters
    ----------
    request : ArrayRequest
        Explicit elements, a tiling, or pieces with a tiling each.
    solid : Solid
        What they are laid on.
    segments_per_element : int
        Least number of straight segments of one element; more are taken where gaps and corners need it,
        and 48 at least where zero coupling is searched for: fewer would move the zero by 0.003 of the size.
    coupling : Coupling, optional
        Tells how neighbours couple. Needed where zero coupling is asked for; otherwise it is only reported.
    near : Layout, optional
        What an earlier search for zero coupling found, from which this one starts.
    progress : Progress
        Told how far a search is, and what it found.

    Raises
    ------
    OutsideModelError
        If a conductor enters the body, two conductors meet, or a tiling does not fit the surface.
    """
    if request.pieces:
        return _pieced(request.pieces, solid, segments=segments_per_element, coupling=coupling, progress=progress)
    if request.tiling is None:
        return _explicit(request.elements, solid, segments=segments_per_element)
    names = tuple(f"E{k + 1:02d}" for k in range(request.tiling.count))
    film = None if request.film is None else film_under(request.tiling, request.film, solid)
    laid = lay(
        request.tiling,
        film or skin_of(solid, reach_m=_reach_m(request.tilings)),
        segments=segments_per_element,
        names=names,
        coupling=coupling,
        near=near,
        progress=progress,
    )
    if film is not None:
        refuse_past_cuts(laid.elements, solid)
    return _tiled(request.tiling, laid, solid)


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


def _tiled(request: TilingRequest, laid: Laid, solid: Solid) -> Layout:
    return _checked(
        laid.elements,
        laid.pairs,
        laid.distances_m,
        solid,
        notes=laid.notes,
        separation_m=request.crossing_separation_m,
        coupling_left=laid.coupling_left,
        drawn=laid.drawn,
    )


def _pieced(
    pieces: tuple[PieceRequest, ...], solid: Solid, *, segments: int, coupling: Coupling | None, progress: Progress
) -> Layout:
    """Several tilings beside each other; neighbours across pieces are found by the distances of their centres."""
    laid: list[Laid] = []
    reach = _reach_m([piece.tiling for piece in pieces])
    starts = np.cumsum([0, *(piece.tiling.count for piece in pieces)]).tolist()
    for piece, start in zip(pieces, starts[:-1], strict=True):
        on_body = piece.lies_on == "body"
        skin = skin_of(solid, reach_m=reach) if on_body else plate_of(solid, piece.tiling.facing)
        names = tuple(f"{piece.name}-{k + 1:02d}" for k in range(piece.tiling.count))
        laid.append(
            lay(
                piece.tiling,
                skin,
                segments=segments,
                names=names,
                coupling=coupling,
                progress=progress,
                first_element=start,
            )
        )
    _refuse_pieces_that_meet(pieces, laid)
    elements = tuple(element for piece in laid for element in piece.elements)
    within = {
        (i + start, j + start): float(distance)
        for piece, start in zip(laid, starts[:-1], strict=True)
        for (i, j), distance in zip(piece.pairs, piece.distances_m, strict=True)
    }
    across = _pairs_across(elements, np.repeat(np.arange(len(laid)), np.diff(starts)))
    distance = within | across
    pairs = tuple(sorted(distance))
    notes = tuple(f"{piece.name}: {note}" for piece, there in zip(pieces, laid, strict=True) for note in there.notes)
    left = _left_between(elements, pairs, coupling)
    return _checked(
        elements,
        pairs,
        np.array([distance[pair] for pair in pairs]),
        solid,
        notes=(*notes, _across_note(tuple(across), left)),
        separation_m=min(piece.tiling.crossing_separation_m for piece in pieces),
        coupling_left=left,
    )


def _across_note(across: Pairs, left: CouplingLeft | None) -> str:
    """How many neighbours lie in different pieces, and how strongly they couple: no search looks at them."""
    if not across:
        return "No neighbours lie in different pieces."
    told = f"Pairs of neighbours that lie in different pieces: {len(across)}"
    if left is None:
        return f"{told}."
    largest = max(left.between(across), key=abs)
    return f"{told}, largest coupling coefficient {largest:+.4f}; every piece is laid without regard to the others."


def _pairs_across(elements: tuple[Element, ...], piece_of: NDArray[np.int64]) -> dict[tuple[int, int], float]:
    """Straight distances of centres that are in the nearest ring and belong to different pieces. [m]"""
    centres = np.array([element.centre_m for element in elements])
    return {
        (i, j): float(np.linalg.norm(centres[i] - centres[j]))
        for i, j in nearest_ring(centres)
        if piece_of[i] != piece_of[j]
    }


def _refuse_pieces_that_meet(pieces: tuple[PieceRequest, ...], laid: list[Laid]) -> None:
    """Layers keep the conductors of one piece apart; those of two pieces have to lie apart by themselves."""
    for first, second in combinations(range(len(pieces)), 2):
        room = max(pieces[n].tiling.crossing_separation_m for n in (first, second))
        here, there = laid[first].elements, laid[second].elements
        outlines = [element.vertices_m for element in (*here, *there)]
        near = [(i, j) for i, j in near_pairs(outlines, margin_m=room) if i < len(here) <= j]
        closest = min(((polygon_distance_m(outlines[i], outlines[j]), i, j) for i, j in near), default=None)
        if closest is not None and closest[0] < room:
            raise OutsideModelError(
                f"the pieces {pieces[first].name} and {pieces[second].name} collide: {here[closest[1]].name} and "
                f"{there[closest[2] - len(here)].name} come within {closest[0] * 1e3:.2f} mm, where {room * 1e3:.2f} "
                "mm are needed. Move them apart by their facing, take fewer or smaller elements, or give one a larger "
                "stand-off."
            )


def _left_between(elements: tuple[Element, ...], pairs: Pairs, coupling: Coupling | None) -> CouplingLeft | None:
    if coupling is None or not pairs:
        return None
    outlines = [element.vertices_m for element in elements]
    found = coupling(outlines, np.array(pairs, dtype=np.int64), elements=np.arange(len(elements)))
    return CouplingLeft(pairs=pairs, coefficients=tuple(found.tolist()), includes=coupling.includes)


def _checked(
    elements: tuple[Element, ...],
    pairs: tuple[tuple[int, int], ...],
    distances_m: Real,
    solid: Solid,
    *,
    notes: tuple[str, ...],
    separation_m: float = 0.0,
    coupling_left: CouplingLeft | None = None,
    drawn: Drawn | None = None,
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
            f"({closest[0] * 1e3:.3f} mm apart). {_MORE_SEGMENTS if separation_m else _FURTHER_OUT}"
        )
    return Layout(
        elements=elements,
        neighbours=pairs,
        neighbour_distance_m=tuple(float(distance) for distance in distances_m),
        least_skin_distance_m=float(to_skin.min()),
        least_conductor_distance_m=None if closest is None else closest[0],
        notes=(*notes, *fit_notes(elements, solid), room_note(elements, to_skin, closest, separation_m)),
        coupling_left=coupling_left,
        centres_past_ends=centres_past_ends(elements, solid),
        drawn=drawn,
    )


def _reach_m(tilings: Sequence[TilingRequest]) -> float:
    """Furthest stand-off that a carrier may need, its layers included. [m]"""
    return max(one.stand_off_m + _LAYERS * one.crossing_separation_m for one in tilings) + _SAG_M
