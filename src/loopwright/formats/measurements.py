"""Measured networks, read from Touchstone files."""

import re
import warnings
from pathlib import Path

import numpy as np
from skrf import Network

from loopwright.bench import MeasuredNetwork
from loopwright.ground.errors import Complaint, MeasurementError

__all__ = ["read_measurement"]

_ENDING = re.compile(r"\.s(\d{1,3})p$", re.IGNORECASE)
_MOST_BYTES = 50_000_000


def read_measurement(path: Path) -> MeasuredNetwork:
    """Read one Touchstone file of version 1.

    Parameters
    ----------
    path : Path
        A file that ends in .s1p, .s2p and so on.

    Returns
    -------
    MeasuredNetwork
        Scattering at the file's reference, which has to be one resistance for all ports.

    Raises
    ------
    MeasurementError
        With what is wrong, its line, and a remedy.
    """
    ending = _ENDING.search(path.name)
    if ending is None or not 1 <= int(ending[1]) <= 128:
        raise _refused(
            path, 0, "file", path.suffix or "no ending", ".s1p, .s2p, ... .s128p", "name the file by its ports"
        )
    ports = int(ending[1])
    _look_over(path, _text_of(path), ports)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            network = Network(str(path))
    except Exception as error:  # the library raises what it meets
        found = str(error).splitlines()[0] if str(error) else type(error).__name__
        raise _refused(
            path, 0, "file", found, "Touchstone of version 1", "export it again from the analyser"
        ) from error
    reference = np.unique(network.z0)
    if len(reference) != 1 or reference[0].imag or not reference[0].real > 0:
        found = ", ".join(f"{value:g}" for value in reference[:4])
        raise _refused(path, 0, "reference", found, "one resistance for all ports", "export it with a 50 ohm reference")
    frequencies_hz = np.asarray(network.f, dtype=np.float64)
    if np.any(np.diff(frequencies_hz) <= 0):
        raise _refused(path, 0, "frequencies", "not rising", "rising, each once", "export one sweep alone")
    return MeasuredNetwork(
        name=path.name,
        frequencies_hz=frequencies_hz,
        scattering=np.asarray(network.s, dtype=np.complex128).reshape(-1, ports, ports),
        reference_ohm=float(reference[0].real),
    )


def _refused(path: Path, line: int, field: str, found: str, allowed: str, remedy: str) -> MeasurementError:
    return MeasurementError(
        (Complaint(file=path.name, line=line, field=field, found=found, allowed=allowed, remedy=remedy),)
    )


def _text_of(path: Path) -> str:
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise _refused(
                path, 0, "file", f"{path.stat().st_size} bytes", f"at most {_MOST_BYTES}", "sweep fewer points"
            )
        return path.read_text("latin-1")
    except OSError as error:
        found = error.strerror or str(error)
        raise _refused(path, 0, "file", found, "a file that can be read", "look at its name and place") from error


def _look_over(path: Path, text: str, ports: int) -> None:
    """Find what the library would only stumble over: words, and numbers that do not fill the matrices."""
    numbers, last = 0, 0
    for line, row in enumerate(text.splitlines(), start=1):
        data = row.partition("!")[0].strip()
        if data.startswith("["):
            raise _refused(path, line, "keyword", data[:40], "Touchstone of version 1", "export it as version 1")
        if not data or data.startswith("#"):
            continue
        for word in data.split():
            try:
                float(word)
            except ValueError:
                raise _refused(path, line, "value", word[:40], "a number", "export it again") from None
        numbers, last = numbers + len(data.split()), line
    each = 1 + 2 * ports**2
    if numbers == 0 or numbers % each:
        raise _refused(
            path,
            last,
            "values",
            f"{numbers} numbers, {numbers % each} too many for whole points",
            f"{each} numbers for each frequency of {ports} ports",
            "name the file by the number of its ports, and see that it was written to its end",
        )
