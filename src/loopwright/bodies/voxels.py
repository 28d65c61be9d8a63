"""The grid on which a body is solved, and how much of every voxel and face each tissue fills."""

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.quadrics import Quadric
from loopwright.bodies.solids import Solid
from loopwright.bodies.tissues import Tissue
from loopwright.ground.errors import OutsideModelError

Real = NDArray[np.float64]
Single = NDArray[np.float32]
Complex = NDArray[np.complex128]

#: Differences of closed forms round to about 1e-11 of a voxel; what is smaller than this is none of it.
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class VoxelGrid:
    """Cubic voxels with edges along the body frame; ``origin_m`` is the outer corner of the first one."""

    origin_m: tuple[float, float, float]
    spacing_m: float
    shape: tuple[int, int, int]

    def nodes_m(self, axis: int) -> Real:
        """Positions of the face planes normal to ``axis``, shape (n + 1,). [m]"""
        return np.asarray(self.origin_m[axis] + self.spacing_m * np.arange(self.shape[axis] + 1))

    def centres_m(self, axis: int) -> Real:
        """Positions of the voxel centres along ``axis``, shape (n,). [m]"""
        return np.asarray(self.origin_m[axis] + self.spacing_m * (np.arange(self.shape[axis]) + 0.5))

    def centre_points_m(self) -> Real:
        """Centres of all voxels, shape (nx, ny, nz, 3). [m]"""
        return np.stack(np.meshgrid(*(self.centres_m(axis) for axis in range(3)), indexing="ij"), axis=-1)

    @property
    def voxel_volume_m3(self) -> float:
        """Volume of one voxel. [m^3]"""
        return self.spacing_m**3


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A body on its grid, with its tissues at one frequency.

    ``voxel_fraction`` is (tissues, nx, ny, nz); ``face_fraction`` holds (tissues, nx+1, ny, nz), (tissues, nx, ny+1,
    nz) and (tissues, nx, ny, nz+1). What the tissues leave is air.
    """

    name: str
    solid: Solid
    grid: VoxelGrid
    frequency_hz: float
    tissues: tuple[Tissue, ...]
    voxel_fraction: Single
    face_fraction: tuple[Single, Single, Single]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    def face_permittivity(self, frequency_hz: float) -> tuple[Complex, Complex, Complex]:
        """Area mean of the complex relative permittivity over every face, air counted as 1.

        Parameters
        ----------
        frequency_hz : float
            The frequency at which the body was placed. [Hz]

        Returns
        -------
        3 arrays, shapes (nx+1, ny, nz), (nx, ny+1, nz), (nx, ny, nz+1)
            eps_r - j sigma / (omega eps_0). [1]

        Raises
        ------
        OutsideModelError
            If the body was placed at another frequency: tissues are dispersive.
        """
        if abs(frequency_hz - self.frequency_hz) > 1e-9 * self.frequency_hz:
            raise OutsideModelError(
                f"{self.name} was placed at {self.frequency_hz / 1e6:g} MHz and cannot tell its permittivity at "
                f"{frequency_hz / 1e6:g} MHz. Place it again at that frequency."
            )
        contrast = np.array([tissue.permittivity(frequency_hz) - 1 for tissue in self.tissues])
        x, y, z = (1 + np.tensordot(contrast, fraction, axes=1) for fraction in self.face_fraction)
        return x, y, z

    def face_cover(self) -> tuple[Single, Single, Single]:
        """Share of every face that is body, shapes (nx+1, ny, nz), (nx, ny+1, nz), (nx, ny, nz+1). [1]"""
        x, y, z = (fraction.sum(axis=0) for fraction in self.face_fraction)
        return x, y, z

    def voxel_cover(self) -> Single:
        """Share of every voxel that is body, shape (nx, ny, nz). [1]"""
        return np.asarray(self.voxel_fraction.sum(axis=0))

    def conductivity_s_per_m(self) -> Real:
        """Mean conductivity of every voxel, air counted as 0, shape (nx, ny, nz). [S/m]"""
        sigma = np.array([tissue.sigma_s_per_m for tissue in self.tissues])
        return np.asarray(np.tensordot(sigma, self.voxel_fraction, axes=1))

    def depth_m(self) -> Real:
        """Depth of every voxel's centre under the outer surface, negative outside, shape (nx, ny, nz). [m]"""
        return self.solid.depth_m(self.grid.centre_points_m().reshape(-1, 3)).reshape(self.grid.shape)


def grid_around(solid: Solid, spacing_m: float) -> VoxelGrid:
    """Smallest grid of this spacing [m] that holds the body and is symmetric about the middle of its box."""
    lower, upper = np.array(solid.box_m)
    nx, ny, nz = (max(1, ceil(size / spacing_m - 1e-6)) for size in upper - lower)
    x, y, z = ((lower + upper) / 2 - np.array([nx, ny, nz]) * spacing_m / 2).tolist()
    return VoxelGrid(origin_m=(x, y, z), spacing_m=spacing_m, shape=(nx, ny, nz))


def voxel_fractions(solid: Solid, grid: VoxelGrid) -> Real:
    """Share of every voxel that each tissue fills, shape (tissues, nx, ny, nz). [1]

    Exact: third differences of closed-form volumes, so a skin thinner than a voxel keeps its volume.
    """
    nodes = [grid.nodes_m(axis) for axis in range(3)]
    return _fractions(solid, grid.voxel_volume_m3, lambda shape: shape.cell_volume_m3(nodes))


def face_fractions(solid: Solid, grid: VoxelGrid) -> tuple[Real, Real, Real]:
    """Share of every face that each tissue fills, (tissues, nx+1, ny, nz) and so on for y and z. [1]

    Exact: second differences of closed-form areas.
    """
    nodes = [grid.nodes_m(axis) for axis in range(3)]

    def family(axis: int) -> Real:
        return _fractions(solid, grid.spacing_m**2, lambda shape: shape.face_area_m2(axis, nodes))

    return family(0), family(1), family(2)


def voxelise(solid: Solid, *, spacing_m: float, tissues: tuple[Tissue, ...], frequency_hz: float) -> Body:
    """Lay a body on its grid.

    Parameters
    ----------
    solid : Solid
        The body.
    spacing_m : float
        Edge of a voxel. [m]
    tissues : tuple of Tissue
        One for each of the body's tissue names, at this frequency.
    frequency_hz : float
        Frequency at which the tissues hold. [Hz]
    """
    grid = grid_around(solid, spacing_m)
    x, y, z = (family.astype(np.float32) for family in face_fractions(solid, grid))
    return Body(
        name=solid.name,
        solid=solid,
        grid=grid,
        frequency_hz=frequency_hz,
        tissues=tissues,
        voxel_fraction=voxel_fractions(solid, grid).astype(np.float32),
        face_fraction=(x, y, z),
        notes=solid.notes,
        cautions=solid.cautions,
    )


def _fractions(solid: Solid, whole: float, measure: Callable[[Quadric], Real]) -> Real:
    """Share of each tissue: what its regions fill less what lies inside them."""
    filled = [measure(region.shape) / whole for region in solid.regions]
    share = np.zeros((len(solid.tissue_names), *filled[0].shape))
    for region, part in zip(solid.regions, filled, strict=True):
        share[region.tissue] += part
        if region.within is not None:
            share[solid.regions[region.within].tissue] -= part
    return np.where(share < _ROUNDING, 0, np.minimum(share, 1))
