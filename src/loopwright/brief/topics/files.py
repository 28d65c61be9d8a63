"""Keys behind which a file of geometry stands, or what its labels are made of."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from loopwright.brief.defaults import Default
from loopwright.brief.geometry import GeometryFiles
from loopwright.brief.keys import Absent
from loopwright.brief.notebook import Place
from loopwright.brief.records import LabelTissue
from loopwright.brief.topics.material import MaterialPart
from loopwright.brief.tree import Mapping as MappingNode
from loopwright.brief.tree import Node, Scalar, described
from loopwright.ground.errors import GeometryError

__all__ = ["GeometryFilePart", "TissueTable", "label_file_part", "surface_file_part"]

_AIR = "air"
_HIGHEST_LABEL = 65_535


@dataclass(frozen=True, slots=True, kw_only=True)
class GeometryFilePart:
    """The name of a file; read from it is its geometry."""

    name: str = "file"
    meaning: str
    endings: str
    example: str
    bring: Callable[[GeometryFiles, str], Any]
    field: str = ""
    default: Default | None = None
    absent: Absent = Absent.REFUSED

    @property
    def allowed(self) -> str:
        """Endings of the file."""
        return f"the name of a file that ends in {self.endings}"

    @property
    def kind(self) -> str:
        """File."""
        return "file"

    def read_at(self, node: Node, place: Place) -> Any:
        """Read the file, and complain about everything that is wrong with it."""
        if not isinstance(node, Scalar) or not node.text or not node.text.isprintable():
            place.complain(found=described(node), allowed=self.allowed, remedy=f"write for example `{self.example}`")
            return None
        files = place.notebook.geometry
        if files is None:
            place.complain(
                found=f"{described(node)}, where no files are read",
                allowed="a file only in a brief that is read together with its folder",
                remedy="read it with the command, or pass `geometry` to read_brief",
            )
            return None
        try:
            return self.bring(files, node.text)
        except GeometryError as error:
            for one in error.complaints:
                where = f"{node.text}, line {one.line}" if one.line else node.text
                place.complain(found=f"{where}: {one.found}", allowed=one.allowed, remedy=one.remedy)
            return None


def surface_file_part() -> GeometryFilePart:
    """The key of a surface."""
    return GeometryFilePart(
        meaning="Closed surface of triangles, looked for in the folder of the brief.",
        endings=".stl, .ply or .obj",
        example="head.stl",
        bring=lambda files, name: files.surface(name),
    )


def label_file_part() -> GeometryFilePart:
    """The key of a volume of labels."""
    return GeometryFilePart(
        meaning="Image of labels (NIfTI), looked for in the folder of the brief. Label 0 is air.",
        endings=".nii or .nii.gz",
        example="head.nii.gz",
        bring=lambda files, name: files.labels(name),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class TissueTable:
    """What every label is made of: a mapping from labels to materials, or to air."""

    name: str = "tissues"
    meaning: str
    field: str = ""
    default: Default | None = None
    absent: Absent = Absent.REFUSED

    @property
    def allowed(self) -> str:
        """Labels and materials."""
        return f"labels from 1 to {_HIGHEST_LABEL}, each with a tissue, a material of its own, or `{_AIR}`"

    @property
    def kind(self) -> str:
        """Materials by label."""
        return "materials by label"

    @property
    def example(self) -> str:
        """Return two labels."""
        return "{1: Muscle, 2: Fat}"

    def read_at(self, node: Node, place: Place) -> tuple[LabelTissue, ...] | None:
        """Read all labels, and complain about all of them; None when anything was wrong."""
        if not isinstance(node, MappingNode) or not node.entries:
            place.complain(found=described(node), allowed=self.allowed, remedy=f"write for example `{self.example}`")
            return None
        before, read, seen = len(place.notebook.complaints), list[LabelTissue](), set[int]()
        for entry in node.entries:
            here = place.inside(entry.key[:40], entry.line)
            label = int(entry.key) if entry.key.isdecimal() and len(entry.key) < 6 else -1
            if not 1 <= label <= _HIGHEST_LABEL or label in seen:
                found = (
                    "the same label again"
                    if label in seen
                    else "0, which is air"
                    if label == 0
                    else repr(entry.key[:40])
                )
                here.complain(found=found, allowed=f"whole numbers from 1 to {_HIGHEST_LABEL}, each once",
                              remedy=f"write for example `{self.example}`")  # fmt: skip
                continue
            seen.add(label)
            if isinstance(entry.value, Scalar) and entry.value.text.casefold() == _AIR:
                read.append(LabelTissue(label=label, material=None))
                continue
            material = MaterialPart(meaning="").read_at(entry.value, here)
            if material is not None:
                read.append(LabelTissue(label=label, material=material))
        return tuple(read) if len(place.notebook.complaints) == before else None
