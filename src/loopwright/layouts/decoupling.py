"""Tilings whose neighbours have no mutual inductance, or as little as the surface leaves.

A search makes the sum of the squared coupling coefficients of neighbours small. Rows and columns are free in the
distances between them, which is done here; :mod:`loopwright.layouts.covers` covers closed surfaces.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from loopwright.brief.records import TilingRequest
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.coupling import Coupling, CouplingLeft, Pairs
from loopwright.layouts.cover_grounds import CoverGround
from loopwright.layouts.crossings import coloured, crossings_of, nearest_ring
from loopwright.layouts.curved import Feet
from loopwright.layouts.lattices import Lattice
from loopwright.layouts.outlines import outline_m, segments_that_fit
from loopwright.layouts.skins import Skin
from loopwright.layouts.tiling import Tiling

Real = NDArray[np.float64]
Integers = NDArray[np.int64]

#: Least number of sides where zero coupling is searched for: 48 put the zero of two circles within 3e-4 of a fine
#: polygon's, 24 within 3e-3, which is enough to choose among starts.
LEAST_SEGMENTS, ROUGH_SEGMENTS = 48, 24
#: Distances over size between which a lattice is searched: beyond one, neighbours do not overlap.
_LOW, _HIGH = 0.3, 0.99
#: Settling neighbours and layers again where they changed.
ROUNDS = 4
#: Step of the differences, as a share of the size.
STEP = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """What is needed to draw the outlines of a tiling on its skin, and to tell their coupling.

    ``segments`` is the number of sides that the elements have in the end, ``layer_step_m`` the distance of layers.
    ``ground`` is what a whole span covers without rows.
    """

    skin: Skin
    request: TilingRequest
    coupling: Coupling
    layer_step_m: float
    segments: int = LEAST_SEGMENTS
    first_element: int = 0
    ground: CoverGround | None = None

    def outlines_m(self, feet: Feet, sizes_m: Real, layers: tuple[int, ...], *, segments: int) -> Real:
        """Outlines on their layers, shape (elements, n, 3). [m]"""
        return drawn_m(
            self.skin, self.request, feet, sizes_m, layers, segments=segments, layer_step_m=self.layer_step_m
        )

    def layers(self, feet: Feet, sizes_m: Real, order: Integers) -> tuple[int, ...]:
        """Layers of the elements of these sizes [m], which take them in this order."""
        return drawn_layers(self.skin, self.request, feet, sizes_m, order, segments=self.segments)

    def coefficients(self, outlines_m: Real, pairs: Integers) -> Real:
        """Coupling coefficients of outlines [m]; variants of all elements may follow one another."""
        count = self.request.count
        elements = np.arange(len(outlines_m)) % count + self.first_element
        return self.coupling(tuple(outlines_m), pairs, elements=elements)


def drawn_m(
    skin: Skin,
    request: TilingRequest,
    feet: Feet,
    sizes_m: Real,
    layers: tuple[int, ...],
    *,
    segments: int,
    layer_step_m: float,
) -> Real:
    """Outlines of a tiling on their layers, shape (elements, n, 3). [m]"""
    n = segments_that_fit(request.shape, segments=segments, gaps=request.gaps)
    flat = sizes_m[:, None, None] * outline_m(request.shape, size_m=1.0, segments=n)
    stand_off = request.stand_off_m + layer_step_m * np.array(layers)
    return skin.wrapped_m(feet, flat, stand_off_m=stand_off)


def drawn_layers(
    skin: Skin, request: TilingRequest, feet: Feet, sizes_m: Real, order: Integers, *, segments: int
) -> tuple[int, ...]:
    """Layers of the elements of a tiling of these sizes [m], which take them in this order."""
    return coloured(drawn_crossings(skin, request, feet, sizes_m, segments=segments), order=order.tolist())


def drawn_crossings(
    skin: Skin, request: TilingRequest, feet: Feet, sizes_m: Real, *, segments: int
) -> tuple[set[int], ...]:
    """For each element of these sizes [m] the others that must not share its layer, judged on the solved outlines.

    Chords leave the true curves by their sag, so that two which come closer than the separation and a sag may cross
    with other segments: they are parted as well.
    """
    judged = max(segments, ROUGH_SEGMENTS)
    flat = drawn_m(skin, request, feet, sizes_m, (0,) * len(sizes_m), segments=judged, layer_step_m=0.0)
    sag_m = chord_sag_m(skin, request, feet, sizes_m, segments=judged)
    return crossings_of(flat, separation_m=request.crossing_separation_m + sag_m)


def chord_sag_m(skin: Skin, request: TilingRequest, feet: Feet, sizes_m: Real, *, segments: int) -> float:
    """How far the middles of straight segments leave the surface at the stand-off, at most. [m]"""
    n = segments_that_fit(request.shape, segments=segments, gaps=request.gaps)
    unit = outline_m(request.shape, size_m=1.0, segments=n)
    middles = (unit + np.roll(unit, -1, axis=0)) / 2
    stand_off = np.full(len(sizes_m), request.stand_off_m)
    nodes, curved = (
        skin.wrapped_m(feet, sizes_m[:, None, None] * flat, stand_off_m=stand_off) for flat in (unit, middles)
    )
    straight = (nodes + np.roll(nodes, -1, axis=1)) / 2
    return float(np.linalg.norm(curved - straight, axis=2).max())


def layer_step_m(skin: Skin, request: TilingRequest, feet: Feet, sizes_m: Real, *, segments: int) -> float:
    """Distance of layers at which segments of one, sagging, clear those below by the separation; sizes in [m]. [m]"""
    return request.crossing_separation_m + chord_sag_m(skin, request, feet, sizes_m, segments=segments)


def decoupled_lattice(drawing: Drawing, lattice: Lattice) -> Tiling:
    """Rows and columns at the distances that leave the least coupling between neighbours.

    Raises
    ------
    OutsideModelError
        If the search ends at a bound: where elements no longer overlap, or lie all but on each other.
    """
    unknowns = lattice.start
    tiling = lattice.tiling(unknowns)
    order = np.arange(len(tiling.sizes_m))
    pairs, layers = _ring(drawing, tiling.feet), drawing.layers(tiling.feet, tiling.sizes_m, order)
    for _ in range(ROUNDS):
        unknowns = _lattice_unknowns(drawing, lattice, unknowns, pairs, layers)
        tiling = lattice.tiling(unknowns)
        before = pairs, layers
        pairs, layers = _ring(drawing, tiling.feet), drawing.layers(tiling.feet, tiling.sizes_m, order)
        if (pairs, layers) == before:
            break
    told = unknowns if lattice.rows > 1 else unknowns[:1]
    ratios = ", ".join(f"{unknown:.4f}" for unknown in told)
    return replace(
        tiling,
        layers=layers,
        notes=(
            *tiling.notes,
            f"Distances over size, found by a search for zero coupling (in rows, then between rows): {ratios}.",
        ),
    )


def _lattice_unknowns(drawing: Drawing, lattice: Lattice, start: Real, pairs: Pairs, layers: tuple[int, ...]) -> Real:
    chosen = np.array(pairs, dtype=np.int64).reshape(-1, 2)

    def coefficients(unknowns: Real) -> Real:
        tiling = lattice.tiling(unknowns)
        outlines = drawing.outlines_m(tiling.feet, tiling.sizes_m, layers, segments=drawing.segments)
        return drawing.coefficients(outlines, chosen)

    if len(chosen) == 0:
        raise OutsideModelError("a single element has no neighbour, so zero coupling fixes nothing. Give an overlap.")
    found = least_squares(coefficients, start, bounds=(_LOW, _HIGH), diff_step=STEP, xtol=1e-7, ftol=1e-8)
    if np.any(found.x < _LOW + 1e-3):
        raise OutsideModelError(
            f"the search for zero coupling runs to elements less than {_LOW:g} of their size apart. Choose another "
            "pattern, more columns or fewer rows, or give an overlap."
        )
    if np.any(found.x > _HIGH - 1e-3):
        raise OutsideModelError(
            "the search for zero coupling runs to elements that no longer overlap. Choose another pattern, fewer or "
            "more columns, or give an overlap."
        )
    return np.asarray(found.x)


def _ring(drawing: Drawing, feet: Feet) -> Pairs:
    return nearest_ring(feet.points_m + drawing.request.stand_off_m * feet.normal)


def coupling_left(drawing: Drawing, tiling: Tiling, pairs: Pairs) -> CouplingLeft:
    """Coefficients of pairs of a tiling, for the very outlines that its elements have."""
    assert tiling.layers is not None  # noqa: S101 - settled by the caller
    outlines = drawing.outlines_m(tiling.feet, tiling.sizes_m, tiling.layers, segments=drawing.segments)
    chosen = np.array(pairs, dtype=np.int64).reshape(-1, 2)
    return CouplingLeft(
        pairs=pairs,
        coefficients=tuple(drawing.coefficients(outlines, chosen).tolist()),
        includes=drawing.coupling.includes,
    )
