"""How a film would have to be slit to follow the skin: radially, or into parallel gores."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Solid
from loopwright.brief.records import ArrayRequest, FilmCarrierRequest
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import (
    Feet,
    FilmPattern,
    GorePlan,
    Skin,
    SlitPlan,
    elements_cut,
    fewest_gores,
    fewest_slits,
    skin_of,
    turned_foot,
    within_outline,
)

__all__ = ["Cuts", "gores_of", "skin_under", "slits_of"]

Real = NDArray[np.float64]

#: Where a film is stretched and not shortened a slit takes nothing away and opens: it is drawn as a blade cuts. [m]
_BLADE_M = 0.1e-3
#: How far past the highest conductor a carrier that follows the skin is made. [m]
_REACH_M = 5e-3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cuts:
    """A way of slitting a film so that it could follow the skin, or why there is none.

    ``plan`` is None where ``refused`` says why; ``slits_m`` are closed outlines (corners, 2) of what slits take
    from the film [m], and ``conductors`` the elements that they cut.
    """

    plan: SlitPlan | GorePlan | None
    refused: str = ""
    slits_m: tuple[Real, ...] = ()
    conductors: tuple[str, ...] = ()


def skin_under(drawn_by: ArrayRequest, solid: Solid) -> tuple[Skin, Feet, float]:
    """The body's own skin, the foot of the pattern's middle on it, and the stand-off. [m]"""
    tiling, film = drawn_by.tiling, drawn_by.film
    assert tiling is not None  # noqa: S101 - the caller has one
    skin = skin_of(solid, reach_m=tiling.stand_off_m + _REACH_M)
    foot = skin.feet_towards(np.array([tiling.facing]))
    return skin, foot if film is None else turned_foot(foot, film.turned_rad), tiling.stand_off_m


def slits_of(carrier: FilmCarrierRequest, pattern: FilmPattern, solid: Solid, request: ArrayRequest) -> Cuts:
    """Radial slits of the disc that holds all conductors."""
    nodes = np.concatenate([element.outline_m for element in pattern.elements])
    radius_m = float(np.linalg.norm(nodes, axis=1).max()) + pattern.conductor_width_m / 2

    def planned() -> SlitPlan:
        skin, foot, stand_off_m = skin_under(request, solid)
        return fewest_slits(skin, foot, radius_m=radius_m, limit=carrier.compression_limit, stand_off_m=stand_off_m)

    cuts = _tried(planned)
    slits: tuple[Real, ...] = ()
    if isinstance(cuts.plan, SlitPlan):
        opened = replace(cuts.plan, widths_m=np.maximum(cuts.plan.widths_m, _BLADE_M))
        far_m = float(np.linalg.norm(pattern.outline_m, axis=1).max())
        slits = within_outline([_drawn_out(one, far_m) for one in opened.outlines_m], pattern.outline_m)
    return replace(cuts, slits_m=slits, conductors=elements_cut(replace(pattern, slits_m=slits)))


def _drawn_out(slit_m: Real, by_m: float) -> Real:
    """A slit whose outer end is drawn outwards, past the edge of the film, for it opens nothing that it ends within."""
    middle = slit_m.mean(axis=0)
    outwards = middle / np.linalg.norm(middle)
    along = slit_m @ outwards
    end = along > along.max() - 1e-9
    return np.asarray(slit_m + by_m * end[:, None] * outwards)


def gores_of(carrier: FilmCarrierRequest, pattern: FilmPattern, solid: Solid, request: ArrayRequest) -> Cuts:
    """Parallel gores of the film."""
    reach = 2 * np.abs(pattern.outline_m).max(axis=0)

    def planned() -> GorePlan:
        skin, foot, stand_off_m = skin_under(request, solid)
        return fewest_gores(
            skin,
            foot,
            width_m=float(reach[0]),
            length_m=float(reach[1]),
            limit=carrier.compression_limit,
            stand_off_m=stand_off_m,
        )

    return _tried(planned)


def _tried(planned: Callable[[], SlitPlan | GorePlan]) -> Cuts:
    try:
        return Cuts(plan=planned())
    except OutsideModelError as error:
        return Cuts(plan=None, refused=str(error))
