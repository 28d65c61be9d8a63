"""What a store knows about its pieces without opening them: an SQLite file beside them.

The files are the truth. The index adds when a piece was used last, and saves opening every file in order to list them;
it can be lost at any time and is made again from the files. Nothing that it does may stop a run.

A rollback journal, not a write-ahead log: several processes may write at once either way, one file less lies about, and
it needs no memory shared between the processes, which network folders do not give.
"""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import astuple, dataclass
from pathlib import Path
from typing import TypeVar

from loopwright.formats.pieces import PieceLabel

__all__ = ["INDEX", "IndexedPiece", "StoreIndex"]

#: Name of the file in the folder of the store.
INDEX = "index.sqlite"

# How long one process waits for another that writes; a write takes milliseconds.
_PATIENCE_S = 5.0

_TABLE = """
create table if not exists pieces (
    key text primary key, brief text not null, tool_version text not null, holds text not null, sha256 text not null,
    size_bytes integer not null, made_s real not null, used_s real not null
) without rowid
"""


_LINES = "select key, brief, tool_version, holds, sha256, size_bytes, made_s, used_s from pieces"
_ENTER = "insert or replace into pieces values (?, ?, ?, ?, ?, ?, ?, ?)"
_USED = "update pieces set used_s = max(used_s, ?) where key = ?"
_STRIKE = "delete from pieces where key = ?"

_WITHOUT = "pieces are kept and found without it, `loopwright store` completes it"

Line = tuple[str, str, str, str, str, int, float, float]
Answer = TypeVar("Answer")


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexedPiece:
    """One line of the index; times in seconds since 1970, size in bytes."""

    label: PieceLabel
    size_bytes: int
    made_s: float
    used_s: float


class StoreIndex:
    """The index of one store. No method raises: what goes wrong is told once, and the store goes on without.

    Parameters
    ----------
    folder : Path
        The folder of the store.
    note : callable
        Called with one sentence when the index cannot be used.
    """

    def __init__(self, folder: Path, *, note: Callable[[str], None]) -> None:
        self._path = folder / INDEX
        self._note = note
        self._usable = True

    def pieces(self) -> dict[str, IndexedPiece]:
        """Return every line, by key; none where the index cannot be used."""
        rows = self._done(_checked_lines)
        return {row[0]: _piece(row) for row in rows or ()}

    def enter(self, pieces: list[IndexedPiece]) -> None:
        """Enter pieces, or replace their lines."""
        rows = [(*astuple(piece.label), piece.size_bytes, piece.made_s, piece.used_s) for piece in pieces]
        self._done(lambda connection: connection.executemany(_ENTER, rows))

    def mark_used(self, key: str, now_s: float) -> None:
        """Remember that a piece was of use at this time since 1970. [s]"""
        self._done(lambda connection: connection.execute(_USED, (now_s, key)))

    def strike(self, keys: list[str]) -> None:
        """Take pieces out."""
        self._done(lambda connection: connection.executemany(_STRIKE, [(key,) for key in keys]))

    def _done(self, action: Callable[[sqlite3.Connection], Answer]) -> Answer | None:
        """Do all of it or nothing; None where the index cannot be used."""
        if not self._usable:
            return None
        try:
            return self._transacted(action)
        except sqlite3.Error as error:
            if not _is_damage(error):
                self._give_up(error)
                return None
            self._note(f"the index {self._path} was damaged ({error}); {_WITHOUT}")
        try:
            self._path.unlink(missing_ok=True)
            return self._transacted(action)
        except (sqlite3.Error, OSError) as error:
            self._give_up(error)
            return None

    def _transacted(self, action: Callable[[sqlite3.Connection], Answer]) -> Answer:
        with closing(sqlite3.connect(self._path, timeout=_PATIENCE_S)) as connection, connection:
            connection.execute(_TABLE)
            return action(connection)

    def _give_up(self, reason: Exception) -> None:
        self._usable = False
        self._note(f"the index {self._path} cannot be used ({reason}); {_WITHOUT}")


def _checked_lines(connection: sqlite3.Connection) -> list[Line]:
    """All lines, after looking whether the file agrees with itself: SQLite reads over much that is broken."""
    (told,) = connection.execute("pragma quick_check(1)").fetchone()
    if told != "ok":
        raise sqlite3.DatabaseError(told)
    return connection.execute(_LINES).fetchall()


def _is_damage(error: sqlite3.Error) -> bool:
    """Whether the file is no index of ours, rather than out of reach for now."""
    return type(error) is sqlite3.DatabaseError or getattr(error, "sqlite_errorcode", None) == sqlite3.SQLITE_ERROR


def _piece(row: Line) -> IndexedPiece:
    key, brief, tool_version, holds, sha256, size_bytes, made_s, used_s = row
    label = PieceLabel(key=key, brief=brief, tool_version=tool_version, holds=holds, sha256=sha256)
    return IndexedPiece(label=label, size_bytes=size_bytes, made_s=made_s, used_s=used_s)
