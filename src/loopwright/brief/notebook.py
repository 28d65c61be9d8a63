"""What the reader of a brief writes down on its way: complaints, and defaults that were taken."""

from dataclasses import dataclass, field

from loopwright.brief.defaults import Default
from loopwright.brief.geometry import GeometryFiles
from loopwright.brief.records import DefaultUsed
from loopwright.ground.errors import Complaint

__all__ = ["Notebook", "Place"]


@dataclass(frozen=True, slots=True)
class Notebook:
    """The notes about one file. The two lists grow while it is read, and live no longer than that.

    ``geometry`` brings the files that the brief names; None where there is no folder to look for them in.
    """

    file: str
    complaints: list[Complaint] = field(default_factory=list)
    defaults: list[DefaultUsed] = field(default_factory=list)
    geometry: GeometryFiles | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where in the brief the reader is."""

    notebook: Notebook
    path: str
    line: int

    def inside(self, name: str, line: int) -> "Place":
        """Place of a key inside this one."""
        return Place(notebook=self.notebook, path=f"{self.path}.{name}" if self.path else name, line=line)

    def complain(self, *, found: str, allowed: str, remedy: str) -> None:
        """Write down what is wrong here."""
        complaint = Complaint(
            file=self.notebook.file, line=self.line, field=self.path, found=found, allowed=allowed, remedy=remedy
        )
        if complaint not in self.notebook.complaints:
            self.notebook.complaints.append(complaint)

    def note_default(self, default: Default) -> None:
        """Write down that a default was taken here."""
        self.notebook.defaults.append(DefaultUsed(field=self.path, value=default.value, source=default.source))
