"""Surfaces from Wavefront OBJ: vertices and faces; all else is passed over."""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from loopwright.formats.geometry.refusals import refused

__all__ = ["fan", "obj_corners"]

Real = NDArray[np.float64]


def obj_corners(name: str, content: bytes) -> Real:
    """Corners of all triangles, shape (triangles, 3, 3), in the unit of the file; polygons are split into triangles.

    Raises
    ------
    GeometryError
        If a vertex or a face cannot be read.
    """
    vertices: list[list[float]] = []
    faces: list[tuple[int, list[int]]] = []
    for line, row in enumerate(content.decode("latin-1").splitlines(), start=1):
        words = row.split()
        if words[:1] == ["v"]:
            vertices.append(_vertex(name, line, words[1:4]))
        elif words[:1] == ["f"]:
            faces.append((line, _face(name, line, words[1:], len(vertices))))
    for line, face in faces:
        beyond = [index for index in face if not 0 <= index < len(vertices)]
        if beyond:
            raise refused(
                name,
                f"vertex {beyond[0] + 1} in a face",
                f"vertices 1 to {len(vertices)}",
                "export it again",
                line=line,
            )
    triangles = [triangle for _, face in faces for triangle in fan(face)]
    points = np.array(vertices, dtype=np.float64).reshape(-1, 3)
    return points[np.array(triangles, dtype=np.int64).reshape(-1, 3)]


def fan(face: list[int]) -> list[tuple[int, int, int]]:
    """Triangles of a polygon, from its first corner."""
    return [(face[0], second, third) for second, third in pairwise(face[1:])]


def _vertex(name: str, line: int, words: list[str]) -> list[float]:
    try:
        x, y, z = (float(word) for word in words)
    except ValueError:
        found = f"vertex {' '.join(words)[:40]!r}"
        raise refused(name, found, "three numbers with decimal points", "export it again", line=line) from None
    return [x, y, z]


def _face(name: str, line: int, words: list[str], so_far: int) -> list[int]:
    """Vertices of a face from 0; in the file they count from 1, or from -1 backwards."""
    try:
        numbers = [int(word.partition("/")[0]) for word in words]
    except ValueError:
        numbers = []
    if len(numbers) < 3 or 0 in numbers:
        found = f"face {' '.join(words)[:40]!r}"
        raise refused(name, found, "three vertices or more, counted from 1", "export it again", line=line)
    return [number - 1 if number > 0 else so_far + number for number in numbers]
