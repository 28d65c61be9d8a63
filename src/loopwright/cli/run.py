"""One brief carried out, from its file to its run directory."""

from pathlib import Path

from loopwright.brief import read_brief
from loopwright.cli.app import Pieces
from loopwright.cli.reading import geometry_beside, text_of
from loopwright.ground.device import Device
from loopwright.ground.errors import RunDirectoryError

__all__ = ["destination_of", "run_brief"]


def run_brief(
    brief_path: Path, *, out: Path | None, store: Path | None, pieces: Pieces, device: Device = Device.CPU
) -> Path:
    """Carry a brief out and return the run directory.

    Raises
    ------
    BriefError
        If the brief is wrong; nothing has been touched then.
    DeviceError
        If the device is not there; nothing has been touched then.
    RunDirectoryError, StoreError
        If the disk cannot be used.
    """
    text = text_of(brief_path)
    brief = read_brief(text, str(brief_path), geometry=geometry_beside(brief_path))
    # Only now the heavy part: a wrong brief is told at once.
    from loopwright.cli.carry import carry_into  # noqa: PLC0415 - see above

    destination = destination_of(brief_path, out, ending="run")
    return carry_into(destination, brief=brief, text=text, store=store, pieces=pieces, device=device)


def destination_of(brief_path: Path, out: Path | None, *, ending: str) -> Path:
    """Name the directory of the results: the one asked for, or the brief's name with an ending.

    Raises
    ------
    RunDirectoryError
        If it holds the folder in which the user stands.
    """
    destination = Path(f"{brief_path.stem}-{ending}") if out is None else out
    if destination.resolve() in (Path.cwd(), *Path.cwd().parents):
        raise RunDirectoryError(f"{destination} holds the folder in which you stand; choose another --out")
    return destination
