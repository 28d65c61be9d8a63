"""Surfaces from PLY, ascii and binary: the elements `vertex` and `face`; all else is passed over."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.imported.checks import MOST_TRIANGLES, too_many
from loopwright.formats.geometry.obj import fan
from loopwright.formats.geometry.refusals import CUT_SHORT, refused

__all__ = ["ply_corners"]

Real = NDArray[np.float64]

_TYPES = {
    "char": "i1", "uchar": "u1", "short": "i2", "ushort": "u2", "int": "i4", "uint": "u4", "float": "f4",
    "double": "f8", "int8": "i1", "uint8": "u1", "int16": "i2", "uint16": "u2", "int32": "i4", "uint32": "u4",
    "float32": "f4", "float64": "f8",
}  # fmt: skip
_ORDERS = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}
_LISTS = ("vertex_indices", "vertex_index")
_END = b"end_header"
#: A number in a file that has more of these is no count and no vertex, and too large for what it goes into.
_MOST_DIGITS = 18


@dataclass(frozen=True, slots=True, kw_only=True)
class _Property:
    """One property: its type, and the type of its count where it is a list."""

    name: str
    of: str
    count: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Element:
    name: str
    number: int
    properties: tuple[_Property, ...]


def ply_corners(name: str, content: bytes) -> Real:
    """Corners of all triangles, shape (triangles, 3, 3), in the unit of the file; polygons are split into triangles.

    Raises
    ------
    GeometryError
        If the header is wrong, an element is missing, or the file ends before its end.
    """
    order, elements, rest = _header(name, content)
    missing = [wanted for wanted in ("vertex", "face") if wanted not in {element.name for element in elements}]
    if missing:
        found = f"no element `{missing[0]}`"
        raise refused(name, found, "the elements `vertex` and `face`", "export it as a surface, not as points")
    if any(element.name == "face" and element.number > MOST_TRIANGLES for element in elements):
        fault = too_many(max(element.number for element in elements if element.name == "face"))
        raise refused(name, fault.found, fault.allowed, fault.remedy)
    read = _from_text if order == "" else _from_bytes
    vertices, faces = read(name, rest, order, elements)
    triangles = np.array([one for face in faces for one in fan(face)], dtype=np.int64).reshape(-1, 3)
    if np.any((triangles < 0) | (triangles >= len(vertices))):
        raise refused(
            name, "a face with a vertex that there is not", f"vertices 0 to {len(vertices) - 1}", "export it again"
        )
    return vertices[triangles]


def _header(name: str, content: bytes) -> tuple[str, tuple[_Element, ...], bytes]:
    """Byte order (empty for text), elements, and what follows the header."""
    head, mark, rest = content.partition(_END)
    lines = head.decode("latin-1").splitlines()
    if not mark or lines[:1] != ["ply"]:
        raise refused(name, "no header from `ply` to `end_header`", "a PLY file", "export it as PLY again, or as STL")
    rest = rest.partition(b"\n")[2]
    order, elements = None, list[_Element]()
    for line, row in enumerate(lines, start=1):
        match row.split():
            case ["format", word, _] if word in _ORDERS:
                order = _ORDERS[word]
            case ["element", element, number] if number.isdecimal() and len(number) < _MOST_DIGITS:
                elements.append(_Element(name=element, number=int(number), properties=()))
            case ["property", *words] if elements and (one := _property(words)):
                last = elements.pop()
                grown = (*last.properties, one)
                elements.append(_Element(name=last.name, number=last.number, properties=grown))
            case [] | ["ply" | "comment" | "obj_info", *_]:
                pass
            case _:
                raise refused(name, f"{row[:60]!r}", "a line of a PLY header", "export it again", line=line)
    if order is None:
        raise refused(name, "no line `format`", f"format {', '.join(_ORDERS)}", "export it again")
    return order, tuple(elements), rest


def _property(words: list[str]) -> _Property | None:
    match words:
        case ["list", count, of, name] if count in _TYPES and of in _TYPES:
            return _Property(name=name, of=_TYPES[of], count=_TYPES[count])
        case [of, name] if of in _TYPES:
            return _Property(name=name, of=_TYPES[of])
        case _:
            return None


def _columns(name: str, element: _Element) -> list[int]:
    names = [one.name for one in element.properties]
    if any(axis not in names for axis in "xyz") or any(one.count for one in element.properties):
        found = f"vertices with {', '.join(names) or 'nothing'}"
        raise refused(name, found, "x, y and z, and no lists", "export it again")
    return [names.index(axis) for axis in "xyz"]


def _corner_list(name: str, element: _Element) -> int:
    """Which property of a face holds its corners."""
    for number, one in enumerate(element.properties):
        if one.name in _LISTS and one.count:
            return number
    raise refused(name, "faces without `vertex_indices`", "a list of vertices in every face", "export it again")


def _from_text(name: str, rest: bytes, _: str, elements: tuple[_Element, ...]) -> tuple[Real, list[list[int]]]:
    rows = [row for row in rest.decode("latin-1").splitlines() if row.strip()]
    vertices, faces, at = np.zeros((0, 3)), list[list[int]](), 0
    for element in elements:
        own, at = rows[at : at + element.number], at + element.number
        if len(own) < element.number:
            found = f"{len(own)} of {element.number} lines of `{element.name}`"
            raise refused(name, found, "as many as its header says", CUT_SHORT)
        try:
            if element.name == "vertex":
                columns = _columns(name, element)
                vertices = np.array([[float(row.split()[i]) for i in columns] for row in own]).reshape(-1, 3)
            elif element.name == "face":
                which = _corner_list(name, element)
                faces = [_corners_in(row.split(), element, which) for row in own]
        except (ValueError, IndexError):
            found = f"a line of `{element.name}` that does not fit"
            raise refused(name, found, "the numbers that its header says", "export it again") from None
    return vertices, faces


def _corners_in(words: list[str], element: _Element, which: int) -> list[int]:
    at = 0
    for number, one in enumerate(element.properties):
        count = int(words[at]) if one.count else 1
        at += bool(one.count)
        if number == which:
            own = words[at : at + count]
            found = [int(word) for word in own]
            if len(found) < max(count, 3) or any(len(word) > _MOST_DIGITS for word in own):
                raise ValueError(words)
            return found
        at += count
    raise ValueError(words)


def _from_bytes(name: str, rest: bytes, order: str, elements: tuple[_Element, ...]) -> tuple[Real, list[list[int]]]:
    vertices, faces, at = np.zeros((0, 3)), list[list[int]](), 0
    try:
        for element in elements:
            if any(one.count for one in element.properties):
                which = _corner_list(name, element) if element.name == "face" else None
                lists, at = _records(rest, at, order, element, which)
                faces = lists if element.name == "face" else faces
                continue
            kind = np.dtype([(f"{i}", order + one.of) for i, one in enumerate(element.properties)])
            table = np.frombuffer(rest, kind, element.number, at)
            at += kind.itemsize * element.number
            if element.name == "vertex":
                vertices = np.stack([table[f"{i}"] for i in _columns(name, element)], axis=1).astype(np.float64)
            elif element.name == "face":
                _corner_list(name, element)
    except ValueError:
        raise refused(name, f"{len(rest)} bytes after its header", "as many as it says", CUT_SHORT) from None
    return vertices, faces


def _records(rest: bytes, at: int, order: str, element: _Element, which: int | None) -> tuple[list[list[int]], int]:
    """Lists of one property of every record, and where the records end; raises ValueError beyond the end."""
    found = list[list[int]]()
    threes = np.dtype([part for i, one in enumerate(element.properties) for part in _as_threes(f"{i}", order, one)])
    if threes.itemsize * element.number <= len(rest) - at and which is not None:
        table = np.frombuffer(rest, threes, element.number, at)
        if all(np.all(table[f"{i} count"] == 3) for i, one in enumerate(element.properties) if one.count):
            return table[f"{which}"].tolist(), at + table.nbytes  # triangles alone, thirty times as fast
    for _ in range(element.number):
        for number, one in enumerate(element.properties):
            count = 1
            if one.count:
                count = int(np.frombuffer(rest, order + one.count, 1, at)[0])
                at += np.dtype(one.count).itemsize
            values = np.frombuffer(rest, order + one.of, count, at)
            at += np.dtype(one.of).itemsize * count
            if number == which:
                if count < 3:
                    raise ValueError(count)
                found.append(values.tolist())
    return found, at


def _as_threes(name: str, order: str, one: _Property) -> list[tuple[str, str] | tuple[str, str, int]]:
    """Columns of a property if every list had three items."""
    return [(f"{name} count", order + one.count), (name, order + one.of, 3)] if one.count else [(name, order + one.of)]
