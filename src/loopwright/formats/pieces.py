"""A folder of finished pieces of computations, found again by the key of their canonical inputs.

A piece is a plain .npz archive without pickles. One more entry holds the sha256 of all others, so that a piece that was
damaged on the disk is noticed, named, and computed again rather than believed.
"""

import hashlib
import io
import re
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path

import numpy as np
from numpy.lib import format as npy
from numpy.typing import NDArray

from loopwright.formats.atomic import write_whole
from loopwright.ground.errors import StoreError
from loopwright.ground.progress import PieceStore

__all__ = ["FolderStore", "RefreshingStore"]

_CHECKSUM = "sha256"
_KEY = re.compile(r"[0-9a-z][0-9a-z_-]{7,127}")

Arrays = Mapping[str, NDArray[np.generic]]


class FolderStore:
    """Pieces in a folder, two levels deep: the first two letters of the key, then the rest.

    Parameters
    ----------
    folder : Path
        Where the pieces lie; made if it is missing.
    note : callable
        Called with one sentence when a damaged piece is met.

    Raises
    ------
    StoreError
        If the folder cannot be made or written.
    """

    def __init__(self, folder: Path, *, note: Callable[[str], None]) -> None:
        self._folder = folder
        self._note = note
        try:
            folder.mkdir(parents=True, exist_ok=True)
            probe = folder / ".writable"
            write_whole(probe, b"")
            probe.unlink(missing_ok=True)
        except OSError as error:
            raise StoreError(f"the store {folder} cannot be written: {error.strerror or error}") from error

    def path(self, key: str) -> Path:
        """Return where the piece of this key lies, whether it exists or not.

        Raises
        ------
        StoreError
            If the key is not 8 to 128 lower-case letters, digits, hyphens and underscores.
        """
        if not _KEY.fullmatch(key):
            raise StoreError(f"{key!r} cannot be the key of a piece: 8 to 128 of a-z, 0-9, hyphen and underscore")
        return self._folder / key[:2] / f"{key[2:]}.npz"

    def load(self, key: str) -> dict[str, NDArray[np.generic]] | None:
        """Return the arrays kept under this key, or None where there are none or they are damaged."""
        path = self.path(key)
        try:
            arrays = _read(path.read_bytes())
        except FileNotFoundError:
            return None
        except OSError as error:
            self._note(f"the stored piece {path} cannot be read ({error.strerror or error}); it is computed again")
            return None
        if arrays is None:
            self._note(f"the stored piece {path} is damaged; it is computed again")
        return arrays

    def save(self, key: str, arrays: Arrays) -> None:
        """Keep these arrays under this key.

        Raises
        ------
        StoreError
            If the disk refuses, or an array holds Python objects.
        """
        path = self.path(key)
        for name, array in arrays.items():
            if array.dtype.hasobject or name == _CHECKSUM:
                raise StoreError(f"piece {key}: the array {name!r} cannot be kept")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(path, _archive(arrays))
        except OSError as error:
            raise StoreError(f"the piece {path} cannot be written: {error.strerror or error}") from error


class RefreshingStore:
    """Finds nothing, so that everything is computed again, and keeps what was computed in another store."""

    def __init__(self, kept: PieceStore) -> None:
        self._kept = kept

    def load(self, key: str) -> dict[str, NDArray[np.generic]] | None:  # noqa: ARG002 - the Protocol names it
        """Find nothing."""
        return None

    def save(self, key: str, arrays: Arrays) -> None:
        """Keep the arrays in the other store."""
        self._kept.save(key, arrays)


def _archive(arrays: Arrays) -> bytes:
    content = io.BytesIO()
    entries = {**arrays, _CHECKSUM: np.frombuffer(_digest(arrays), dtype=np.uint8)}
    with zipfile.ZipFile(content, "w", zipfile.ZIP_STORED) as archive:
        for name, array in entries.items():
            with archive.open(f"{name}.npy", "w", force_zip64=True) as entry:
                npy.write_array(entry, np.asanyarray(array), allow_pickle=False)
    return content.getvalue()


def _read(content: bytes) -> dict[str, NDArray[np.generic]] | None:
    """Return the arrays, or None where the archive or its checksum is broken."""
    try:
        with np.load(io.BytesIO(content), allow_pickle=False) as archive:
            arrays = {name: archive[name] for name in archive.files}
        found = arrays.pop(_CHECKSUM).tobytes()
    except (zipfile.BadZipFile, ValueError, KeyError, EOFError, OSError, NotImplementedError):
        return None
    return arrays if found == _digest(arrays) else None


def _digest(arrays: Arrays) -> bytes:
    digest = hashlib.sha256()
    for name in sorted(arrays):
        array = np.ascontiguousarray(arrays[name])
        digest.update(f"{name}|{array.dtype.str}|{array.shape}|".encode())
        digest.update(array.tobytes())
    return digest.digest()
