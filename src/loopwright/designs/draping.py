"""How an array lies on the body that wears it: gaps, strain, slits, and elements bent against the same ones flat."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Solid
from loopwright.brief.records import ArrayRequest, ConductorRequest, FilmCarrierRequest, StretchingCarrierRequest
from loopwright.conductors import cross_section_of, equivalent_radius_m, outline_width_m, worn_stack
from loopwright.designs.cutting import Cuts, gores_of, skin_under, slits_of
from loopwright.fields import BendingShift, bending_shift
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import (
    Coupling,
    Drawn,
    FilmGaps,
    FilmPattern,
    FilmSkin,
    FilmStack,
    FilmStrain,
    Layout,
    NeighbourBend,
    StackLayer,
    covered_surface,
    drawn_flat,
    elements_laid_flat,
    film_gaps,
    film_laid_strain,
    film_notes,
    neighbours_bent,
    outline_m,
    pattern_of,
)

__all__ = ["DrapedArray", "DrapedFilm", "draped_array"]

Real = NDArray[np.float64]

#: Spacing of the nodes at which gaps and strains are told, over the shorter side of the film; at most so far apart. [m]
_NODES_ACROSS, _FURTHEST_M = 24, 5e-3
#: Sides of the outlines along which strain is told.
_FINE = 240
#: Where the edge of a cloth, which has no margin, is drawn past the outermost conductors. [m]
_CLOTH_MARGIN_M = 2e-3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrapedFilm:
    """A film as it lies: its layers, the gap under it, its own strain, and the ways of slitting it."""

    request: FilmCarrierRequest
    stack: FilmStack
    gaps: FilmGaps
    strain: FilmStrain
    slits: Cuts
    gores: Cuts
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrapedArray:
    """An array as it lies on its body.

    Attributes
    ----------
    carrier : FilmCarrierRequest or StretchingCarrierRequest
        What carries it.
    film : DrapedFilm or None
        Where that is a film.
    pattern : FilmPattern or None
        The flat drawing, marked where the gap is widest; None for a whole span, which has none.
    follow : FilmStrain or None
        Strain of a sheet that follows the skin along shortest lines from the pattern's middle; None where there is no
        drawing, or the skin does not go so far.
    skin_distance_m : ndarray, shape (elements, 3)
        Least, median and largest distance of each element's line from the skin. [m]
    least_surface_m : float
        Least distance of a conductor's surface from the skin. [m]
    conductor_strain : ndarray, shape (elements, 3)
        Least, mean and greatest strain along each conductor: length as laid over that as drawn, less one.
    bends : tuple of NeighbourBend
        Neighbours as laid and as drawn; empty without one drawing.
    shift : BendingShift
        Inductance and resonance of each element alone, flat and laid.
    """

    carrier: FilmCarrierRequest | StretchingCarrierRequest
    film: DrapedFilm | None
    pattern: FilmPattern | None
    follow: FilmStrain | None
    skin_distance_m: Real
    least_surface_m: float
    conductor_strain: Real
    bends: tuple[NeighbourBend, ...]
    shift: BendingShift

    @property
    def stretch_limit(self) -> float:
        """Strain that the carrier takes."""
        if isinstance(self.carrier, FilmCarrierRequest):
            return self.carrier.compression_limit
        return self.carrier.stretch_limit

    @property
    def slit_pattern(self) -> FilmPattern | None:
        """The flat film with its slits; None where it needs or has none."""
        slits = () if self.film is None else self.film.slits.slits_m
        return replace(self.pattern, slits_m=slits) if self.pattern is not None and slits else None


def draped_array(
    request: ArrayRequest,
    conductor: ConductorRequest,
    layout: Layout,
    solid: Solid,
    *,
    coupling: Coupling,
    frequency_hz: float,
) -> DrapedArray | None:
    """Tell how an array lies on its body.

    Parameters
    ----------
    request : ArrayRequest
        What was asked for; None is returned where it names no carrier.
    conductor : ConductorRequest
        What the elements are made of.
    layout : Layout
        The array as laid.
    solid : Solid
        The body.
    coupling : Coupling
        Tells how neighbours couple without the body.
    frequency_hz : float
        At which every element is resonant when flat. [Hz]
    """
    if request.carrier is None or request.tiling is None or layout.drawn is None:
        return None
    section = cross_section_of(conductor)
    width_m = outline_width_m(section)
    flat = drawn_flat(layout)
    carrier, drawn = request.carrier, layout.drawn
    margin_m = carrier.margin_m - width_m / 2 if isinstance(carrier, FilmCarrierRequest) else _CLOTH_MARGIN_M
    whole = pattern_of(flat, margin_m=margin_m, conductor_width_m=width_m)
    pattern = None if drawn.middle is None else whole
    film = None
    if isinstance(carrier, FilmCarrierRequest) and isinstance(drawn.skin, FilmSkin):
        film = _film(carrier, conductor, whole, drawn, solid, request)
        x, y = film.gaps.grid.nodes_m[film.gaps.worst_node].tolist()
        pattern = replace(whole, marks_m={"widest gap": (x, y)})
    away = [-solid.depth_m(element.vertices_m) for element in layout.elements]
    height_m = worn_stack(conductor, towards_skin="substrate").conductor_thickness_m
    return DrapedArray(
        carrier=carrier,
        film=film,
        pattern=pattern,
        follow=None if pattern is None else _following(pattern, drawn, solid, request),
        skin_distance_m=np.array([np.quantile(ways, [0.0, 0.5, 1.0]) for ways in away]),
        least_surface_m=layout.least_skin_distance_m - height_m / 2,
        conductor_strain=_conductor_strain(layout, drawn),
        bends=() if drawn.centres_m is None else _bends(layout, drawn, whole, coupling),
        shift=bending_shift(
            elements_laid_flat(whole),
            layout.elements,
            conductor_radius_m=equivalent_radius_m(section),
            frequency_hz=frequency_hz,
        ),
    )


def _conductor_strain(layout: Layout, drawn: Drawn) -> Real:
    """Strain along conductors, from outlines of so many sides that their chords are the arcs."""
    flat = np.stack([outline_m(one.shape, size_m=one.size_m, segments=_FINE) for one in layout.elements])
    laid = drawn.skin.wrapped_m(drawn.feet, flat, stand_off_m=drawn.stand_offs_m)
    drawn_m, laid_m = (np.linalg.norm(np.roll(nodes, -1, axis=1) - nodes, axis=2) for nodes in (flat, laid))
    local = laid_m / drawn_m - 1
    return np.stack([local.min(axis=1), laid_m.sum(axis=1) / drawn_m.sum(axis=1) - 1, local.max(axis=1)], axis=1)


def _film(
    carrier: FilmCarrierRequest,
    conductor: ConductorRequest,
    pattern: FilmPattern,
    drawn: Drawn,
    solid: Solid,
    request: ArrayRequest,
) -> DrapedFilm:
    skin, foot = drawn.skin, drawn.middle
    assert isinstance(skin, FilmSkin) and foot is not None and request.tiling is not None  # noqa: S101, PT018 - a patch
    at = {"stand_off_m": request.tiling.stand_off_m, "spacing_m": _spacing_m(pattern)}
    padding = [StackLayer(name=one.name, thickness_m=one.thickness_m) for one in carrier.padding]
    return DrapedFilm(
        request=carrier,
        stack=worn_stack(conductor, towards_skin=carrier.towards_skin, padding=padding),
        gaps=film_gaps(pattern, covered_surface(solid), skin, foot, **at),
        strain=film_laid_strain(pattern, skin, foot, **at),
        slits=slits_of(carrier, pattern, solid, request),
        gores=gores_of(carrier, pattern, solid, request),
        notes=film_notes(skin),
    )


def _spacing_m(pattern: FilmPattern) -> float:
    return float(min(_FURTHEST_M, np.ptp(pattern.outline_m, axis=0).min() / _NODES_ACROSS))


def _following(pattern: FilmPattern, drawn: Drawn, solid: Solid, request: ArrayRequest) -> FilmStrain | None:
    """Strain of a sheet that follows the skin; None where the skin ends before the sheet."""
    try:
        skin, foot, stand_off_m = skin_under(request, solid)
        foot = drawn.middle if drawn.middle is not None and request.film is None else foot
        return film_laid_strain(pattern, skin, foot, stand_off_m=stand_off_m, spacing_m=_spacing_m(pattern))
    except OutsideModelError:
        return None


def _bends(layout: Layout, drawn: Drawn, pattern: FilmPattern, coupling: Coupling) -> tuple[NeighbourBend, ...]:
    assert drawn.centres_m is not None  # noqa: S101 - the caller asks first
    if not layout.neighbours:
        return ()
    return neighbours_bent(
        drawn.skin,
        drawn.feet,
        np.stack([element.outline_m - np.asarray(element.centre_m) for element in pattern.elements]),
        np.array([element.size_m for element in layout.elements]),
        np.array(layout.neighbours, dtype=np.int64),
        centres_flat_m=drawn.centres_m,
        stand_offs_m=drawn.stand_offs_m,
        coupling=coupling,
    )
