"""The film under a tiling: its pattern from what the brief asks, and the skin on which its elements lie."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Solid
from loopwright.brief.records import FilmCarrierRequest, TilingRequest
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.surface import Surface
from loopwright.layouts.films.coverable import covered_surface, placement_towards
from loopwright.layouts.films.developable import FilmSkin
from loopwright.layouts.films.laid import FilmPlacement, film_laid
from loopwright.layouts.films.pattern import FlatElement, flat_element, pattern_of
from loopwright.layouts.grounds import Triangulated
from loopwright.layouts.layout import Element, Layout
from loopwright.layouts.outlines import outline_m
from loopwright.layouts.skins import FlatSkin
from loopwright.layouts.tilings import lattice_on

__all__ = ["drawn_flat", "film_under", "refuse_past_cuts"]

Real = NDArray[np.float64]

#: Sides of the outlines that bound the film while it is laid, and spacing of the nodes that are not needed yet. [m]
_SIDES, _SPACING_M = 48, 0.02


def film_under(request: TilingRequest, carrier: FilmCarrierRequest, solid: Solid) -> FilmSkin:
    """The taut film on which a patch lies, its origin under the patch's middle.

    Parameters
    ----------
    request : TilingRequest
        A patch; where zero coupling is asked for, the film is that of the distances from which the search starts.
    carrier : FilmCarrierRequest
        The film.
    solid : Solid
        The body.

    Raises
    ------
    OutsideModelError
        If no such film lies on this body.
    """
    placement = placement_towards(solid, request.facing, turned_rad=carrier.turned_rad)
    return _film_under(request, carrier, covered_surface(solid), tuple(placement.point_m), tuple(placement.outwards))


@lru_cache(maxsize=8)
def _film_under(
    request: TilingRequest,
    carrier: FilmCarrierRequest,
    surface: Surface,
    point_m: tuple[float, ...],
    outwards: tuple[float, ...],
) -> FilmSkin:
    """Kept, for one run lays an array on the same body many times, and the search takes seconds."""
    table = FlatSkin(middle_m=(0.0, 0.0, 0.0), normal=(0.0, 0.0, 1.0))
    flat = request.model_copy(update={"facing": (0.0, 0.0, 1.0)})
    lattice = lattice_on(table, flat, segments=_SIDES)
    tiling = lattice.tiling(lattice.start)
    assert tiling.centres_m is not None  # noqa: S101 - a patch has them
    elements = [
        flat_element(f"E{k:02d}", request.shape, size_m=float(size), centre_m=(x, y), segments=_SIDES, gaps=1)
        for k, (size, (x, y)) in enumerate(zip(tiling.sizes_m, tiling.centres_m.tolist(), strict=True), start=1)
    ]
    return film_laid(
        pattern_of(elements, margin_m=carrier.margin_m, conductor_width_m=0.0),
        surface,
        FilmPlacement(point_m=np.array(point_m), outwards=np.array(outwards), turned_rad=carrier.turned_rad),
        stand_off_m=request.stand_off_m,
        form=carrier.form,
        spacing_m=_SPACING_M,
    ).skin


def drawn_flat(layout: Layout) -> tuple[FlatElement, ...]:
    """Elements of a tiling as they were drawn; each about the origin where there is no one drawing."""
    centres = np.zeros((len(layout.elements), 2))
    if layout.drawn is not None and layout.drawn.centres_m is not None:
        centres = layout.drawn.centres_m
    return tuple(_flat(element, centre) for element, centre in zip(layout.elements, centres.tolist(), strict=True))


def _flat(element: Element, centre_m: list[float]) -> FlatElement:
    x, y = centre_m
    about = outline_m(element.shape, size_m=element.size_m, segments=len(element.vertices_m))
    return FlatElement(
        name=element.name,
        shape=element.shape,
        size_m=element.size_m,
        centre_m=(x, y),
        outline_m=about + np.asarray(centre_m),
        gap_nodes=element.gap_nodes,
        layer=element.layer,
    )


def refuse_past_cuts(elements: tuple[Element, ...], solid: Solid) -> None:
    """Refuse elements on a film that lie past a plane where the body is cut.

    Raises
    ------
    OutsideModelError
        If there are any.
    """
    match solid.skin:
        case Triangulated(lower_m=lower, upper_m=upper):
            nodes = np.concatenate([element.vertices_m for element in elements])
            low, high = solid.skin.surface.box_m
            below = np.where(np.asarray(lower) > low, lower - nodes, -np.inf)
            above = np.where(np.asarray(upper) < high, nodes - upper, -np.inf)
            past = np.maximum(below, above).max(axis=0)
            if past.max() > 0:
                axis = int(np.argmax(past))
                raise OutsideModelError(
                    f"an element would lie {past[axis] * 1e3:.0f} mm past a plane across {'xyz'[axis]} where the body "
                    "is cut. Use fewer or smaller elements, turn the film, or keep more of the body."
                )
