"""The files beside a brief, each read once."""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from loopwright.bodies.imported.checks import Fault, faults_in, faults_of, joined, parts_of, why_apart
from loopwright.brief.geometry import LabelFile, SurfaceFile
from loopwright.formats.geometry.nifti import label_file
from loopwright.formats.geometry.obj import obj_corners
from loopwright.formats.geometry.ply import ply_corners
from loopwright.formats.geometry.refusals import refused
from loopwright.formats.geometry.stl import stl_corners
from loopwright.ground.errors import Complaint, GeometryError

__all__ = ["FolderGeometry"]

_MOST_BYTES = 500_000_000
_READERS = {".stl": stl_corners, ".ply": ply_corners, ".obj": obj_corners}

File = TypeVar("File", SurfaceFile, LabelFile)


@dataclass(frozen=True, slots=True)
class FolderGeometry:
    """Reads the files that a brief names, which lie relative to its own folder."""

    folder: Path
    _surfaces: dict[str, SurfaceFile | GeometryError] = field(default_factory=dict, repr=False)
    _labels: dict[str, LabelFile | GeometryError] = field(default_factory=dict, repr=False)

    def surface(self, name: str) -> SurfaceFile:
        """Read a surface from STL, PLY or OBJ.

        Raises
        ------
        GeometryError
            If it cannot be read, or does not bound a body.
        """
        return _once(name, self.folder, _surface_file, self._surfaces)

    def labels(self, name: str) -> LabelFile:
        """Read a volume of labels from NIfTI.

        Raises
        ------
        GeometryError
            If it cannot be read, or holds no labels.
        """
        return _once(name, self.folder, _label_file, self._labels)


def _once(name: str, folder: Path, read: Callable[[str, Path], File], before: dict[str, File | GeometryError]) -> File:
    """Read a file, or take up what came of it before: many designs of one brief name the same file."""
    if name not in before:
        try:
            before[name] = read(name, folder / Path(name))
        except GeometryError as error:
            before[name] = error
    found = before[name]
    if isinstance(found, GeometryError):
        raise found
    return found


def _surface_file(name: str, path: Path) -> SurfaceFile:
    read = _READERS.get(path.suffix.lower())
    if read is None:
        raise refused(name, f"{path.suffix or 'no ending'}", ".stl, .ply or .obj", "export the surface as binary STL")
    content = _bytes_of(name, path)
    corners = read(name, content)
    _complain(name, [*faults_in(corners)])
    surface, dropped = joined(corners)
    _complain(name, [*faults_of(surface)])
    parts = parts_of(surface)
    notes = (f"{dropped} triangles of {name} without area, two corners being one, were left out.",) if dropped else ()
    return SurfaceFile(
        name=name, sha256=hashlib.sha256(content).hexdigest(), parts=parts, apart=why_apart(parts), notes=notes
    )


def _label_file(name: str, path: Path) -> LabelFile:
    if not path.name.lower().endswith((".nii", ".nii.gz")):
        ending = path.suffix or "no ending"
        raise refused(name, ending, ".nii or .nii.gz", "export the labels as NIfTI, in one file")
    content = _bytes_of(name, path)
    return label_file(name, content, hashlib.sha256(content).hexdigest())


def _bytes_of(name: str, path: Path) -> bytes:
    try:
        size = path.stat().st_size
        if size > _MOST_BYTES:
            raise refused(
                name,
                f"{size / 1e6:.0f} MB",
                f"at most {_MOST_BYTES / 1e6:.0f} MB",
                "write it with fewer triangles or voxels",
            )
        content = path.read_bytes()
    except OSError as error:
        remedy = "look at its name; it is looked for in the folder of the brief"
        raise refused(name, error.strerror or str(error), "a file that can be read", remedy) from error
    if not content:
        raise refused(name, "an empty file", "a file with geometry", "export or copy it again")
    return content


def _complain(name: str, faults: list[Fault]) -> None:
    """Refuse a surface for everything that is wrong with it."""
    if faults:
        raise GeometryError(
            tuple(
                Complaint(
                    file=name, line=0, field="geometry", found=fault.found, allowed=fault.allowed, remedy=fault.remedy
                )
                for fault in faults
            )
        )
