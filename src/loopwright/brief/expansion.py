"""The designs of a brief: every combination of its lists, read as if it had been written out."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from loopwright.brief.filling import written
from loopwright.brief.geometry import GeometryFiles
from loopwright.brief.reader import brief_of
from loopwright.brief.records import Brief
from loopwright.brief.topics.designs import LISTS
from loopwright.brief.tree import Entry, Mapping, Node, Scalar, Sequence, tree_of
from loopwright.ground.errors import BriefError, Complaint

__all__ = ["DesignSet", "PlannedDesign", "RefusedDesign", "changed", "read_designs"]

#: Keys of a conductor whose value says what it is without the key beside it.
_SPEAK_FOR_THEMSELVES = ("cable", "wire_diameter", "width", "thickness", "material", "ink", "conductivity")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedDesign:
    """One combination: its name, what it chose from each list as written, and the brief that it amounts to."""

    name: str
    choices: tuple[tuple[str, str], ...]
    brief: Brief


@dataclass(frozen=True, slots=True, kw_only=True)
class RefusedDesign:
    """A combination that cannot be, and why."""

    name: str
    choices: tuple[tuple[str, str], ...]
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignSet:
    """The brief as written, and its designs in the order of the lists."""

    base: Brief
    planned: tuple[PlannedDesign, ...]
    refused: tuple[RefusedDesign, ...]


def read_designs(text: str, file_name: str, *, geometry: GeometryFiles | None = None) -> DesignSet:
    """Read a brief and every design that its ``designs`` ask for.

    Parameters
    ----------
    text
        The YAML text. Nothing is opened here.
    file_name
        Name that complaints carry.
    geometry
        Brings the files of geometry that the brief names; without it a brief that names one is refused.

    Returns
    -------
    DesignSet
        At least one planned design.

    Raises
    ------
    BriefError
        If the brief is wrong, names no designs, or none of them can be.
    """
    root = tree_of(text, file_name)
    base = brief_of(root, file_name, geometry=geometry)
    assert isinstance(root, Mapping)  # noqa: S101 - anything else was refused
    if base.designs is None:
        raise BriefError((_no_designs(file_name),))
    planned: list[PlannedDesign] = []
    refused: list[RefusedDesign] = []
    complaints: list[Complaint] = []
    for number, chosen in enumerate(product(*_lists(root)), start=1):
        name, choices = f"D{number:02d}", tuple((key, _words(node)) for key, node in chosen)
        try:
            brief = brief_of(_written_out(root, dict(chosen), base), file_name, geometry=geometry)
            planned.append(PlannedDesign(name=name, choices=choices, brief=brief))
        except BriefError as error:
            refused.append(RefusedDesign(name=name, choices=choices, reason=_reason(error)))
            complaints += error.complaints
    if not planned:
        raise BriefError(tuple(sorted(dict.fromkeys(complaints), key=lambda complaint: complaint.line)))
    return DesignSet(base=base, planned=tuple(planned), refused=tuple(refused))


def _lists(root: Mapping) -> Iterator[tuple[tuple[str, Node], ...]]:
    """Entries of each list that is written, with its key."""
    designs = written(written(root)["designs"].value)
    for key in LISTS:
        match designs.get(key):
            case Entry(value=Sequence(items=items)):
                yield tuple((key, item) for item in items)


def _written_out(root: Mapping, chosen: dict[str, Node], base: Brief) -> Mapping:
    """The brief with one entry of each list in the place that it stands in for."""
    designs = written(written(root)["designs"].value)
    result = changed(root, ("designs",), None)
    if "voxel" in designs:
        result = changed(result, ("body", "voxel"), designs["voxel"].value)
    if base.array.tiling is not None and base.array.tiling.span == "whole":
        for key, other in (("size", "overlap"), ("overlap", "size")):
            if key in chosen:
                result = changed(result, ("array", "tiling", other), None)
    for key, node in chosen.items():
        path = ("conductor",) if key == "conductor" else ("array", "tiling", key)
        result = changed(result, path, node)
    return result


def changed(node: Mapping, path: tuple[str, ...], value: Node | None) -> Mapping:
    """A copy in which another value stands at this path, or, for None, no such key."""
    key, *rest = path
    entry = written(node).get(key)
    if rest and entry is not None and isinstance(entry.value, Mapping):
        value = changed(entry.value, tuple(rest), value)
    kept = [known for known in node.entries if known.key != key]
    added = [] if value is None else [Entry(key, value.line, value)]
    return Mapping((*kept, *added), node.line)


def _words(node: Node) -> str:
    """A choice as the engineer wrote it; a conductor by its kind and what it is made of."""
    if isinstance(node, Scalar):
        return node.text
    texts = {key: entry.value.text for key, entry in written(node).items() if isinstance(entry.value, Scalar)}
    kind = texts.pop("kind")
    speaking = [texts.pop(key) for key in _SPEAK_FOR_THEMSELVES if key in texts]
    return f"{kind} {', '.join([*speaking, *(f'{key} {text}' for key, text in sorted(texts.items()))])}"


def _reason(error: BriefError) -> str:
    return "; ".join(f"{told.field} = {told.found} (allowed: {told.allowed})" for told in error.complaints)


def _no_designs(file_name: str) -> Complaint:
    return Complaint(
        file=file_name,
        line=1,
        field="designs",
        found="nothing",
        allowed="lists of what is tried, and the depths to judge it at",
        remedy="add for example `designs: {depths: [40 mm], size: [40 mm, 60 mm, 80 mm]}`",
    )
