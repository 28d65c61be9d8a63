"""The wires that stand for an array: one along every centre-line, and filaments where strips run close to another.

On a segment that is split the current of the centre-line is shared evenly among the filaments, as on a strip alone, and
each filament carries besides a current of its own; those add up to nothing, leave no charge, and adjust themselves to
the neighbours.  They may change every two widths: there current shifts across the strip.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from loopwright.conductors import (
    FILAMENTS,
    DressedLayout,
    equivalent_radius_m,
    filament_offsets_m,
    filament_radii_m,
    filament_resistances_ohm_per_m,
    is_strip,
    outline_width_m,
    resistance_ohm_per_m,
)
from loopwright.fields.wires.closeness import conductor_distances_m, kernel_radii_m, parallel_distances_m
from loopwright.fields.wires.impedance import WireMesh
from loopwright.fields.wires.pieces import Pieces, following_vertices
from loopwright.fields.wires.strip_lines import filament_lines_m, lines_keep_their_way, surface_normals
from loopwright.layouts import Element, moved_elements

__all__ = [
    "ArrayWires",
    "array_wires",
    "close_segments",
    "mesh_wires",
    "moved_pieces",
    "piece_resistances_ohm_per_m",
    "split_segments",
]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]

#: Centre-lines in line within so many widths.  Side by side in a plane that is a clear gap of one width, where one thin
#: wire each makes the inductance of the pair 3.5 % too high; stacked at one width they make it 7 % too low.
CLOSE_WIDTHS = 2.0
#: Way along a strip, in widths, on which each filament keeps its own current: what a shift across the strip costs is
#: not in it, and over less the current would jump to and fro where it meets corners and crossings.
SHIFT_WIDTHS = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrayWires:
    """Wires of an array: its centre-lines as a mesh, and the pieces that carry their currents.

    ``split`` (segments,) says which segments are bundles, ``filament`` (pieces,) which filament each piece is, -1 for
    a segment that is one piece.
    """

    mesh: WireMesh
    pieces: Pieces
    split: Flags
    filament: Integers


def array_wires(dressed: DressedLayout, *, split: Flags) -> ArrayWires:
    """Wires that stand for an array's conductors.

    Parameters
    ----------
    dressed : DressedLayout
        Elements and their conductor.
    split : ndarray of bool, shape (segments,)
        Segments of the centre-lines to be bundles of filaments: :func:`split_segments` as a rule.

    Returns
    -------
    ArrayWires
        The wires.
    """
    mesh = mesh_wires(dressed)
    segment = np.repeat(np.arange(len(split)), np.where(split, FILAMENTS, 1))
    own = split[segment]
    filament = np.full(len(segment), -1, dtype=np.int64)
    filament[own] = np.tile(np.arange(FILAMENTS), np.count_nonzero(split))
    stretch = _stretches(mesh, split, SHIFT_WIDTHS * outline_width_m(dressed.cross_section))
    spare = np.where(own, FILAMENTS * stretch[segment] + filament, -1)
    elements = len(mesh.first_node) - 1
    single = mesh.node_conductor[segment]
    magnetic, electric = _radii_m(dressed, mesh)
    starts, ends = _places_m(dressed, dressed.layout.elements, mesh.first_node, segment, filament)
    pieces = Pieces(
        starts_m=starts,
        ends_m=ends,
        first_piece=np.searchsorted(segment, mesh.first_node).astype(np.int64),
        start_node=segment.astype(np.int64),
        end_node=mesh.next_node[segment],
        share=np.where(own, 1 / FILAMENTS, 1.0),
        spare=spare.astype(np.int64),
        conductor=np.where(own, elements + FILAMENTS * single + filament, single),
        magnetic_radius_m=magnetic,
        electric_radius_m=electric,
    )
    return ArrayWires(mesh=mesh, pieces=pieces, split=split, filament=filament)


def _stretches(mesh: WireMesh, split: Flags, least_m: float) -> Integers:
    """Number of the stretch that each split segment belongs to: as many in a row as reach a least length."""
    lengths = np.linalg.norm(mesh.steps_m, axis=1)
    found = np.full(len(split), -1, dtype=np.int64)
    number, run_m = -1, np.inf
    for segment in np.flatnonzero(split):
        joined = found[segment - 1] >= 0 and segment not in mesh.first_node
        if not joined or run_m >= least_m * (1 - 1e-9):
            number, run_m = number + 1, 0.0
        found[segment] = number
        run_m += lengths[segment]
    return found


def mesh_wires(dressed: DressedLayout) -> WireMesh:
    """String the elements' centre-lines together as one list of nodes, with the kernel radius of each pair.

    Parameters
    ----------
    dressed : DressedLayout
        Elements and their conductor.

    Returns
    -------
    WireMesh
        The wires as the method of moments sees them, were each one thin wire.
    """
    elements = dressed.layout.elements
    vertices = np.concatenate([np.asarray(element.vertices_m, dtype=np.float64) for element in elements])
    first = np.cumsum([0, *(len(element.vertices_m) for element in elements)], dtype=np.int64)
    radius = np.full(len(elements), equivalent_radius_m(dressed.cross_section))
    steps = following_vertices(vertices, first) - vertices
    magnetic, electric = kernel_radii_m(radius, conductor_distances_m(vertices, steps, first))
    return WireMesh(vertices_m=vertices, first_node=first, magnetic_radius_m=magnetic, electric_radius_m=electric)


def split_segments(dressed: DressedLayout) -> Flags:
    """Segments that are to be bundles of filaments.

    Parameters
    ----------
    dressed : DressedLayout
        Elements and their conductor.

    Returns
    -------
    ndarray of bool, shape (segments,)
        Those of :func:`close_segments`; none where the conductor is no strip, and none of an element whose bends are
        too tight for its strip to be split.
    """
    close = close_segments(dressed).any(axis=1)
    if not is_strip(dressed.cross_section) or not close.any():
        return np.zeros_like(close)
    elements = dressed.layout.elements
    able = [lines_keep_their_way(np.asarray(e.vertices_m), _filaments_m(dressed, e)) for e in elements]
    return close & np.repeat(able, [len(element.vertices_m) for element in elements])


def close_segments(dressed: DressedLayout) -> Flags:
    """Which segments run beside or over another element, in line with it and nearer than two widths.

    Parameters
    ----------
    dressed : DressedLayout
        Elements and their conductor.

    Returns
    -------
    ndarray of bool, shape (segments, elements)
        In line means within 25 degrees; distances are those of centre-lines.
    """
    mesh = mesh_wires(dressed)
    distance_m = parallel_distances_m(mesh.vertices_m, mesh.steps_m, mesh.first_node)
    return np.asarray(distance_m < CLOSE_WIDTHS * outline_width_m(dressed.cross_section))


def piece_resistances_ohm_per_m(dressed: DressedLayout, wires: ArrayWires, frequency_hz: float) -> Floats:
    """Resistance per metre of every piece, shape (pieces,), at a frequency [Hz]. [ohm/m]"""
    section = dressed.cross_section
    found = np.full(len(wires.filament), resistance_ohm_per_m(section, frequency_hz))
    if wires.split.any() and is_strip(section):
        own = wires.filament >= 0
        found[own] = filament_resistances_ohm_per_m(section, frequency_hz)[wires.filament[own]]
    return found


def moved_pieces(dressed: DressedLayout, wires: ArrayWires, displacement_m: Floats) -> Pieces:
    """Pieces of an array's wires after its centre-lines moved a little.

    Parameters
    ----------
    dressed : DressedLayout
        Elements before.
    wires : ArrayWires
        Their wires.
    displacement_m : ndarray, shape (corners, 3)
        Way of every corner of every element, in their order. [m]

    Returns
    -------
    Pieces
        The same pieces elsewhere, with the radii that they had; filaments stay at their places across the strip.
    """
    elements = moved_elements(dressed.layout.elements, displacement_m)
    starts, ends = _places_m(dressed, elements, wires.mesh.first_node, wires.pieces.start_node, wires.filament)
    return replace(wires.pieces, starts_m=starts, ends_m=ends)


def _places_m(
    dressed: DressedLayout, elements: Sequence[Element], first: Integers, segment: Integers, filament: Integers
) -> tuple[Floats, Floats]:
    """Where pieces start and end, both (pieces, 3). [m]"""
    centre = np.concatenate([np.asarray(element.vertices_m, dtype=np.float64) for element in elements])
    lines = np.repeat(centre[None], FILAMENTS + 1, axis=0)  # the last one is the centre-line, found by -1
    for number, (start, stop) in enumerate(pairwise(first)):
        if np.any(filament[(segment >= start) & (segment < stop)] >= 0):
            lines[:-1, start:stop] = _filaments_m(dressed, elements[number])
    after = np.stack([following_vertices(line, first) for line in lines])
    return lines[filament, segment], after[filament, segment]


def _filaments_m(dressed: DressedLayout, element: Element) -> Floats:
    """Filaments of an element's strip, shape (filaments, corners, 3). [m]"""
    offsets = filament_offsets_m(outline_width_m(dressed.cross_section))
    return filament_lines_m(np.asarray(element.vertices_m, dtype=np.float64), surface_normals(element), offsets)


def _radii_m(dressed: DressedLayout, mesh: WireMesh) -> tuple[Floats, Floats]:
    """Kernel radii between elements' single pieces and all their filaments: elements first, then eight of each.

    As for whole conductors: none between elements in the magnetic part, the larger in the electric part where they come
    close.  Within an element a filament takes its own radius along itself, none to the others, which are six radii
    away, and that of the whole strip to segments that are not split.
    """
    elements = len(mesh.first_node) - 1
    filaments = filament_radii_m(outline_width_m(dressed.cross_section))
    radius = np.concatenate([np.diag(mesh.magnetic_radius_m), np.tile(filaments, elements)])
    owner = np.concatenate([np.arange(elements), np.repeat(np.arange(elements), FILAMENTS)])
    larger = np.maximum(radius[:, None], radius)
    same = owner[:, None] == owner
    single = np.arange(len(owner)) < elements
    joined = same & (single[:, None] | single)
    magnetic = np.where(joined, larger, 0.0)
    np.fill_diagonal(magnetic, radius)
    close = (mesh.electric_radius_m > 0)[owner[:, None], owner]
    return magnetic, np.where(same, magnetic, np.where(close, larger, 0.0))
