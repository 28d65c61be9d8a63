"""Geometry that a brief names by a file: what has to come of the file, and who brings it.

Nothing is opened here. Whoever reads a brief from its folder passes on something that reads the files beside it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.surface import Surface

__all__ = ["GeometryFiles", "LabelFile", "SurfaceFile"]

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SurfaceFile:
    """A surface as its file has it: closed, outward, in the unit and along the axes of the file.

    Attributes
    ----------
    name
        Name of the file as the brief has it.
    sha256
        Digest of its bytes.
    parts
        Surfaces that hang together, the largest first; a hollow is a part of negative volume. Lengths count in the
        unit of the file, although a Surface names them metres.
    apart
        Why the parts cannot be taken together; empty where they can.
    notes
        What was put right on the way.
    """

    name: str
    sha256: str
    parts: tuple[Surface, ...]
    apart: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LabelFile:
    """Labels as their file has them, cut to the voxels that are not 0.

    Attributes
    ----------
    name
        Name of the file as the brief has it.
    sha256
        Digest of its bytes.
    labels
        Along the three axes of the file's voxels.
    sizes
        Size of a voxel along each of these, in the unit of the file.
    axes
        Where each of these points in the patient: ``left``, ``anterior`` and so on, the nearest where they are turned;
        empty where the file does not tell.
    turned_deg
        Largest angle between an axis and the direction that it is named by. [degree]
    middle
        Position of the middle of ``labels`` along left, posterior and head, in the unit of the file.
    unit
        Unit of length that the file names; empty where it names none.
    counts
        Number of voxels of every label.
    """

    name: str
    sha256: str
    labels: NDArray[np.integer]
    sizes: Triple
    axes: tuple[str, ...]
    turned_deg: float
    middle: Triple
    unit: str
    counts: Mapping[int, int]


class GeometryFiles(Protocol):
    """Brings the files that a brief names."""

    def surface(self, name: str) -> SurfaceFile:
        """Read a surface; raises GeometryError with everything that is wrong with it."""

    def labels(self, name: str) -> LabelFile:
        """Read a volume of labels; raises GeometryError with everything that is wrong with it."""
