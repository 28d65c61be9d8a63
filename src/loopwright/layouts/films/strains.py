"""Strain of a flat film that is laid on a body: by how much every triangle is shortened or drawn out."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.layouts.films.grids import FilmGrid

__all__ = ["FilmStrain", "film_strain"]

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FilmStrain:
    """Principal strains of every triangle of a film, (triangles, 2): the lesser first, compression negative."""

    grid: FilmGrid
    principal: Real

    @property
    def compression(self) -> Real:
        """Largest shortening of each triangle, zero where there is none, shape (triangles,)."""
        return np.asarray(np.maximum(-self.principal[:, 0], 0.0))

    @property
    def largest(self) -> float:
        """Largest magnitude of all."""
        return float(np.abs(self.principal).max())

    def wrinkled(self, limit: float) -> NDArray[np.bool_]:
        """Where the film is shortened by more than it takes, shape (triangles,): there it must wrinkle or lift."""
        return np.asarray(self.compression > limit)

    def share_wrinkled(self, limit: float) -> float:
        """Share of the film's area that is shortened by more than it takes."""
        areas = self.grid.areas_m2
        return float(areas[self.wrinkled(limit)].sum() / areas.sum())


def film_strain(grid: FilmGrid, laid_m: Real) -> FilmStrain:
    """Strains from where the nodes of a flat film come to lie.

    Parameters
    ----------
    grid : FilmGrid
        The flat film.
    laid_m : ndarray, shape (nodes, 3)
        Its nodes on the body. [m]

    Returns
    -------
    FilmStrain
        Singular values of the map of each triangle, less one: chords over chords, so that a film bent without stretch
        shows the square of node distance over twenty-four radii squared.
    """
    flat, laid = grid.nodes_m[grid.triangles], laid_m[grid.triangles]
    before = np.moveaxis(flat[:, 1:] - flat[:, :1], 1, 2)
    after = np.moveaxis(laid[:, 1:] - laid[:, :1], 1, 2)
    stretches = np.linalg.svd(after @ np.linalg.inv(before), compute_uv=False)
    return FilmStrain(grid=grid, principal=np.asarray(stretches[:, ::-1] - 1))
