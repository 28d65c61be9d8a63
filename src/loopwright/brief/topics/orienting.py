"""Geometry of a file brought into the body frame: along its axes, in metres, about its origin."""

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.geometry import LabelFile, SurfaceFile
from loopwright.brief.records import LabelTissue
from loopwright.ground.labels import LabelVolume
from loopwright.ground.surface import Surface
from loopwright.ground.units import si_value

__all__ = [
    "DIRECTIONS",
    "LARGEST_M",
    "SMALLEST_M",
    "UNITS",
    "air_of",
    "axes_of",
    "box_of_file_m",
    "labels_in_body",
    "mirrored",
    "surface_in_body",
    "unit_of",
    "written_box_m",
]

Real = NDArray[np.float64]
Triple = tuple[float, float, float]
Box = tuple[Triple, Triple]

#: Extents of a part of a patient, or of a phantom, beyond which the unit is not believed.
SMALLEST_M, LARGEST_M = 10e-3, 2.5
MIDDLE = "middle of the box"
UNITS = ("um", "mm", "cm", "m", "inch")
#: Where an axis of a file may point: axis of the body frame, and whether along it or against it.
DIRECTIONS = {
    "left": (0, 1), "right": (0, -1), "posterior": (1, 1), "anterior": (1, -1), "head": (2, 1), "feet": (2, -1),
}  # fmt: skip


def _turn(axes: Sequence[str]) -> Real | None:
    """Matrix from the axes of a file to the body frame; None where they are not three different ones."""
    turn = np.zeros((3, 3))
    for column, word in enumerate(axes):
        row, sign = DIRECTIONS[word]
        turn[row, column] = sign
    return turn if np.all(np.abs(turn).sum(axis=1) == 1) else None


def mirrored(axes: Sequence[str]) -> bool | None:
    """Whether a file with these axes has its left and right swapped; None where they are not three different ones."""
    turn = _turn(axes)
    return None if turn is None else bool(np.linalg.det(turn) < 0)


def unit_of(file: SurfaceFile | LabelFile, unit: str | None) -> str | None:
    """Unit that is written, else that of the image, which without one is in millimetres (common practice)."""
    return unit or (file.unit or "mm" if isinstance(file, LabelFile) else None)


@lru_cache(maxsize=2)
def surface_in_body(file: SurfaceFile, unit: str, axes: tuple[str, ...], origin: str, parts: str) -> Surface:
    """The surface of a file in the body frame, of all its parts or of the largest. [m]"""
    turn = _turn(axes)
    assert turn is not None  # noqa: S101 - axes that do not fit have been refused
    kept = file.parts if parts == "all" else file.parts[:1]
    ends = np.cumsum([0, *(len(part.vertices_m) for part in kept)])
    vertices = np.concatenate([part.vertices_m for part in kept]) @ turn.T * si_value(f"1 {unit}", "m")
    if origin == MIDDLE:
        vertices = vertices - (vertices.min(axis=0) + vertices.max(axis=0)) / 2
    triangles = np.concatenate([part.triangles + end for part, end in zip(kept, ends[:-1], strict=True)])
    return Surface(vertices_m=vertices, triangles=triangles)


@lru_cache(maxsize=2)  # rules ask for its box one after the other, and an image may be large
def labels_in_body(
    file: LabelFile, unit: str, axes: tuple[str, ...], origin: str, air: tuple[int, ...]
) -> LabelVolume | None:
    """The labels of a file in the body frame, cut to the body; labels that are air become 0. [m]

    None where all of it is air.
    """
    turn = _turn(axes)
    assert turn is not None  # noqa: S101 - as above
    labels = np.where(np.isin(file.labels, air), 0, file.labels) if air else file.labels
    filled = [np.flatnonzero(labels.any(axis=tuple({0, 1, 2} - {axis}))) for axis in range(3)]
    if not len(filled[0]):
        return None
    labels = labels[tuple(slice(int(one[0]), int(one[-1]) + 1) for one in filled)]
    cut = [(one[0] + one[-1] + 1 - count) / 2 for one, count in zip(filled, file.labels.shape, strict=True)]
    order = np.abs(turn).argmax(axis=1)
    backwards = [axis for axis in range(3) if turn[axis].sum() < 0]
    scale = si_value(f"1 {unit}", "m")
    labels = np.ascontiguousarray(np.flip(np.transpose(labels, order), axis=tuple(backwards)))
    spacing = scale * np.asarray(file.sizes)[order]
    middle = scale * (np.asarray(file.middle) + turn @ (cut * np.asarray(file.sizes)))
    if origin == MIDDLE:
        middle = np.zeros(3)
    x, y, z = (middle - spacing * labels.shape / 2).tolist()
    u, v, w = spacing.tolist()
    return LabelVolume(labels=labels, spacing_m=(u, v, w), origin_m=(x, y, z))


def axes_of(file: SurfaceFile | LabelFile, axes: tuple[str, ...] | None) -> tuple[str, ...] | None:
    """Axes that are written, else those of the image; None where neither tells them."""
    return axes or ((file.axes or None) if isinstance(file, LabelFile) else None)


def air_of(tissues: Iterable[LabelTissue]) -> tuple[int, ...]:
    """Labels that are air."""
    return tuple(one.label for one in tissues if one.material is None)


def box_of_file_m(values: Mapping[str, Any]) -> Box | None:
    """Lower and upper corner of what a file brings, where its size is one of a body; see written_box_m. [m]"""
    box = written_box_m(values)
    size = 0.0 if box is None else max(high - low for low, high in zip(*box, strict=True))
    return box if SMALLEST_M <= size <= LARGEST_M else None


def written_box_m(values: Mapping[str, Any]) -> Box | None:
    """Lower and upper corner of what a file brings, from the keys that were read; None where one is missing. [m]"""
    file, origin = values.get("file"), values.get("origin")
    if file is None or origin is None:
        return None
    unit, axes = unit_of(file, values.get("unit")), axes_of(file, values.get("axes"))
    if unit is None or axes is None or mirrored(axes) is None:
        return None
    if isinstance(file, LabelFile):
        volume = labels_in_body(file, unit, axes, origin, air_of(values.get("tissues") or ()))
        return None if volume is None else volume.box_m
    lower, upper = surface_in_body(file, unit, axes, origin, values.get("parts", "one")).box_m
    return (lower[0], lower[1], lower[2]), (upper[0], upper[1], upper[2])
