"""A folder of finished pieces of computations, found again by the key of their canonical inputs."""

import os
import re
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from time import time

import numpy as np
from numpy.typing import NDArray

from loopwright.formats.atomic import remove_abandoned, write_whole
from loopwright.formats.pieces import Arrays, PieceLabel, packed, unpacked
from loopwright.formats.store_index import IndexedPiece, StoreIndex
from loopwright.ground.errors import StoreError
from loopwright.ground.progress import PieceStore

__all__ = ["FolderStore", "RefreshingStore", "TolerantStore", "key_of"]

_KEY = re.compile(r"[0-9a-z][0-9a-z_-]{7,127}")


class FolderStore:
    """Pieces in a folder, two levels deep: the first two letters of the key, then the rest.

    A folder in which nothing can be written is read all the same.

    Parameters
    ----------
    folder : Path
        Where the pieces lie; made if it is missing.
    note : callable
        Called with one sentence when a damaged piece is met.
    brief, tool_version : str
        Written into every piece that is kept: for what and by what it was computed.

    Raises
    ------
    StoreError
        If there is no such folder and none can be made.
    """

    def __init__(self, folder: Path, *, note: Callable[[str], None], brief: str, tool_version: str) -> None:
        self._folder = folder
        self._note = note
        self._brief = brief
        self._tool_version = tool_version
        self._index: StoreIndex | None = StoreIndex(folder, note=note)
        self._why_closed = ""
        try:
            folder.mkdir(parents=True, exist_ok=True)
            os.scandir(folder).close()
        except OSError as error:
            raise StoreError(
                f"the store {folder} cannot be used: {error.strerror or error}; choose another --store"
            ) from error
        try:
            write_whole(folder / ".writable", b"")
            (folder / ".writable").unlink(missing_ok=True)
            remove_abandoned(folder)
        except OSError as error:
            self._index, self._why_closed = None, f"{error.strerror or error}"

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
            content = path.read_bytes()
        except FileNotFoundError:
            return None
        except OSError as error:
            self._note(f"the stored piece {path} cannot be read ({error.strerror or error}); it is computed again")
            return None
        arrays = unpacked(content, key=key)
        if arrays is None:
            self._note(f"the stored piece {path} is damaged; it is computed again")
        else:
            self._mark_used(path, key)
        return arrays

    def _mark_used(self, path: Path, key: str) -> None:
        """Remember the time in the index and on the file itself, for an index can be lost or out of reach."""
        now_s = time()
        with suppress(OSError):
            os.utime(path, (now_s, path.stat().st_mtime))
        if self._index is not None:
            self._index.mark_used(key, now_s)

    def save(self, key: str, arrays: Arrays) -> None:
        """Keep these arrays under this key.

        Raises
        ------
        StoreError
            If nothing can be written here, the disk refuses, or an array holds Python objects.
        """
        path = self.path(key)
        if self._index is None:
            raise StoreError(f"the store {self._folder} cannot be written: {self._why_closed}")
        try:
            content, label = packed(arrays, key=key, brief=self._brief, tool_version=self._tool_version)
        except ValueError as error:
            raise StoreError(f"piece {key}: {error}") from error
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(path, content)
        except OSError as error:
            raise StoreError(f"the piece {path} cannot be written: {error.strerror or error}") from error
        self._index.enter([_entry(label, len(content))])


class TolerantStore:
    """Gives and keeps what another store does, and lets nobody wait for nothing because a disk is full.

    What took minutes to compute goes on into the results even where it cannot be kept; that is said once.
    """

    def __init__(self, kept: PieceStore, *, note: Callable[[str], None]) -> None:
        self._kept = kept
        self._note: Callable[[str], None] | None = note

    def load(self, key: str) -> dict[str, NDArray[np.generic]] | None:
        """Return what the other store has."""
        return self._kept.load(key)

    def save(self, key: str, arrays: Arrays) -> None:
        """Keep the arrays in the other store if it can."""
        try:
            self._kept.save(key, arrays)
        except StoreError as error:
            if self._note is not None:
                self._note(f"{error}; the run goes on, but what cannot be kept has to be computed again another time")
            self._note = None


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


def key_of(path: Path) -> str | None:
    """Return the key of the piece that lies under this path, or None where the name is not that of a piece."""
    key = f"{path.parent.name}{path.stem}"
    return key if path.suffix == ".npz" and len(path.parent.name) == 2 and _KEY.fullmatch(key) else None


def _entry(label: PieceLabel, size_bytes: int) -> IndexedPiece:
    now_s = time()
    return IndexedPiece(label=label, size_bytes=size_bytes, made_s=now_s, used_s=now_s)
