"""From one tiling that is asked for to its elements: placed, searched for where that is asked, and put on layers."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records import TilingRequest
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.progress import Progress
from loopwright.layouts.coupling import Coupling, CouplingLeft, Pairs
from loopwright.layouts.cover_grounds import cover_ground
from loopwright.layouts.covers import again_from, decoupled_cover, described_cover
from loopwright.layouts.crossings import nearest_ring
from loopwright.layouts.decoupling import (
    LEAST_SEGMENTS,
    ROUNDS,
    Drawing,
    coupling_left,
    decoupled_lattice,
    drawn_layers,
    drawn_m,
    layer_step_m,
)
from loopwright.layouts.layout import Drawn, Element, Layout
from loopwright.layouts.mesh_skin import MeshSkin
from loopwright.layouts.moving import as_triple
from loopwright.layouts.outlines import gap_nodes
from loopwright.layouts.skins import ColumnSkin, Skin
from loopwright.layouts.tiling import Tiling
from loopwright.layouts.tilings import lattice_on, tiling_on

Real = NDArray[np.float64]

#: Layers further apart by less than this are not worth another search.
_IDLE_STEP_M = 5e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """Elements of one tiling, their neighbours by number within it, and what there is to say."""

    elements: tuple[Element, ...]
    pairs: Pairs
    distances_m: Real
    coupling_left: CouplingLeft | None
    notes: tuple[str, ...]
    drawn: Drawn


def lay(
    request: TilingRequest,
    skin: Skin,
    *,
    segments: int,
    names: tuple[str, ...],
    progress: Progress,
    coupling: Coupling | None = None,
    near: Layout | None = None,
    first_element: int = 0,
) -> Laid:
    """Lay one tiling on a skin.

    Parameters
    ----------
    request : TilingRequest
        What is asked for.
    skin : Skin
        What it lies on.
    segments : int
        Least number of straight segments of one element; 48 or more where zero coupling is asked for.
    names : tuple of str
        Of the elements.
    progress : Progress
        Told how far a search is, and what it found.
    coupling : Coupling, optional
        Tells how neighbours couple; needed for a search for zero coupling.
    near : Layout, optional
        Layout of an earlier search on a closed surface, from which this one starts.
    first_element : int
        Number of its first element in the whole array.

    Raises
    ------
    OutsideModelError
        If the tiling does not fit the skin, or a search is asked for and nobody tells the coupling.
    """
    searched = request.overlap == "zero coupling"
    asked_segments, segments = segments, max(segments, LEAST_SEGMENTS) if searched else segments
    ground = cover_ground(skin, request) if request.span == "whole" else None
    start = tiling_on(skin, request, segments=segments, ground=ground)
    step_m = layer_step_m(skin, request, start.feet, start.sizes_m, segments=segments)
    drawing = None
    if coupling is not None:
        drawing = Drawing(
            skin=skin, request=request, coupling=coupling, layer_step_m=step_m, segments=segments,
            first_element=first_element, ground=ground,
        )  # fmt: skip
    tiling = start
    if searched:
        drawing, tiling = _searched(drawing, near, progress)
        step_m = drawing.layer_step_m
    if segments > asked_segments:
        tiling = replace(tiling, notes=(*tiling.notes, _sides_note(asked_segments, segments)))
    if tiling.layers is None:
        order = np.arange(request.count)
        layers = drawn_layers(skin, request, tiling.feet, tiling.sizes_m, order, segments=segments)
        tiling = replace(tiling, layers=layers)
    elements = _elements(request, skin, tiling, tiling.layers or (), segments=segments, names=names, step_m=step_m)
    if isinstance(skin, MeshSkin):
        skin.refuse_past_cuts(np.concatenate([element.vertices_m for element in elements]), "an element")
    pairs = _neighbours(request, tiling)
    distances = skin.distances_m(
        tiling.feet, np.array(pairs, dtype=np.int64).reshape(-1, 2), stand_off_m=request.stand_off_m
    )
    left = None if drawing is None else coupling_left(drawing, tiling, pairs)
    if searched and left is not None:
        overlaps = _overlaps(tiling, pairs, distances)[~_across_seam(tiling, pairs)]
        progress.note(_found_note(names, overlaps, left.without(tiling.seam_pairs)))
    return Laid(
        elements=elements,
        pairs=pairs,
        distances_m=distances,
        coupling_left=left,
        notes=_notes(request, skin, tiling, elements, pairs, distances, left, step_m),
        drawn=_drawn(skin, tiling, request.stand_off_m + step_m * np.array(tiling.layers)),
    )


def _drawn(skin: Skin, tiling: Tiling, levels_m: Real) -> Drawn:
    return Drawn(skin=skin, feet=tiling.feet, stand_offs_m=levels_m, middle=tiling.middle, centres_m=tiling.centres_m)


def _neighbours(request: TilingRequest, tiling: Tiling) -> Pairs:
    """Pairs that are told: the nearest ring, or those that a search looked at, and those in a row or across a seam."""
    feet = tiling.feet
    near = tiling.pairs or nearest_ring(feet.points_m + request.stand_off_m * feet.normal)
    return tuple(sorted({*near, *tiling.row_pairs, *tiling.seam_pairs}))


def _searched(drawing: Drawing | None, near: Layout | None, progress: Progress) -> tuple[Drawing, Tiling]:
    """The tiling of least coupling, on layers as far apart as its own segments need."""
    if drawing is None:
        raise OutsideModelError("a search for zero coupling has to be told how elements couple: pass `coupling`.")
    tiling = _found(drawing, None if near is None else _as_tiling(near, drawing), progress)
    for _ in range(ROUNDS):
        needed_m = layer_step_m(drawing.skin, drawing.request, tiling.feet, tiling.sizes_m, segments=drawing.segments)
        if needed_m <= drawing.layer_step_m + _IDLE_STEP_M:
            break
        drawing = replace(drawing, layer_step_m=needed_m)
        tiling = _found(drawing, tiling, progress)
    return drawing, tiling


def _found(drawing: Drawing, near: Tiling | None, progress: Progress) -> Tiling:
    """What one search finds, on a closed surface from a tiling near it where there is one."""
    skin, request = drawing.skin, drawing.request
    if drawing.ground is not None:
        tiling = decoupled_cover(drawing, progress=progress) if near is None else again_from(drawing, near)
        return replace(tiling, notes=described_cover(drawing, tiling))
    return decoupled_lattice(drawing, lattice_on(skin, request, segments=drawing.segments))


def _as_tiling(layout: Layout, drawing: Drawing) -> Tiling | None:
    """Feet, sizes and layers of a layout on a surface covered without rows; None on another."""
    if drawing.ground is None:
        return None
    return Tiling(
        feet=drawing.ground.under(layout.elements),
        sizes_m=np.array([element.size_m for element in layout.elements]),
        layers=tuple(element.layer for element in layout.elements),
        notes=(),
    )


def _elements(
    request: TilingRequest,
    skin: Skin,
    tiling: Tiling,
    layers: tuple[int, ...],
    *,
    segments: int,
    names: tuple[str, ...],
    step_m: float,
) -> tuple[Element, ...]:
    feet = tiling.feet
    vertices = drawn_m(skin, request, feet, tiling.sizes_m, layers, segments=segments, layer_step_m=step_m)
    stand_off = request.stand_off_m + step_m * np.array(layers)
    centres = feet.points_m + stand_off[:, None] * feet.normal
    return tuple(
        Element(
            name=names[k],
            shape=request.shape,
            size_m=float(tiling.sizes_m[k]),
            centre_m=as_triple(centres[k]),
            normal=as_triple(feet.normal[k]),
            vertices_m=vertices[k],
            gap_nodes=gap_nodes(segments=vertices.shape[1], gaps=request.gaps),
            layer=layers[k],
        )
        for k in range(request.count)
    )


def _notes(
    request: TilingRequest,
    skin: Skin,
    tiling: Tiling,
    elements: tuple[Element, ...],
    pairs: Pairs,
    distances_m: Real,
    left: CouplingLeft | None,
    step_m: float,
) -> tuple[str, ...]:
    """What the reader of the dossier is told, in sentences."""
    overlaps = _overlaps(tiling, pairs, distances_m)
    seam = _across_seam(tiling, pairs)
    found = [*tiling.notes, skin.wrapping, _overlap_note(overlaps[~seam]), _layer_note(request, elements, step_m)]
    if tiling.seam_pairs:
        found.append(f"Across the seam the centres are {distances_m[seam].min() * 1e3:.1f} mm apart.")
    if left is not None and request.overlap == "zero coupling":
        found.append(_left_note(left.without(tiling.seam_pairs), elements))
    if left is not None and tiling.seam_pairs:
        across = left.between(tiling.seam_pairs)
        found.append(
            f"Coupling coefficients across the seam: {min(across):+.4f} to {max(across):+.4f} ({left.includes})."
        )
    return (*found, *_end_notes(skin, elements))


def _sides_note(asked: int, taken: int) -> str:
    return (
        f"The search and all that follows take outlines of {taken} sides or more, not of {asked}: fewer would put the "
        "zero of coupling where round elements do not have it."
    )


def _overlaps(tiling: Tiling, pairs: Pairs, distances_m: Real) -> Real:
    """Centre distance over mean size of each pair (pairs,)."""
    i, j = np.array(pairs, dtype=np.int64).reshape(-1, 2).T
    return np.asarray(distances_m / ((tiling.sizes_m[i] + tiling.sizes_m[j]) / 2))


def _across_seam(tiling: Tiling, pairs: Pairs) -> NDArray[np.bool_]:
    return np.array([pair in tiling.seam_pairs for pair in pairs], dtype=bool)


def _found_note(names: tuple[str, ...], overlaps: Real, left: CouplingLeft) -> str:
    """What a search found, for those who wait for it."""
    low, high = f"{overlaps.min():.3f}", f"{overlaps.max():.3f}"
    told = low if low == high else f"{low} to {high}"
    return (
        f"zero coupling, {names[0]} to {names[-1]}: overlap {told}, largest coefficient left {left.largest:.4f}, "
        f"rms {left.rms:.4f}"
    )


def _left_note(left: CouplingLeft, elements: tuple[Element, ...]) -> str:
    worst = int(np.argmax(np.abs(left.coefficients)))
    i, j = left.pairs[worst]
    return (
        f"Coupling coefficient left between {len(left.pairs)} pairs of neighbours: rms {left.rms:.4f}, largest "
        f"{left.coefficients[worst]:+.4f} ({elements[i].name} and {elements[j].name}). It holds "
        f"{left.includes}."
    )


def _overlap_note(overlaps: Real) -> str:
    if len(overlaps) == 0:
        return "A single element has no neighbours."
    return (
        f"Centre distance over size between {len(overlaps)} pairs of neighbours, along the surface: "
        f"{overlaps.min():.3f} to {overlaps.max():.3f}, mean {overlaps.mean():.3f}."
    )


def _layer_note(request: TilingRequest, elements: tuple[Element, ...], step_m: float) -> str:
    highest = max(element.layer for element in elements)
    if highest == 0:
        return f"No conductors cross; all stand {request.stand_off_m * 1e3:.2f} mm off the skin."
    top = request.stand_off_m + highest * step_m
    apart = request.crossing_separation_m
    sag = f" and {(step_m - apart) * 1e3:.2f} mm for the sag of straight segments" if step_m > apart + 5e-6 else ""
    return (
        f"Conductors cross, so elements stand on {highest + 1} layers, {request.stand_off_m * 1e3:.2f} to "
        f"{top * 1e3:.2f} mm off the skin at their nodes; the stand-off asked for is that of layer 0. Layers are apart "
        f"by the crossing separation of {apart * 1e3:.2f} mm{sag}."
    )


def _end_notes(skin: Skin, elements: tuple[Element, ...]) -> tuple[str, ...]:
    """A caution where elements reach past the cut ends of a column."""
    if not isinstance(skin, ColumnSkin):
        return ()
    past = sum(np.abs(element.vertices_m[:, 2]).max() > skin.height_m / 2 for element in elements)
    if not past:
        return ()
    return (f"{past} elements reach past the cut ends of the body, where there is nothing to load them.",)
