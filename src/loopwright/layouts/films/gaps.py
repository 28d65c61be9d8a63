"""How far a film that is laid on a body stays off the skin, by area and along each conductor."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.surface import Surface
from loopwright.layouts.curved import Feet
from loopwright.layouts.films.developable import FilmSkin
from loopwright.layouts.films.grids import FilmGrid, film_grid
from loopwright.layouts.films.pattern import FilmPattern
from loopwright.layouts.nearness import distances_to_m

__all__ = ["FilmGaps", "film_gaps"]

Real = NDArray[np.float64]

#: Halvings of the range of gaps on the way to a quantile.
_HALVINGS = 40


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FilmGaps:
    """Distance of a film's underside from the skin at the nodes of its grid, ``gap_m`` (nodes,) [m].

    ``of_elements_m`` are medians along the centre-line of each element, by name. [m]
    """

    grid: FilmGrid
    gap_m: Real
    of_elements_m: Mapping[str, float]

    @property
    def median_m(self) -> float:
        """Half of the film's area is closer. [m]"""
        return self.quantile_m(0.5)

    @property
    def p95_m(self) -> float:
        """All but a twentieth of the film's area is closer. [m]"""
        return self.quantile_m(0.95)

    def quantile_m(self, share: float) -> float:
        """The gap that this share of the film's area stays below. [m]"""
        low, high = float(self.gap_m.min()), float(self.gap_m.max())
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            low, high = (middle, high) if self.share_above(middle) > 1 - share else (low, middle)
        return (low + high) / 2

    def share_above(self, limit_m: float) -> float:
        """Share of the film's area that is further off than a limit, the gap even over each triangle. [m]"""
        low, middle, high = np.sort(self.gap_m[self.grid.triangles], axis=1).T
        with np.errstate(divide="ignore", invalid="ignore"):
            mostly = 1 - (limit_m - low) ** 2 / ((middle - low) * (high - low))
            hardly = (high - limit_m) ** 2 / ((high - low) * (high - middle))
        above = np.select([limit_m < low, limit_m < middle, limit_m < high], [1.0, mostly, hardly], 0.0)
        return float(np.average(above, weights=self.grid.areas_m2))

    @property
    def worst_node(self) -> int:
        """Node of the widest gap."""
        return int(np.argmax(self.gap_m))


def film_gaps(
    pattern: FilmPattern, surface: Surface, skin: FilmSkin, foot: Feet, *, stand_off_m: float, spacing_m: float
) -> FilmGaps:
    """Gaps under a film whose origin is laid on one foot of a skin; lengths [m] and the rest as of film_laid."""
    grid = film_grid(pattern.outline_m, spacing_m=spacing_m)

    def gaps_m(flat_m: Real) -> Real:
        return distances_to_m(skin.walked(foot, flat_m, stand_off_m=stand_off_m).points_m, surface)

    of_elements = {element.name: float(np.median(gaps_m(element.outline_m))) for element in pattern.elements}
    return FilmGaps(grid=grid, gap_m=gaps_m(grid.nodes_m), of_elements_m=MappingProxyType(of_elements))
