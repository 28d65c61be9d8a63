"""Area of the carrier within the outline of all conductors."""

from collections.abc import Sequence

import numpy as np
from scipy.spatial import ConvexHull, cKDTree

from loopwright.layouts.layout import Element

__all__ = ["outline_area_m2"]

#: Cosine of the angle to the nearest element up to which a face of the hull is taken to be the carrier's outside.
_FACES = 0.75


def outline_area_m2(elements: Sequence[Element]) -> float:
    """Area of the outer face of a carrier that reaches as far as its conductors. [m^2]

    Parameters
    ----------
    elements : sequence of Element
        Their normals point away from the body.

    Notes
    -----
    The faces of the convex hull of all conductors that look the way of the element next to them: the ends of a tube and
    the side towards the body are none. Where a carrier is hollow outwards the hull bridges it, and its area is less
    than that of the carrier; between elements that look more than about 80 degrees apart nothing counts.
    """
    points = np.concatenate([element.vertices_m for element in elements])
    normals = np.concatenate([np.tile(element.normal, (len(element.vertices_m), 1)) for element in elements])
    hull = ConvexHull(points, qhull_options="QJ")  # joggled: elements of a flat array lie in one plane
    corners = points[hull.simplices]
    areas = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1) / 2
    nearest = cKDTree(points).query(corners.mean(axis=1))[1]
    outside = np.sum(hull.equations[:, :3] * normals[nearest], axis=1) > _FACES
    return float(areas[outside].sum())
