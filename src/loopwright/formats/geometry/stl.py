"""Surfaces from STL, binary and ascii."""

import re

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.imported.checks import MOST_TRIANGLES, too_many
from loopwright.formats.geometry.refusals import CUT_SHORT, refused

__all__ = ["stl_corners"]

Real = NDArray[np.float64]

_HEAD, _EACH = 84, 50
_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
_VERTEX = re.compile(r"\bvertex[ \t]+(\S+)[ \t]+(\S+)[ \t]+(\S+)", re.IGNORECASE)
_KEYWORD = re.compile(r"^[ \t]*(facet|endfacet|vertex)\b", re.IGNORECASE | re.MULTILINE)


def stl_corners(name: str, content: bytes) -> Real:
    """Corners of all triangles, shape (triangles, 3, 3), in the unit of the file.

    Raises
    ------
    GeometryError
        If it is no STL, or ends before its end.
    """
    if content[:5].lower() == b"solid" and b"\0" not in content[:1000]:
        return _from_text(name, content.decode("latin-1"))
    return _from_records(name, content)


def _from_records(name: str, content: bytes) -> Real:
    count = int.from_bytes(content[80:_HEAD], "little")
    if len(content) < _HEAD or (len(content) - _HEAD) // _EACH < min(count, MOST_TRIANGLES):
        told = f"{len(content)} bytes" + (f" for {count} triangles" if len(content) >= _HEAD else "")
        raise refused(name, told, f"{_HEAD} bytes and {_EACH} for every triangle of a binary STL", CUT_SHORT)
    if count > MOST_TRIANGLES:
        fault = too_many(count)
        raise refused(name, fault.found, fault.allowed, fault.remedy)
    return np.frombuffer(content, _RECORD, count, _HEAD)["corners"].astype(np.float64)


def _from_text(name: str, text: str) -> Real:
    if "endsolid" not in text[-2000:].lower():
        raise refused(name, "no `endsolid` at its end", "a whole ascii STL", CUT_SHORT)
    rows = _VERTEX.findall(text)
    counted = [word.lower() for word in _KEYWORD.findall(text)]
    facets, vertices = counted.count("facet"), counted.count("vertex")
    if vertices != 3 * facets or len(rows) != vertices or counted.count("endfacet") != facets:
        raise refused(
            name, f"{facets} facets with {len(rows)} whole vertices", "three vertices in every facet", CUT_SHORT
        )
    try:
        return np.array(rows, dtype=np.float64).reshape(-1, 3, 3)
    except ValueError:
        raise _first_wrong(name, text) from None


def _first_wrong(name: str, text: str) -> Exception:
    for line, row in enumerate(text.splitlines(), start=1):
        for words in _VERTEX.findall(row):
            for word in words:
                try:
                    float(word)
                except ValueError:
                    return refused(
                        name, f"{word[:40]!r} as a coordinate", "a number with a decimal point", "export it again",
                        line=line,
                    )  # fmt: skip
    return refused(name, "a coordinate that is no number", "numbers", "export it again")
