"""How large patients are round: the section of the skin at z = 0, as a tape measures it, and what spans it."""

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import ConvexHull

from loopwright.bodies import MeshShape, Solid
from loopwright.ground.figures import ring_perimeter_m
from loopwright.ground.surface import Surface
from loopwright.layouts import Layout

__all__ = ["circumference_m", "half_axes_m", "spanned_share"]

Real = NDArray[np.float64]

#: Points along a tape: a share is then known to a thousandth.
_ALONG = 2000


def circumference_m(patient: Solid) -> float:
    """Length of a tape round the skin at z = 0. [m]

    Of a body of triangles it spans hollows, and goes round the largest part alone: round the trunk and not the arms.
    """
    match patient.skin:
        case MeshShape(surface=surface):
            return float(ConvexHull(_section_m(surface)).area)
        case _:
            return ring_perimeter_m(*half_axes_m(patient))


def spanned_share(layout: Layout, patient: Solid) -> float:
    """Part of the tape round the skin at z = 0 that an array spans.

    All but the widest piece of the tape that no conductor lies over, seen along z, at whatever height; so windows
    between elements count as spanned, and a closed ring leaves out one of them at most.
    """
    tape = _tape_m(patient)
    middle = (tape.min(axis=0) + tape.max(axis=0)) / 2
    way_m = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(tape, axis=0), axis=1)))
    even_m = np.linspace(0, way_m[-1], _ALONG, endpoint=False)
    along = np.stack([np.interp(even_m, way_m, tape[:, axis]) for axis in (0, 1)], axis=1)
    conductors = np.sort(_azimuth(np.concatenate([one.vertices_m for one in layout.elements])[:, :2] - middle))
    ahead = np.append(conductors[1:], conductors[0] + 2 * np.pi) - conductors
    widest = int(np.argmax(ahead))
    past = (_azimuth(along - middle) - conductors[widest]) % (2 * np.pi)
    return float(1 - np.mean((past > 0) & (past < ahead[widest])))


def _azimuth(points_m: Real) -> Real:
    return np.arctan2(points_m[:, 1], points_m[:, 0])


def _tape_m(patient: Solid) -> Real:
    """Points (n, 2) along the tape round the skin at z = 0, the first once more at the end. [m]"""
    match patient.skin:
        case MeshShape(surface=surface):
            section = _section_m(surface)
            tape = section[ConvexHull(section).vertices]
        case _:
            turn = np.linspace(0, 2 * np.pi, _ALONG, endpoint=False)
            tape = np.stack([np.cos(turn), np.sin(turn)], axis=1) * half_axes_m(patient)
    return np.vstack([tape, tape[:1]])


def half_axes_m(patient: Solid) -> tuple[float, float]:
    """Half the width and half the depth of the skin at z = 0. [m]"""
    match patient.skin:
        case MeshShape(surface=surface):
            x, y = (np.ptp(_section_m(surface), axis=0) / 2).tolist()
        case skin:
            (x0, y0, _), (x1, y1, _) = skin.box_m
            x, y = (x1 - x0) / 2, (y1 - y0) / 2
    return x, y


def _section_m(surface: Surface) -> Real:
    """Points (n, 2) [m] at which edges pass z = 0, of the part with the longest tape; halfway up if nothing does."""
    low, high = (float(end[2]) for end in surface.box_m)
    height = surface.vertices_m[:, 2] - (0.0 if low < 0 < high else (low + high) / 2)
    edges = np.sort(surface.triangles[:, [[0, 1], [1, 2], [2, 0]]], axis=2).reshape(-1, 2)
    cut = np.flatnonzero((height[edges[:, 0]] > 0) != (height[edges[:, 1]] > 0))  # two in a row of every triangle met
    kept, number = np.unique(edges[cut], axis=0, return_inverse=True)
    links = coo_matrix((np.ones(len(cut) // 2), tuple(number.reshape(-1, 2).T)), shape=(len(kept),) * 2)
    parts, part = connected_components(links, directed=False)
    a, b = (surface.vertices_m[kept[:, end]] for end in (0, 1))
    share = (height[kept[:, 0]] / (height[kept[:, 0]] - height[kept[:, 1]]))[:, None]
    points = (a + share * (b - a))[:, :2]
    return max((points[part == one] for one in range(parts)), key=lambda piece: ConvexHull(piece).area)
