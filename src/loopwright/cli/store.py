"""The store of finished pieces as the command line shows it."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path

import platformdirs
import typer

from loopwright import __version__
from loopwright.cli.app import StoreTask, Versions
from loopwright.formats.store_care import ForgettingRule, StoreContents, damaged_pieces, forget, look_at
from loopwright.formats.store_index import IndexedPiece

__all__ = ["looked_after", "store_folder"]

_PATHS_SHOWN = 20
_DAMAGED = 4


def store_folder(folder: Path | None) -> Path:
    """Return the folder of the store: the one that was named, or that of the user's cache."""
    return platformdirs.user_cache_path("loopwright") / "pieces" if folder is None else folder


def looked_after(
    task: StoreTask, *, folder: Path | None, unused_days: float | None, made_days: float | None, versions: Versions
) -> tuple[str, int]:
    """Do what is asked, and return what to print and the exit code.

    Raises
    ------
    StoreError
        If the store cannot be used.
    """
    if folder is None and not store_folder(None).exists():
        return f"{store_folder(None)}: nothing is kept yet", 0
    contents = look_at(store_folder(folder), note=_note)
    match task:
        case StoreTask.LOOK:
            return "\n".join([*_listed(contents), *_remarks(contents)]), 0
        case StoreTask.CHECK:
            damaged = damaged_pieces(contents)
            checked = f"{contents.folder}: {_counted(contents.pieces.values())}, {len(damaged)} damaged"
            return "\n".join([checked, *(f"  damaged  {path}" for path in damaged)]), _DAMAGED if damaged else 0
        case StoreTask.FORGET:
            kept = __version__ if versions is Versions.OTHERS else None
            rule = ForgettingRule(unused_days=unused_days, made_days=made_days, version_kept=kept)
            gone = forget(contents, rule, note=_note)
            left = [piece for path, piece in contents.pieces.items() if path not in gone]
            return f"{contents.folder}: forgotten {_counted(gone.values())}; left {_counted(left)}", 0


def _listed(contents: StoreContents) -> list[str]:
    """One line for each brief and version, the one that was used last on top."""
    groups: dict[tuple[str, str], list[IndexedPiece]] = defaultdict(list)
    for piece in contents.pieces.values():
        groups[piece.label.brief, piece.label.tool_version].append(piece)
    lines = [f"{contents.folder}: {_counted(contents.pieces.values())}"]
    if groups:
        lines.append(
            f"  {'used last':<10}  {'made':<10}  {'pieces':>6}  {'size':>9}  {'version':<8}  first computed for"
        )
    for (brief, version), pieces in sorted(groups.items(), key=lambda group: -max(p.used_s for p in group[1])):
        used, made = _day(max(p.used_s for p in pieces)), _day(min(p.made_s for p in pieces))
        size = _size(sum(p.size_bytes for p in pieces))
        lines.append(f"  {used}  {made}  {len(pieces):>6}  {size:>9}  {version:<8}  {_plain(brief)}")
    return lines


def _remarks(contents: StoreContents) -> list[str]:
    return [
        *_paths("damaged or of an older form; computed again and replaced when a run needs them", contents.unreadable),
        *_paths("no pieces, left alone", contents.foreign),
        *_paths("left unfinished by a run that was killed, now removed", contents.removed),
    ]


def _paths(what: str, paths: tuple[Path, ...]) -> list[str]:
    shown = [f"  {path}" for path in paths[:_PATHS_SHOWN]]
    rest = [f"  and {len(paths) - _PATHS_SHOWN} more"] if len(paths) > _PATHS_SHOWN else []
    return [f"{what}:", *shown, *rest] if paths else []


def _counted(pieces: Iterable[IndexedPiece]) -> str:
    sizes = [piece.size_bytes for piece in pieces]
    return f"{len(sizes)} {'piece' if len(sizes) == 1 else 'pieces'}, {_size(sum(sizes))}"


def _size(size_bytes: float) -> str:
    for unit in ("B", "kB", "MB"):
        if size_bytes < 1000:
            return f"{size_bytes:.3g} {unit}"
        size_bytes /= 1000
    return f"{size_bytes:.4g} GB"


def _plain(text: str) -> str:
    """Keep what a strange file says of itself from steering the terminal."""
    return "".join(letter if letter.isprintable() else "?" for letter in text)


def _day(seconds: float) -> str:
    return datetime.fromtimestamp(seconds, tz=UTC).astimezone().date().isoformat()


def _note(sentence: str) -> None:
    typer.echo(f"loopwright: {sentence}", err=True)
