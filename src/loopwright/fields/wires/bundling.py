"""The wires that stand for an array: one for each element, or a bundle of filaments where strips come close."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.conductors import (
    DressedLayout,
    RoundWire,
    equivalent_radius_m,
    filament_offsets_m,
    filament_radii_m,
    filament_resistances_ohm_per_m,
    outline_width_m,
    resistance_ohm_per_m,
)
from loopwright.fields.wires.closeness import (
    conductor_distances_m,
    kernel_radii_m,
    parallel_run_distances_m,
    parallel_run_lengths_m,
)
from loopwright.fields.wires.impedance import WireMesh
from loopwright.fields.wires.kernel_numba import following_vertices
from loopwright.fields.wires.strip_lines import filament_lines_m, lines_keep_their_way, surface_normals
from loopwright.layouts import Element, moved_elements

__all__ = [
    "ArrayWires",
    "array_wires",
    "bundled_elements",
    "centre_lines",
    "close_runs",
    "mesh_wires",
    "moved_wires_m",
    "wire_resistances_ohm_per_m",
]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Centre-lines in line within so many widths make bundles at once: stacked at one width, one thin wire each makes the
#: inductance between the two 7 % too low, at half a width 28 %.
BUNDLED_WITHIN_WIDTHS = 1.0
#: Within so many, a clear gap of one width in a plane, where single wires make it 3.5 % too high, they do so over a run
#: of so many: over less, the coupling of 80 mm loops of 5 mm strip is wrong by 0.002 at most.
BUNDLED_BESIDE_WIDTHS, LEAST_RUN_WIDTHS = 2.0, 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrayWires:
    """Wires of an array: a mesh of conductors, and which element and which filament of its strip each one is.

    Conductors of an element follow one another; ``filament`` is -1 for an element that is a single wire.
    """

    mesh: WireMesh
    conductor_element: Integers
    filament: Integers

    @property
    def node_element(self) -> Integers:
        """Element that every node belongs to, shape (nodes,)."""
        return np.asarray(self.conductor_element[self.mesh.node_conductor])

    @property
    def first_conductor(self) -> Integers:
        """First conductor of every element, shape (elements,)."""
        return np.flatnonzero(np.diff(self.conductor_element, prepend=-1))

    def gap_nodes(self, element: int, gap_node: int) -> Integers:
        """Nodes at which a gap cuts the wires of an element, one on each."""
        return np.asarray(self.mesh.first_node[:-1][self.conductor_element == element] + gap_node)


def array_wires(dressed: DressedLayout, *, bundled: Sequence[int]) -> ArrayWires:
    """Wires that stand for an array's conductors.

    Parameters
    ----------
    dressed : DressedLayout
        Elements and their conductor.
    bundled : sequence of int
        Elements to be bundles of filaments, :func:`bundled_elements` as a rule; the others are one wire each.

    Returns
    -------
    ArrayWires
        The wires.

    Notes
    -----
    The filaments of a strip meet at its gaps only: between gaps no current passes from one to the next.
    """
    lines = [
        _filaments_m(dressed, element) if number in bundled else np.array([element.vertices_m])
        for number, element in enumerate(dressed.layout.elements)
    ]
    counts = [len(line) for line in lines]
    corners = [corner for line in lines for corner in line]
    filament = [i if count > 1 else -1 for count in counts for i in range(count)]
    wires = ArrayWires(
        mesh=_bare_mesh(corners),
        conductor_element=np.repeat(np.arange(len(lines)), counts).astype(np.int64),
        filament=np.array(filament, dtype=np.int64),
    )
    return replace(wires, mesh=_with_radii(dressed, wires))


def mesh_wires(dressed: DressedLayout) -> WireMesh:
    """String the elements' wires together as one list of nodes, with the kernel radius of each pair.

    Parameters
    ----------
    dressed : DressedLayout
        Elements and their conductor.

    Returns
    -------
    WireMesh
        The wires as the method of moments sees them.
    """
    return array_wires(dressed, bundled=bundled_elements(dressed)).mesh


def bundled_elements(dressed: DressedLayout) -> tuple[int, ...]:
    """Elements whose strip runs beside or over another's, closer than one width or so.

    Parameters
    ----------
    dressed : DressedLayout
        Elements and their conductor.

    Returns
    -------
    tuple of int
        Their numbers; none where the conductor is round, or where a strip is too wide for its bends to be split.

    Notes
    -----
    In line, within 25 degrees: centre-lines within one width of each other anywhere, or within two widths (a clear gap
    of one width between strips in a plane) over a length of four.
    """
    section = dressed.cross_section
    if isinstance(section, RoundWire):
        return ()
    mesh = centre_lines(dressed)
    close = np.any(close_runs(mesh, section.width_m), axis=1)
    return tuple(int(number) for number in np.flatnonzero(close) if _can_be_split(dressed, int(number)))


def close_runs(mesh: WireMesh, width_m: float) -> NDArray[np.bool_]:
    """Which pairs of centre-lines run so close, for conductors of a width [m], that one thin wire each will not do."""
    lines = (mesh.vertices_m, mesh.steps_m, mesh.first_node)
    run_m = parallel_run_lengths_m(*lines, within_m=BUNDLED_BESIDE_WIDTHS * width_m)
    near = parallel_run_distances_m(*lines) < BUNDLED_WITHIN_WIDTHS * width_m
    return near | (np.maximum(run_m, run_m.T) >= LEAST_RUN_WIDTHS * width_m)


def wire_resistances_ohm_per_m(dressed: DressedLayout, wires: ArrayWires, frequency_hz: float) -> Floats:
    """Resistance per metre of every wire, shape (conductors,), at a frequency [Hz]. [ohm/m]"""
    section = dressed.cross_section
    found = np.full(len(wires.filament), resistance_ohm_per_m(section, frequency_hz))
    if not isinstance(section, RoundWire):
        split = wires.filament >= 0
        found[split] = filament_resistances_ohm_per_m(section, frequency_hz)[wires.filament[split]]
    return found


def moved_wires_m(dressed: DressedLayout, wires: ArrayWires, displacement_m: Floats) -> Floats:
    """Corners of an array's wires after its centre-lines moved a little.

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
    ndarray, shape (nodes, 3)
        Corners of the wires; filaments stay at their places across the strip. [m]
    """
    split = np.unique(wires.conductor_element[wires.filament >= 0])
    elements = moved_elements(dressed.layout.elements, displacement_m)
    lines = [
        _filaments_m(dressed, element).reshape(-1, 3) if number in split else np.asarray(element.vertices_m)
        for number, element in enumerate(elements)
    ]
    return np.concatenate(lines)


def _filaments_m(dressed: DressedLayout, element: Element) -> Floats:
    """Filaments of an element's strip, shape (filaments, corners, 3). [m]"""
    offsets = filament_offsets_m(outline_width_m(dressed.cross_section))
    return filament_lines_m(np.asarray(element.vertices_m, dtype=np.float64), surface_normals(element), offsets)


def _can_be_split(dressed: DressedLayout, number: int) -> bool:
    element = dressed.layout.elements[number]
    return lines_keep_their_way(np.asarray(element.vertices_m), _filaments_m(dressed, element))


def centre_lines(dressed: DressedLayout) -> WireMesh:
    """Centre-lines of all elements, without radius."""
    return _bare_mesh([np.asarray(element.vertices_m, dtype=np.float64) for element in dressed.layout.elements])


def _bare_mesh(corners_m: Sequence[Floats]) -> WireMesh:
    """Wires without radius."""
    nothing = np.zeros((len(corners_m),) * 2)
    return WireMesh(
        vertices_m=np.concatenate(corners_m),
        first_node=np.cumsum([0, *map(len, corners_m)], dtype=np.int64),
        magnetic_radius_m=nothing,
        electric_radius_m=nothing,
    )


def _with_radii(dressed: DressedLayout, wires: ArrayWires) -> WireMesh:
    """Give every pair of wires its kernel radius; filaments of one strip are six radii apart and take none."""
    section, mesh = dressed.cross_section, wires.mesh
    radius_m = np.full(len(wires.filament), equivalent_radius_m(section))
    if not isinstance(section, RoundWire):
        split = wires.filament >= 0
        radius_m[split] = filament_radii_m(section.width_m)[wires.filament[split]]
    steps_m = following_vertices(mesh.vertices_m, mesh.first_node) - mesh.vertices_m
    magnetic, electric = kernel_radii_m(radius_m, conductor_distances_m(mesh.vertices_m, steps_m, mesh.first_node))
    return replace(mesh, magnetic_radius_m=magnetic, electric_radius_m=electric)
