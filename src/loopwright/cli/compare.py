"""The designs of one brief carried out, from its file to the directory of the comparison."""

from pathlib import Path

from loopwright.brief import read_designs
from loopwright.cli.app import Pieces
from loopwright.cli.reading import geometry_beside, text_of
from loopwright.cli.run import destination_of
from loopwright.ground.device import Device

__all__ = ["compare_brief"]


def compare_brief(
    brief_path: Path, *, out: Path | None, store: Path | None, pieces: Pieces, device: Device = Device.CPU
) -> Path:
    """Carry the designs of a brief out and return the directory.

    Raises
    ------
    BriefError, DeviceError
        If the brief is wrong, none of its designs can be, or the device is not there; nothing has been touched then.
    RunDirectoryError, StoreError
        If the disk cannot be used.
    """
    text = text_of(brief_path)
    wanted = read_designs(text, str(brief_path), geometry=geometry_beside(brief_path))
    # Only now the heavy part: a wrong brief is told at once.
    from loopwright.cli.carry import compare_into  # noqa: PLC0415 - see above

    destination = destination_of(brief_path, out, ending="designs")
    return compare_into(destination, wanted=wanted, text=text, store=store, pieces=pieces, device=device)
