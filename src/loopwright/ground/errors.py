"""The errors that loopwright raises on purpose.

The tree::

    LoopwrightError
    |-- BriefError            the brief cannot be read; carries every complaint at once
    |-- GeometryError         a file of a body's geometry cannot be used; carries every complaint at once
    |-- MeasurementError      a measured file cannot be used; carries every complaint at once
    |-- OutsideModelError     a model was asked for something it cannot tell
    |-- NotConvergedError     an iterative solution stopped short of its tolerance
    |-- DeviceError           the processor that was asked for is not there
    |-- StoreError            a piece of a finished computation cannot be read or written
    `-- RunDirectoryError     the place for the results cannot be used
"""

from dataclasses import dataclass


class LoopwrightError(Exception):
    """Base of every error that is meant for the user."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Complaint:
    """One thing that is wrong with a file, where it stands, and what would put it right; line 0 is the file itself."""

    file: str
    line: int
    field: str
    found: str
    allowed: str
    remedy: str

    def __str__(self) -> str:
        """Tell the complaint as the command line prints it."""
        place = f"{self.file}:{self.line}" if self.line else self.file
        return f"{place}: {self.field} = {self.found}\n  allowed: {self.allowed}\n  remedy:  {self.remedy}"


class BriefError(LoopwrightError):
    """The brief cannot be carried out as written; every complaint is told at once."""

    def __init__(self, complaints: tuple[Complaint, ...]) -> None:
        self.complaints = complaints
        super().__init__("\n".join(str(complaint) for complaint in complaints))


class GeometryError(LoopwrightError):
    """A file of a body's geometry cannot be used as it is; every complaint is told at once."""

    def __init__(self, complaints: tuple[Complaint, ...]) -> None:
        self.complaints = complaints
        super().__init__("\n".join(str(complaint) for complaint in complaints))


class MeasurementError(LoopwrightError):
    """A measured file cannot be used as it is; every complaint is told at once."""

    def __init__(self, complaints: tuple[Complaint, ...]) -> None:
        self.complaints = complaints
        super().__init__("\n".join(str(complaint) for complaint in complaints))


class OutsideModelError(LoopwrightError, ValueError):
    """A model was asked for something outside its validity."""


class NotConvergedError(LoopwrightError):
    """An iterative solution stopped before it reached its tolerance."""


class DeviceError(LoopwrightError):
    """The processor that was asked for cannot be used here."""


class StoreError(LoopwrightError):
    """A stored piece cannot be read or written."""


class RunDirectoryError(LoopwrightError):
    """The directory for the results cannot be used."""
