"""Looking at a store, holding it against its checksums, and forgetting what nobody needs.

The index is brought into line with the files first, so that what is told here is true even after it was lost.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from time import time

from loopwright.formats.atomic import is_unfinished, remove_abandoned
from loopwright.formats.pieces import label_of, unpacked
from loopwright.formats.store import key_of
from loopwright.formats.store_index import INDEX, IndexedPiece, StoreIndex
from loopwright.ground.errors import StoreError

__all__ = ["ForgettingRule", "StoreContents", "damaged_pieces", "forget", "look_at"]

_DAY_S = 86400.0


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreContents:
    """What lies in a store: its pieces by path, and what else was found.

    ``unreadable`` have the name of a piece and are none, ``foreign`` are files of somebody else, ``removed`` were left
    unfinished by a process that was killed.
    """

    folder: Path
    pieces: dict[Path, IndexedPiece]
    unreadable: tuple[Path, ...]
    foreign: tuple[Path, ...]
    removed: tuple[Path, ...]

    @property
    def size_bytes(self) -> int:
        """All pieces together."""
        return sum(piece.size_bytes for piece in self.pieces.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class ForgettingRule:
    """Which pieces are to go: those that meet every condition that is given.

    ``version_kept`` is the version of the tool whose pieces stay. Nothing given would mean everything: that is refused.
    """

    unused_days: float | None = None
    made_days: float | None = None
    version_kept: str | None = None

    def __post_init__(self) -> None:
        """Refuse a rule without a condition."""
        if self.unused_days is None and self.made_days is None and self.version_kept is None:
            raise StoreError("nothing is forgotten without a condition")

    def meets(self, piece: IndexedPiece, now_s: float) -> bool:
        """Tell whether a piece is to go at this time since 1970. [s]"""
        if self.unused_days is not None and now_s - piece.used_s < self.unused_days * _DAY_S:
            return False
        if self.made_days is not None and now_s - piece.made_s < self.made_days * _DAY_S:
            return False
        return self.version_kept is None or piece.label.tool_version != self.version_kept


def look_at(folder: Path, *, note: Callable[[str], None]) -> StoreContents:
    """Return what lies in a store, after bringing its index into line with the files.

    Raises
    ------
    StoreError
        If there is no such folder or it cannot be read.
    """
    try:
        files = [path for path in sorted(_files(folder)) if not _is_of_the_store(path, folder)]
    except OSError as error:
        raise StoreError(f"the store {folder} cannot be read: {error.strerror or error}") from error
    keys = {path: key for path in files if path.parent.parent == folder and (key := key_of(path)) is not None}
    index = StoreIndex(folder, note=note)
    known = index.pieces() if keys else {}  # no index is begun in a folder that is no store
    found = {path: _found(path, known.get(key)) for path, key in keys.items()}
    pieces = {path: piece for path, piece in found.items() if piece is not None}
    if entered := [piece for path, piece in pieces.items() if known.get(keys[path]) != piece]:
        index.enter(entered)
    if gone := sorted(set(known) - {keys[path] for path in pieces}):
        index.strike(gone)
    return StoreContents(
        folder=folder,
        pieces=pieces,
        unreadable=tuple(path for path, piece in found.items() if piece is None),
        foreign=tuple(path for path in files if path not in keys),
        removed=tuple(remove_abandoned(folder)),
    )


def damaged_pieces(contents: StoreContents) -> list[Path]:
    """Read every piece, hold it against its checksum and return those that are damaged; nothing is changed."""
    damaged = list(contents.unreadable)
    for path in contents.pieces:
        try:
            whole = unpacked(path.read_bytes(), key=key_of(path) or "") is not None
        except FileNotFoundError:  # forgotten by somebody else meanwhile
            whole = True
        except OSError:
            whole = False
        if not whole:
            damaged.append(path)
    return sorted(damaged)


def forget(contents: StoreContents, rule: ForgettingRule, *, note: Callable[[str], None]) -> dict[Path, IndexedPiece]:
    """Remove the pieces that a rule names, and return them; a run that needs one computes it again.

    Raises
    ------
    StoreError
        If a piece cannot be removed.
    """
    now_s = time()
    going = {path: piece for path, piece in contents.pieces.items() if rule.meets(piece, now_s)}
    for path in going:
        try:
            path.unlink(missing_ok=True)
        except OSError as error:
            raise StoreError(f"the piece {path} cannot be removed: {error.strerror or error}") from error
    StoreIndex(contents.folder, note=note).strike([piece.label.key for piece in going.values()])
    return going


def _files(folder: Path) -> Iterable[Path]:
    """Everything that is no folder, at any depth; a folder in the place of a piece counts as one thing."""
    for path in folder.iterdir():
        if path.is_dir() and not path.is_symlink() and key_of(path) is None:
            yield from _files(path)
        else:
            yield path


def _is_of_the_store(path: Path, folder: Path) -> bool:
    return is_unfinished(path) or (path.parent == folder and path.name in (INDEX, f"{INDEX}-journal"))


def _found(path: Path, known: IndexedPiece | None) -> IndexedPiece | None:
    """Return the piece under this path, from the index where that still holds; None where it is none."""
    try:
        status = path.stat()
    except OSError:
        return known
    if known is not None and known.size_bytes == status.st_size:
        return known
    label = label_of(path)
    if label is None:
        return None
    used_s = max(status.st_atime, status.st_mtime)
    return IndexedPiece(label=label, size_bytes=status.st_size, made_s=status.st_mtime, used_s=used_s)
