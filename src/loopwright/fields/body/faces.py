"""The faces that carry current, and what they are made of.

One rule serves apertures at the skin and faces between or across tissues: the permittivity of a face is the area mean
of the complex permittivity over its plane, air counted as 1. Slivers at the skin carry no current of their own, which
spares the iteration their many small unknowns; their area joins the fullest face beside them, so that none is lost.
"""

from dataclasses import dataclass
from enum import Enum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.constants import EPSILON_0_F_PER_M

#: Share of a face that must be body for the face to carry current of its own. Measured on spheres: with a fifth, power
#: beside a loop is nearest the exact series at 5 and 10 mm and products are fewest; in a uniform field its error is of
#: second order down to 0.1 %, below which it jumps with the lie of the grid.
LEAST_COVER = 0.2

# A face of nothing but air, as in a hollow, carries no current and would divide by zero.
_LEAST_CONTRAST = 1e-9


class FaceRule(Enum):
    """What the permittivity of a face wholly inside the body is taken from; cut faces always take the area mean."""

    AREA_MEAN = "area mean"
    SERIES = "series"


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentFaces:
    """Faces that carry current, and their material at one frequency.

    ``index`` (faces,) points into the flattened (3, nx+1, ny+1, nz+1) array of face components; ``permittivity``
    (faces,) is complex and relative.
    """

    index: NDArray[np.int64]
    permittivity: NDArray[np.complex128]
    face_shape: tuple[int, int, int]
    origin_m: tuple[float, float, float]
    spacing_m: float
    frequency_hz: float

    @property
    def contrast(self) -> NDArray[np.complex128]:
        """M = 1 - 1/eps of every face, shape (faces,). Dimensionless."""
        return 1 - 1 / self.permittivity

    @property
    def conductivity_s_per_m(self) -> NDArray[np.float64]:
        """Effective conductivity of every face, shape (faces,). [S/m]"""
        return -self.permittivity.imag * 2 * np.pi * self.frequency_hz * EPSILON_0_F_PER_M

    def families(self) -> NDArray[np.int64]:
        """Axis of the normal of every face, shape (faces,)."""
        return self.index // int(np.prod(self.face_shape))

    def centres_m(self) -> NDArray[np.float64]:
        """Centres of the faces, shape (faces, 3). [m]"""
        family, *voxel = np.unravel_index(self.index, (3, *self.face_shape))
        centres = np.stack(voxel, axis=1) + 0.5
        centres[np.arange(len(family)), family] -= 0.5
        return np.asarray(self.origin_m) + self.spacing_m * centres

    def voxels_beside(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Voxels before and behind every face along its normal, each of shape (faces, 3); they may lie off the grid."""
        family, *place = np.unravel_index(self.index, (3, *self.face_shape))
        high = np.stack(place, axis=1)
        low = high.copy()
        low[np.arange(len(family)), family] -= 1
        return low, high


def current_faces(
    cover: tuple[NDArray[np.floating], ...],
    permittivity: tuple[NDArray[np.complexfloating], ...],
    *,
    origin_m: tuple[float, float, float],
    spacing_m: float,
    frequency_hz: float,
) -> CurrentFaces:
    """Collect the faces that carry current.

    Parameters
    ----------
    cover : 3 arrays, shapes (nx+1, ny, nz), (nx, ny+1, nz), (nx, ny, nz+1)
        Share of each face that is body.
    permittivity : 3 arrays of the same shapes
        Area mean of the complex relative permittivity, air counted as 1.
    origin_m : 3-tuple
        Corner of the first voxel. [m]
    spacing_m : float
        Edge of a voxel. [m]
    frequency_hz : float
        Frequency at which the permittivity holds. [Hz]
    """
    nx, ny, nz = (cover[axis].shape[axis] - 1 for axis in range(3))
    face_shape = (nx + 1, ny + 1, nz + 1)
    all_cover = np.zeros((3, *face_shape))
    all_permittivity = np.ones((3, *face_shape), dtype=np.complex128)
    for axis, (part, eps) in enumerate(zip(cover, permittivity, strict=True)):
        a, b, c = part.shape
        all_cover[axis, :a, :b, :c] = part
        all_permittivity[axis, :a, :b, :c] = eps + _slivers_beside(part, eps - 1, axis)
    carries = (all_cover >= LEAST_COVER) & (np.abs(all_permittivity - 1) > _LEAST_CONTRAST)
    index = np.nonzero(carries.ravel())[0]
    return CurrentFaces(
        index=index,
        permittivity=all_permittivity.ravel()[index],
        face_shape=face_shape,
        origin_m=origin_m,
        spacing_m=spacing_m,
        frequency_hz=frequency_hz,
    )


def _slivers_beside(
    cover: NDArray[np.floating], contrast: NDArray[np.complexfloating], axis: int
) -> NDArray[np.complex128]:
    """Contrast that every face of one family takes over from the slivers beside it in its plane."""
    taken = np.zeros(cover.shape, dtype=np.complex128)
    full = np.where(cover >= LEAST_COVER, cover, 0)
    steps = [(other, way) for other in range(3) if other != axis for way in (-1, 1)]
    beside = np.stack([_shifted(full, other, way) for other, way in steps])
    choice = np.where(beside.max(axis=0) > 0, beside.argmax(axis=0), len(steps))
    sliver = (cover > 0) & (cover < LEAST_COVER)
    for number, (other, way) in enumerate(steps):
        given = np.where(sliver & (choice == number), contrast, 0)
        taken += _shifted(given, other, -way)
    return taken


def _shifted(values: NDArray[Any], axis: int, way: int) -> NDArray[Any]:
    """Value of the neighbour one step along ``axis``, zero beyond the edge."""
    moved = np.zeros_like(values)
    here, there = [slice(None)] * 3, [slice(None)] * 3
    here[axis], there[axis] = (slice(None, -1), slice(1, None)) if way > 0 else (slice(1, None), slice(None, -1))
    moved[tuple(here)] = values[tuple(there)]
    return moved
