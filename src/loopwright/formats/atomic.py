"""Files that are either whole or absent."""

import contextlib
import os
import tempfile
from pathlib import Path
from time import time

__all__ = ["is_unfinished", "remove_abandoned", "write_whole"]

_UNFINISHED = ".partial"

# No single file of ours takes an hour to write; what is older belongs to a process that was killed.
_ABANDONED_AFTER_S = 3600.0


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that no reader ever sees half of it.

    The content goes to a temporary name in the same folder, is forced to the disk, and takes its name by a rename. A
    process that is killed meanwhile leaves the temporary file, which nobody reads; see `remove_abandoned`.

    Raises
    ------
    OSError
        If the folder cannot be written; nothing is left behind.
    """
    handle, temporary = tempfile.mkstemp(prefix=f".{path.name}.", suffix=_UNFINISHED, dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).replace(path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def is_unfinished(path: Path) -> bool:
    """Whether a file has the name under which `write_whole` begins."""
    return path.name.startswith(".") and path.name.endswith(_UNFINISHED)


def remove_abandoned(folder: Path) -> list[Path]:
    """Remove pieces that nobody has gone on writing for an hour, as far as that is allowed, and return their paths."""
    before_s = time() - _ABANDONED_AFTER_S
    removed = []
    for path in sorted(folder.glob(f"??/.*.npz.*{_UNFINISHED}")):
        with contextlib.suppress(OSError):  # finished, or removed by another process meanwhile
            if path.stat().st_mtime < before_s:
                path.unlink()
                removed.append(path)
    return removed
