"""A volume of labels: what a segmented image says about a body."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["LabelVolume"]

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LabelVolume:
    """Labels of box-shaped voxels whose edges run along the body frame; 0 is air.

    ``labels`` is (nx, ny, nz), not negative; ``spacing_m`` is the size of a voxel along x, y, z and ``origin_m`` the
    outer corner of the first one. [m]
    """

    labels: NDArray[np.integer]
    spacing_m: Triple
    origin_m: Triple

    @property
    def voxel_volume_m3(self) -> float:
        """Volume of one voxel. [m^3]"""
        return float(np.prod(self.spacing_m))

    @property
    def box_m(self) -> tuple[Triple, Triple]:
        """Lower and upper corner of the box of all voxels. [m]"""
        x, y, z = (o + n * d for o, n, d in zip(self.origin_m, self.labels.shape, self.spacing_m, strict=True))
        return self.origin_m, (x, y, z)
