"""A closed surface of triangles: what a body of no formula is bounded by."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

__all__ = ["Surface"]

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surface:
    """Triangles over shared vertices; seen from outside, the corners of a triangle run against the clock.

    ``vertices_m`` is (vertices, 3) [m]; ``triangles`` is (triangles, 3), indices of vertices.
    """

    vertices_m: Real
    triangles: NDArray[np.int64]

    @property
    def corners_m(self) -> Real:
        """Corners of every triangle, shape (triangles, 3, 3). [m]"""
        return np.asarray(self.vertices_m[self.triangles])

    @property
    def area_vectors_m2(self) -> Real:
        """Outward normal of every triangle times its area, shape (triangles, 3). [m^2]"""
        a, b, c = np.moveaxis(self.corners_m, 1, 0)
        return np.asarray(np.cross(b - a, c - a) / 2)

    @property
    def area_m2(self) -> float:
        """Area of all triangles. [m^2]"""
        return float(np.linalg.norm(self.area_vectors_m2, axis=1).sum())

    @property
    def volume_m3(self) -> float:
        """Volume inside; negative where the triangles look inwards. [m^3]"""
        return float(np.sum(self.corners_m.mean(axis=1) * self.area_vectors_m2) / 3)

    @property
    def vertex_normals(self) -> Real:
        """Outward unit normal at every vertex, means over its triangles by area, shape (vertices, 3)."""
        total = np.zeros_like(self.vertices_m)
        for corner in range(3):
            np.add.at(total, self.triangles[:, corner], self.area_vectors_m2)
        length = np.linalg.norm(total, axis=1, keepdims=True)
        return np.asarray(total / np.where(length > 0, length, 1))

    @property
    def box_m(self) -> tuple[Real, Real]:
        """Lower and upper corner of the box that holds it, shapes (3,). [m]"""
        return self.vertices_m.min(axis=0), self.vertices_m.max(axis=0)

    def at(self, vertices_m: Real) -> "Surface":
        """The same triangles over moved vertices (vertices, 3) [m]."""
        return replace(self, vertices_m=np.asarray(vertices_m, dtype=np.float64))
