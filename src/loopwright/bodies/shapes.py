"""What every shape that bounds a piece of a body tells, be it a formula, triangles or labels of an image."""

from collections.abc import Sequence
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]
Triple = tuple[float, float, float]


class Shape(Protocol):
    """A piece of space. Its measures on a grid are what body shares are made of, so they have to add up."""

    @property
    def volume_m3(self) -> float:
        """Volume inside. [m^3]"""

    @property
    def box_m(self) -> tuple[Triple, Triple]:
        """Lower and upper corner of a box that holds it. [m]"""

    def contains(self, points_m: Real) -> NDArray[np.bool_]:
        """Whether points (n, 3) [m] are inside; shape (n,)."""

    def clearance_m(self, points_m: Real) -> Real:
        """Lower bound of the distance from points (n, 3) [m] to the surface; shape (n,). [m]"""

    def depth_m(self, points_m: Real) -> Real:
        """Distance of points (n, 3) [m] to the surface, positive inside; shape (n,). [m]"""

    def face_area_m2(self, axis: int, nodes_m: Sequence[Real]) -> Real:
        """Area inside it on every face normal to ``axis`` of a grid with these node positions [m]. [m^2]

        Shape (nx, ny, nz) of the cells, one more along ``axis``.
        """

    def cell_volume_m3(self, nodes_m: Sequence[Real]) -> Real:
        """Volume inside it of every cell of a grid with these node positions [m], shape (nx, ny, nz). [m^3]"""
