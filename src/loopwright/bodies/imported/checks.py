"""What may be wrong with a surface that somebody brings: told with the number of faults and the place of the first."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from loopwright.bodies.imported.crossings import crossing_pairs
from loopwright.ground.surface import Surface

__all__ = ["MOST_TRIANGLES", "Fault", "faults_in", "faults_of", "joined", "parts_of", "too_many", "why_apart"]

Real = NDArray[np.float64]
Counts = NDArray[np.int64]

#: The search for crossings takes about 7 s and 1 GB at this number.
MOST_TRIANGLES = 500_000
#: Vertices nearer than this are one, as a share of the box's diagonal: files round to single precision.
_SAME_VERTEX = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that is wrong with a surface, and what would put it right."""

    found: str
    allowed: str
    remedy: str


def joined(corners: Real) -> tuple[Surface, int]:
    """One surface over shared vertices, from the corners (triangles, 3, 3) of loose triangles.

    Corners nearer than a millionth of the box's diagonal become one vertex. Triangles of which two corners become one
    are left out; returned is their number beside the surface.
    """
    points, where = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
    near = cKDTree(points).query_pairs(
        _SAME_VERTEX * float(np.linalg.norm(np.ptp(points, axis=0))), output_type="ndarray"
    )
    links = coo_array((np.ones(len(near)), (near[:, 0], near[:, 1])), shape=(len(points), len(points)))
    _, group = connected_components(links, directed=False)
    _, first = np.unique(group, return_index=True)
    triangles = group[where.reshape(-1, 3)].astype(np.int64)
    a, b, c = triangles.T
    whole = (a != b) & (b != c) & (c != a)
    return Surface(vertices_m=points[first], triangles=triangles[whole]), int(np.sum(~whole))


def faults_in(corners: Real) -> tuple[Fault, ...]:
    """What is wrong with loose triangles before they are joined: none or too many, or corners that are no numbers.

    ``corners`` is (triangles, 3, 3), in any unit of length.
    """
    count = len(corners)
    if count < 4:
        return (_fault(f"{count} triangles", "a closed surface, of 4 at least", "export the body as triangles again"),)
    if count > MOST_TRIANGLES:
        return (too_many(count),)
    wrong = int(np.sum(~np.isfinite(corners).all(axis=(1, 2))))
    if not wrong:
        return ()
    told = f"{wrong} of {count} triangles with corners that are no finite numbers"
    return (
        (_fault(told, "finite coordinates", "repair it in the program that made it, and export it again"),)
        if wrong
        else ()
    )


def faults_of(surface: Surface) -> tuple[Fault, ...]:
    """Everything that keeps a surface from bounding a body.

    Parameters
    ----------
    surface : Surface
        Over shared vertices, in any unit of length.

    Returns
    -------
    tuple of Fault
        Open edges; edges of more than two triangles; neighbours that look opposite ways; triangles that cross; and,
        where none of these is found, parts that look inwards.
    """
    if len(surface.triangles) < 4:
        return faults_in(surface.corners_m)
    wrong = (*_wrong_edges(surface), *_crossings(surface))
    return wrong or _inward(surface)


def too_many(count: int) -> Fault:
    """The fault of a surface of so many triangles that looking it over takes too long."""
    return _fault(
        f"{count} triangles",
        f"at most {MOST_TRIANGLES}",
        "reduce it in the program that made it: edges of 2 mm do for a body, about 50 000 triangles for a head",
    )


def _fault(found: str, allowed: str, remedy: str) -> Fault:
    return Fault(found=found, allowed=allowed, remedy=remedy)


def _edges(surface: Surface) -> tuple[Counts, Counts, Counts]:
    """Undirected edges (edges, 2), and how many triangles run along each of them upwards and downwards."""
    directed = np.concatenate([surface.triangles[:, [i, (i + 1) % 3]] for i in range(3)])
    up = directed[:, 0] < directed[:, 1]
    size = len(surface.vertices_m)
    codes, where = np.unique(directed.min(axis=1) * size + directed.max(axis=1), return_inverse=True)
    upwards = np.bincount(where, weights=up, minlength=len(codes)).astype(np.int64)
    downwards = np.bincount(where, weights=~up, minlength=len(codes)).astype(np.int64)
    return np.stack([codes // size, codes % size], axis=1), upwards, downwards


def _wrong_edges(surface: Surface) -> tuple[Fault, ...]:
    edges, up, down = _edges(surface)
    uses = up + down
    kinds = (
        (
            uses == 1,
            "edges with a triangle on one side only, {place}: the surface is open{holes}",
            "a closed surface",
            "close the holes in the program that made it, and export it again",
        ),
        (
            uses > 2,
            "edges of more than two triangles, {place}: walls inside the body, or triangles that stand there twice",
            "two triangles on every edge",
            "take the inner walls and doubled triangles out, or join the pieces to one solid, and export it again",
        ),
        (
            (uses == 2) & (up != down),
            "edges whose two triangles look opposite ways, {place}: some triangles are turned inside out",
            "all triangles looking outwards",
            "make the normals consistent in the program that made it, and export it again",
        ),
    )
    found = []
    for wrong, told, allowed, remedy in kinds:
        if np.any(wrong):
            place = _place(surface.vertices_m[edges[wrong]].mean(axis=1))
            text = told.format(place=place, holes=f" in {_groups(edges[wrong])} places")
            found.append(_fault(f"{int(np.sum(wrong))} {text}", allowed, remedy))
    return tuple(found)


def _place(points: Real) -> str:
    """Where the first of points (n, 3) is, in the file's own numbers."""
    x, y, z = points[0].tolist()
    return f"{'one' if len(points) > 1 else 'it'} near ({x:.4g}, {y:.4g}, {z:.4g})"


def _groups(edges: Counts) -> int:
    """How many pieces edges (n, 2) hang together in."""
    vertices, where = np.unique(edges, return_inverse=True)
    first, second = where.reshape(-1, 2).T
    links = coo_array((np.ones(len(first)), (first, second)), shape=(len(vertices), len(vertices)))
    return int(connected_components(links, directed=False)[0])


def _crossings(surface: Surface) -> tuple[Fault, ...]:
    pairs = crossing_pairs(surface)
    if not len(pairs):
        return ()
    place = _place(surface.corners_m[pairs].mean(axis=(1, 2)))
    return (
        _fault(
            f"{len(pairs)} pairs of triangles that cross, {place}",
            "a surface that does not cross itself",
            "join the pieces to one solid, or smooth or remesh that place, and export it again",
        ),
    )


def _inward(surface: Surface) -> tuple[Fault, ...]:
    """A part that looks inwards without lying in another one, so that it is no hollow."""
    parts = parts_of(surface)
    wrong = [part for number, part in enumerate(parts) if part.volume_m3 < 0 and _around(parts, number) < 1]
    if not wrong:
        return ()
    which = "its triangles look inwards" if len(parts) == 1 else f"{len(wrong)} of {len(parts)} parts look inwards"
    return (
        _fault(
            f"{which}, {_place(wrong[0].corners_m.mean(axis=1))}",
            "triangles that look outwards",
            "turn the normals round; if the export mirrored the body, left and right are swapped too: undo that",
        ),
    )


def parts_of(surface: Surface) -> tuple[Surface, ...]:
    """Surfaces that hang together, the one of the largest volume first."""
    size = len(surface.vertices_m)
    a, b, c = surface.triangles.T
    links = coo_array((np.ones(2 * len(a)), (np.r_[a, a], np.r_[b, c])), shape=(size, size))
    _, group = connected_components(links, directed=False)
    order = np.argsort(group[a], kind="stable")
    pieces = np.split(surface.triangles[order], np.flatnonzero(np.diff(group[a][order])) + 1)
    found = []
    for piece in pieces:
        used, triangles = np.unique(piece, return_inverse=True)
        found.append(Surface(vertices_m=surface.vertices_m[used], triangles=triangles.reshape(-1, 3).astype(np.int64)))
    return tuple(sorted(found, key=lambda part: -abs(part.volume_m3)))


def why_apart(parts: tuple[Surface, ...]) -> str:
    """Why closed parts that do not cross cannot be one body; empty where they can.

    A part may lie apart, and a hollow in one part; what lies in another part and looks outwards would count twice.
    """
    for number, part in enumerate(parts):
        if _around(parts, number) != (0 if part.volume_m3 > 0 else 1):
            which = f"part {number + 1} of {len(parts)}"
            return f"{which} lies inside another one and would count twice, {_place(part.vertices_m)}"
    return ""


def _around(parts: tuple[Surface, ...], number: int) -> int:
    """How often the other parts go round one of them."""
    point = parts[number].vertices_m[0]
    return round(sum(_winding(other, point) for other in parts if other is not parts[number]))


def _winding(surface: Surface, point: Real) -> float:
    """How often a closed surface goes round a point (3,): 1 inside, 0 outside (van Oosterom and Strackee)."""
    a, b, c = np.moveaxis(surface.corners_m - point, 1, 0)
    la, lb, lc = (np.linalg.norm(one, axis=1) for one in (a, b, c))
    volume = np.sum(a * np.cross(b, c), axis=1)
    rest = la * lb * lc + np.sum(a * b, axis=1) * lc + np.sum(b * c, axis=1) * la + np.sum(c * a, axis=1) * lb
    return float(np.sum(np.arctan2(volume, rest)) / (2 * np.pi))
