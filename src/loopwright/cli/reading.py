"""The brief, from its file."""

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from loopwright.brief import Brief, GeometryFiles, LabelFile, SurfaceFile, read_brief
from loopwright.ground.errors import BriefError, Complaint

__all__ = ["brief_from", "geometry_beside", "text_of"]


def text_of(path: Path) -> str:
    """Read the text of a brief.

    Raises
    ------
    BriefError
        If there is no such file, or it is not text.
    """
    try:
        return path.read_text("utf-8")
    except UnicodeDecodeError:
        raise _unreadable(path, "not text in UTF-8") from None
    except OSError as error:
        raise _unreadable(path, error.strerror or str(error)) from None


def brief_from(path: Path) -> Brief:
    """Read a brief from its file.

    Raises
    ------
    BriefError
        With every complaint about it.
    """
    return read_brief(text_of(path), str(path), geometry=geometry_beside(path))


def geometry_beside(path: Path) -> GeometryFiles:
    """What reads the files of geometry that a brief names, in the folder of the brief."""
    return _FilesBeside(path.parent)


@dataclass(frozen=True)
class _FilesBeside:
    """Brings in what reads geometry only when a brief names a file: most name none, and a wrong one is told at once."""

    folder: Path

    def surface(self, name: str) -> SurfaceFile:
        """Read a surface; raises GeometryError."""
        return self._reader.surface(name)

    def labels(self, name: str) -> LabelFile:
        """Read a volume of labels; raises GeometryError."""
        return self._reader.labels(name)

    @cached_property
    def _reader(self) -> GeometryFiles:
        from loopwright.formats.geometry import FolderGeometry  # noqa: PLC0415 - see above

        return FolderGeometry(self.folder)


def _unreadable(path: Path, found: str) -> BriefError:
    return BriefError(
        (
            Complaint(
                file=str(path),
                line=0,
                field="file",
                found=found,
                allowed="a brief, YAML in UTF-8",
                remedy="check the path; `loopwright new DIR` writes a brief to begin with",
            ),
        )
    )
