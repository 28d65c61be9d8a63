"""A film laid on a body: where its rulings run best, and how far it stays off the skin."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.surface import Surface
from loopwright.layouts.curved import Feet, frames
from loopwright.layouts.films.developable import FilmSkin
from loopwright.layouts.films.gaps import FilmGaps, film_gaps
from loopwright.layouts.films.grids import FilmGrid, film_grid
from loopwright.layouts.films.hull import Rulings, taut_over
from loopwright.layouts.films.pattern import FilmPattern
from loopwright.layouts.films.strains import FilmStrain, film_strain
from loopwright.layouts.nearness import distances_to_m
from loopwright.layouts.skins import Skin

__all__ = [
    "FilmForm",
    "FilmPlacement",
    "LaidFilm",
    "film_laid",
    "film_laid_strain",
    "film_notes",
]

Real = NDArray[np.float64]
FilmForm = Literal["cylinder", "cone"]

#: Rulings tried before the best are refined: their directions round the normal, and how many are refined.
_DIRECTIONS, _REFINED = 12, 2
#: Steps of the first simplex: turn and tilt of the rulings [rad], narrowing over the film's reach.
_FIRST_STEP = np.array([0.13, 0.10, 0.15])
_MOST_TRIALS = 70
#: Size of the triangles on which strain is measured, over those of the grid.
_SMALL = 0.01
#: Nodes of a trial from the film's origin to its furthest corner.
_NODES_OVER_REACH = 8
#: A film's height range is widened by this share of it, for a cone's edges dip below their flat heights.
_WIDER = 0.1
#: What a hull that cannot be is worth in the search. [m]
_IMPOSSIBLE_M = 10.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FilmPlacement:
    """Where a film goes: the point of the body (3,) [m] under its origin, and its axes.

    ``outwards`` (3,) looks away from the body there; ``turned_rad`` turns the pattern's axes against the clock, seen
    from outside, from where its second axis points headwards as far as it can. [rad]
    """

    point_m: Real
    outwards: Real
    turned_rad: float = 0.0

    @property
    def frame(self) -> tuple[Real, Real, Real]:
        """Unit vectors along, across, headwards as far as it can be, and outwards, before the pattern is turned."""
        normal = self.outwards / np.linalg.norm(self.outwards)
        along, across = frames(normal[None])
        return along[0], across[0], normal


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaidFilm:
    """A film on a body: its hull, the foot of its origin, its gaps, its strain, and what limits the model."""

    skin: FilmSkin
    rulings: Rulings
    foot: Feet
    stand_off_m: float
    gaps: FilmGaps
    strain: FilmStrain
    notes: tuple[str, ...]


def film_laid(
    pattern: FilmPattern,
    surface: Surface,
    placement: FilmPlacement,
    *,
    stand_off_m: float,
    form: FilmForm = "cone",
    spacing_m: float = 0.01,
) -> LaidFilm:
    """Lay a film that bends but does not stretch on a body, with its rulings where it comes closest.

    Parameters
    ----------
    pattern : FilmPattern
        What is printed.
    surface : Surface
        The body.
    placement : FilmPlacement
        Where it goes.
    stand_off_m : float
        From the underside of the stack to the centre-line of the conductor, where lengths hold. [m]
    form : "cylinder" or "cone"
        Whether rulings are parallel, or may meet in a tip.
    spacing_m : float
        Of the nodes at which gaps and strains are told. [m]

    Returns
    -------
    LaidFilm

    Raises
    ------
    OutsideModelError
        If no hull takes the film.

    Notes
    -----
    The film is taut.  The least root mean square of the gap over its area decides on the rulings: twelve directions
    first, the two best refined by the simplex method together with their tilt and, for a cone, the place of its tip.
    """
    search = _Search(pattern=pattern, surface=surface, placement=placement, stand_off_m=stand_off_m)
    rulings = search.rulings(search.best(2 if form == "cylinder" else 3))
    skin, foot = search.skin(rulings)
    return LaidFilm(
        skin=replace(skin, origin=foot),
        rulings=rulings,
        foot=foot,
        stand_off_m=stand_off_m,
        gaps=film_gaps(pattern, surface, skin, foot, stand_off_m=stand_off_m, spacing_m=spacing_m),
        strain=film_laid_strain(pattern, skin, foot, stand_off_m=stand_off_m, spacing_m=spacing_m),
        notes=film_notes(skin),
    )


def film_laid_strain(
    pattern: FilmPattern, skin: Skin, foot: Feet, *, stand_off_m: float, spacing_m: float
) -> FilmStrain:
    """Strain of a film whose origin is laid on one foot of a skin; lengths [m] and the rest as of `film_laid`.

    Notes
    -----
    About the middle of every triangle, from small copies: chords of a bent film are shorter than its arcs.
    """
    grid = film_grid(pattern.outline_m, spacing_m=spacing_m)
    corners = grid.nodes_m[grid.triangles]
    middle = corners.mean(axis=1, keepdims=True)
    small = (middle + _SMALL * (corners - middle)).reshape(-1, 2)
    places = skin.walked(foot, small, stand_off_m=stand_off_m)
    copies = FilmGrid(nodes_m=small, triangles=np.arange(len(small)).reshape(-1, 3))
    found = film_strain(copies, places.points_m + stand_off_m * places.normal)
    return FilmStrain(grid=grid, principal=found.principal)


@dataclass(frozen=True, kw_only=True, eq=False)
class _Search:
    """One film on one body; unknowns: turn and tilt of the rulings [rad], and their narrowing over the film's reach."""

    pattern: FilmPattern
    surface: Surface
    placement: FilmPlacement
    stand_off_m: float

    @cached_property
    def grid(self) -> FilmGrid:
        """Nodes coarse enough for many trials."""
        return film_grid(self.pattern.outline_m, spacing_m=self.reach_m / _NODES_OVER_REACH)

    @property
    def reach_m(self) -> float:
        return float(np.linalg.norm(self.pattern.outline_m, axis=1).max())

    def best(self, unknowns: int) -> Real:
        """Unknowns of the least rms gap."""
        turns = [np.array([np.pi * k / _DIRECTIONS, 0.0, 0.0]) for k in range(_DIRECTIONS)]
        starts = sorted(turns, key=self.rms_gap_m)[:_REFINED]
        found = [self._refined(start, unknowns) for start in starts]
        best = min([*found, *starts], key=self.rms_gap_m)
        if self.rms_gap_m(best) >= _IMPOSSIBLE_M:
            raise OutsideModelError("no cylinder or cone over the body takes this film where it is placed.")
        return best

    def _refined(self, start: Real, unknowns: int) -> Real:
        simplex = np.concatenate([start[None, :unknowns], start[:unknowns] + np.diag(_FIRST_STEP[:unknowns])])

        def full(part: Real) -> Real:
            return np.concatenate([part, start[unknowns:]])

        found = minimize(
            lambda part: self.rms_gap_m(full(part)),
            start[:unknowns],
            method="Nelder-Mead",
            options={"initial_simplex": simplex, "maxfev": _MOST_TRIALS, "xatol": 1e-3, "fatol": 1e-6},
        )
        return full(found.x)

    def rms_gap_m(self, unknowns: Real) -> float:
        try:
            gap = self.gaps_m(*self.skin(self.rulings(unknowns)), self.grid.nodes_m)
        except OutsideModelError:
            return _IMPOSSIBLE_M
        return float(np.sqrt(np.average(gap**2, weights=self.grid.node_areas_m2)))

    def rulings(self, unknowns: Real) -> Rulings:
        turn, tilt, narrowing = unknowns
        along, across, normal = self.placement.frame
        upwards = np.cos(tilt) * (np.cos(turn) * across - np.sin(turn) * along) + np.sin(tilt) * normal
        return Rulings(
            through_m=self.placement.point_m, upwards=upwards, narrowing_per_m=float(narrowing) / self.reach_m
        )

    def skin(self, rulings: Rulings) -> tuple[FilmSkin, Feet]:
        """Hull with these rulings, and the foot of the film's origin on it."""
        skin = taut_over(self.surface, rulings, reach_m=self._heights_m(rulings))
        return skin, skin.foot_over(self.placement.point_m, turned_rad=self.placement.turned_rad)

    def gaps_m(self, skin: FilmSkin, foot: Feet, flat_m: Real) -> Real:
        """Gaps under places (n, 2) of the flat film. [m]"""
        return distances_to_m(skin.walked(foot, flat_m, stand_off_m=self.stand_off_m).points_m, self.surface)

    def _heights_m(self, rulings: Rulings) -> tuple[float, float]:
        """From where to where the flat film reaches along the rulings."""
        along, across, _ = self.placement.frame
        cos, sin = np.cos(self.placement.turned_rad), np.sin(self.placement.turned_rad)
        axes = np.stack([cos * along + sin * across, cos * across - sin * along])
        heights = self.pattern.outline_m @ (axes @ rulings.upwards)
        more = _WIDER * np.ptp(heights)
        return float(heights.min() - more), float(heights.max() + more)


def film_notes(skin: FilmSkin) -> tuple[str, ...]:
    """How a film comes to lie, and what is left out, in sentences."""
    taut = (
        "The film is taut and touches the body at its highest places; foam and skin do not give way, and the film's "
        "weight and stiffness are left out."
    )
    hull = (
        "Its profile is the convex hull of the body once round within the film's reach, so a hollow at which the film "
        "ends is bridged as if it went on."
    )
    return skin.wrapping, taut, hull
