"""One measurement held against a brief, from their files to the directory of what was found."""

from pathlib import Path

from loopwright.brief import read_brief
from loopwright.cli.app import Pieces
from loopwright.cli.reading import geometry_beside, text_of
from loopwright.cli.run import destination_of
from loopwright.ground.device import Device
from loopwright.ground.measuring import Load, Others

__all__ = ["measured_brief"]


def measured_brief(
    brief_path: Path,
    measured_path: Path,
    *,
    words: tuple[str, str],
    others: Others,
    load: Load,
    out: Path | None,
    store: Path | None,
    pieces: Pieces,
    device: Device = Device.CPU,
) -> tuple[tuple[str, ...], Path]:
    """Say what to turn, and return the answers and the directory; ``words`` are elements and parts, by commas.

    Raises
    ------
    BriefError, MeasurementError, DeviceError
        If the brief, the measurement or the command is wrong, or the device is not there.
    RunDirectoryError, StoreError
        If the disk cannot be used.
    """
    text = text_of(brief_path)
    brief = read_brief(text, str(brief_path), geometry=geometry_beside(brief_path))
    # Only now the heavy part: a wrong brief is told at once.
    from loopwright.cli.carry import measure_into  # noqa: PLC0415 - see above
    from loopwright.formats.measurements import read_measurement  # noqa: PLC0415 - see above
    from loopwright.measurement import AsMeasured  # noqa: PLC0415 - see above

    elements, turnable = (_listed(word) for word in words)
    asked = AsMeasured(
        measured=read_measurement(measured_path), elements=elements, others=others, load=load, turnable=turnable
    )
    return measure_into(
        destination_of(measured_path, out, ending="bench"),
        brief=brief,
        text=text,
        asked=asked,
        measured=measured_path,
        store=store,
        pieces=pieces,
        device=device,
    )


def _listed(word: str) -> tuple[str, ...]:
    return tuple(name.strip() for name in word.split(",") if name.strip())
