"""The cases of a study over patients: every array on every patient, read as if it had been written out."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from math import isfinite

from loopwright.brief.expansion import changed
from loopwright.brief.filling import read, written
from loopwright.brief.geometry import GeometryFiles
from loopwright.brief.notebook import Notebook, Place
from loopwright.brief.reader import BRIEF, brief_of, stand_off_of_film_m
from loopwright.brief.records import Brief, CohortArray, CohortPatient, CohortRequest
from loopwright.brief.tree import Entry, Mapping, Node, Scalar, Sequence, tree_of
from loopwright.ground.errors import BriefError, Complaint

__all__ = ["CohortSet", "PlannedCase", "RefusedCase", "read_cohort"]

#: Topics of which a slip is no matter of one patient or one array.
_OF_ALL = ("title", "scanner", "imaging", "computation", "circuit", "capacitors", "interface", "tolerances", "family")
_COVER = ("array", "tiling", "cover")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedCase:
    """One array on one patient: who, what, at which stand-off as written, and the brief that it amounts to."""

    patient: CohortPatient
    array: CohortArray
    stand_off: str
    brief: Brief


@dataclass(frozen=True, slots=True, kw_only=True)
class RefusedCase:
    """A case that cannot be written out, and why."""

    patient: CohortPatient
    array: CohortArray
    stand_off: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CohortSet:
    """A study as written, and its cases: patient by patient, array by array, stand-off by stand-off."""

    title: str
    request: CohortRequest
    planned: tuple[PlannedCase, ...]
    refused: tuple[RefusedCase, ...]


def read_cohort(text: str, file_name: str, *, geometry: GeometryFiles | None = None) -> CohortSet:
    """Read a study over patients and every case of it.

    Parameters
    ----------
    text
        The YAML text. Nothing is opened here.
    file_name
        Name that complaints carry.
    geometry
        Brings the files of geometry that the study names; without it a study that names one is refused.

    Returns
    -------
    CohortSet
        At least one planned case.

    Raises
    ------
    BriefError
        If the study is wrong, or none of its cases can be written out.
    """
    root = tree_of(text, file_name)
    if not isinstance(root, Mapping) or "cohort" not in written(root):
        raise BriefError((_no_cohort(file_name),))
    request, complaints = _request(root, file_name, geometry)
    planned: list[PlannedCase] = []
    refused: list[RefusedCase] = []
    others: list[Complaint] = []
    for numbers, tree, former, stand_off in _cases(root):
        try:
            brief = brief_of(tree, file_name, former=former, geometry=geometry)
        except BriefError as error:
            complaints += [told for told in error.complaints if told.field.partition(".")[0] in _OF_ALL]
            others += error.complaints
            if request is not None:
                who, what = request.patients[numbers[0]], request.arrays[numbers[1]]
                refused.append(RefusedCase(patient=who, array=what, stand_off=stand_off, reason=_reason(error)))
            continue
        if request is not None:
            who, what = request.patients[numbers[0]], request.arrays[numbers[1]]
            planned.append(PlannedCase(patient=who, array=what, stand_off=stand_off, brief=brief))
    complaints += _unlike_accelerations(root, planned, file_name)
    if complaints or not planned:
        raise BriefError(_each_once([*complaints, *(() if planned or complaints else others)]))
    assert request is not None  # noqa: S101 - or there was a complaint
    return CohortSet(title=planned[0].brief.title, request=request, planned=tuple(planned), refused=tuple(refused))


def _request(
    root: Mapping, file_name: str, geometry: GeometryFiles | None
) -> tuple[CohortRequest | None, list[Complaint]]:
    """The topic itself, and all complaints about it."""
    notebook = Notebook(file_name, geometry=geometry)
    entry = written(_with_stand_offs_of_films(root))["cohort"]
    form = next(key for key in BRIEF.keys if key.name == "cohort").of  # type: ignore[union-attr]
    outcome = read(form, entry.value, Place(notebook=notebook, path="cohort", line=entry.line))
    return outcome.record, list(notebook.complaints)


def _with_stand_offs_of_films(root: Mapping) -> Mapping:
    """A study whose films have the stand-off that their layers make, where it does not write one."""
    cohort = written(root)["cohort"].value
    arrays = written(cohort).get("arrays") if isinstance(cohort, Mapping) else None
    if arrays is None or not isinstance(arrays.value, Sequence):
        return root
    items = tuple(_with_stand_off_of_film(item, root) for item in arrays.value.items)
    return changed(root, ("cohort", "arrays"), Sequence(items, arrays.value.line))


def _with_stand_off_of_film(array: Node, root: Mapping) -> Node:
    if not isinstance(array, Mapping):
        return array
    here = written(array).get("array")
    if here is None or not isinstance(here.value, Mapping):
        return array
    keys, tiling = written(array), written(here.value).get("tiling")
    if tiling is None or not isinstance(tiling.value, Mapping) or "stand_off" in written(tiling.value):
        return array
    alone = changed(root, ("array",), here.value)
    alone = changed(alone, ("conductor",), keys["conductor"].value) if "conductor" in keys else alone
    layers_m = stand_off_of_film_m(alone)
    if layers_m is None or not isfinite(layers_m):
        return array
    return changed(array, ("array", "tiling", "stand_off"), Scalar(f"{layers_m!r} m", tiling.line))


def _cases(root: Mapping) -> Iterator[tuple[tuple[int, int], Mapping, Node | None, str]]:
    """Number of patient and array, the brief written out, the former, and the stand-off as written."""
    cohort = written(root)["cohort"].value
    stand_offs: tuple[Node | None, ...] = _items(cohort, "stand_offs") or (None,)
    patients, arrays = _items(cohort, "patients"), _items(cohort, "arrays")
    bare = changed(root, ("cohort",), None)
    for (i, patient), (j, array), stand_off in product(enumerate(patients), enumerate(arrays), stand_offs):
        who, what = written(patient), written(array)
        if "body" not in who or "array" not in what:
            continue
        tree = changed(changed(bare, ("body",), who["body"].value), ("array",), what["array"].value)
        tree = _with_keys_of(who.get("imaging"), ("imaging",), tree)
        if "former" not in what and _has_cover(what["array"].value):
            tree = _with_keys_of(who.get("cover"), _COVER, tree)
        if "conductor" in what:
            tree = changed(tree, ("conductor",), what["conductor"].value)
        if stand_off is not None:
            tree = changed(tree, ("array", "tiling", "stand_off"), stand_off)
        former = what["former"].value if "former" in what else None
        yield (i, j), tree, former, stand_off.text if isinstance(stand_off, Scalar) else ""


def _unlike_accelerations(root: Mapping, planned: list[PlannedCase], file_name: str) -> Iterator[Complaint]:
    """Complaints about patients whose accelerations go by other names: tables have one column for all patients."""
    names = {one.patient.name: [found.name for found in one.brief.imaging.accelerations] for one in planned}
    of_all = [one for one in planned if "accelerations" not in one.patient.imaging_keys] or planned
    expected = names[of_all[0].patient.name] if of_all else []
    for number, patient in enumerate(_items(written(root)["cohort"].value, "patients")):
        name, imaging = written(patient).get("name"), written(patient).get("imaging")
        text = name.value.text if name is not None and isinstance(name.value, Scalar) else ""
        if imaging is not None and names.get(text, expected) != expected:
            yield Complaint(
                file=file_name,
                line=imaging.line,
                field=f"cohort.patients[{number + 1}].imaging.accelerations",
                found=", ".join(names[text]) or "none",
                allowed=f"the names that other patients have, in the same order: {', '.join(expected) or 'none'}",
                remedy="give the accelerations of all patients the same names; fields of view may differ",
            )


def _with_keys_of(own: Entry | None, path: tuple[str, ...], tree: Mapping) -> Mapping:
    """A tree with the keys that a patient has for itself below this path."""
    for entry in () if own is None or not isinstance(own.value, Mapping) else own.value.entries:
        tree = changed(tree, (*path, entry.key), entry.value)
    return tree


def _has_cover(array: Node) -> bool:
    tiling = written(array).get("tiling")
    return tiling is not None and "cover" in written(tiling.value)


def _items(cohort: Node, key: str) -> tuple[Node, ...]:
    match written(cohort).get(key):
        case Entry(value=Sequence(items=items)):
            return items
        case _:
            return ()


def _reason(error: BriefError) -> str:
    return "; ".join(f"{told.field} = {told.found} (allowed: {told.allowed})" for told in error.complaints)


def _each_once(complaints: list[Complaint]) -> tuple[Complaint, ...]:
    """One complaint for each slip, by line: a topic that stands in many cases is read in all of them."""
    first: dict[tuple[int, str, str], Complaint] = {}
    for told in complaints:
        first.setdefault((told.line, told.field.rpartition(".")[2], told.found), told)
    return tuple(sorted(first.values(), key=lambda told: told.line))


def _no_cohort(file_name: str) -> Complaint:
    return Complaint(
        file=file_name,
        line=1,
        field="cohort",
        found="nothing",
        allowed="patients, arrays, and what is to be kept",
        remedy="add `cohort:` with `patients` and `arrays` below; docs/reference/cohort.md has an example",
    )
