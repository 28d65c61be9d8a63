"""The brief, from its file."""

from pathlib import Path

from loopwright.brief import Brief, read_brief
from loopwright.ground.errors import BriefError, Complaint

__all__ = ["brief_from", "text_of"]


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
    return read_brief(text_of(path), str(path))


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
