"""Files that are either whole or absent."""

import os
import tempfile
from pathlib import Path

__all__ = ["write_whole"]


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that no reader ever sees half of it.

    The content goes to a temporary name in the same folder, is forced to the disk, and takes its name by a rename.

    Raises
    ------
    OSError
        If the folder cannot be written; nothing is left behind.
    """
    handle, temporary = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".partial", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).replace(path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
