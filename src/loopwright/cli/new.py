"""A brief to begin with."""

from importlib.resources import files
from pathlib import Path

from loopwright.ground.errors import RunDirectoryError

__all__ = ["write_starter"]


def write_starter(directory: Path) -> Path:
    """Write the starter as ``brief.yaml`` into a directory and return its path.

    Raises
    ------
    RunDirectoryError
        If there is a brief already, or the directory cannot be written.
    """
    path = directory / "brief.yaml"
    text = files("loopwright.cli").joinpath("starter.yaml").read_text("utf-8")
    try:
        directory.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        what = path if path.exists() else directory
        raise RunDirectoryError(f"{what} exists already and is left as it is; choose another DIR") from None
    except OSError as error:
        raise RunDirectoryError(f"{path} cannot be written: {error.strerror or error}") from None
    return path
