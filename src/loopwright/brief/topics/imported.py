"""Bodies that come as files: a surface of triangles, or an image of labels."""

from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any, get_args

from loopwright.brief.defaults import FILE_AXES, FILE_ORIGIN, SURFACE_PARTS
from loopwright.brief.forms import NOTHING, Draft, Form, Rule, Trouble
from loopwright.brief.geometry import LabelFile, SurfaceFile
from loopwright.brief.keys import Absent, Choice, Key
from loopwright.brief.lists import WordsList
from loopwright.brief.parts import Parts
from loopwright.brief.records import (
    ExplicitMaterial,
    FileOrigin,
    LabelsRequest,
    LabelTissue,
    SurfaceParts,
    SurfaceRequest,
)
from loopwright.brief.topics.files import TissueTable, label_file_part, surface_file_part
from loopwright.brief.topics.material import MaterialPart
from loopwright.brief.topics.orienting import (
    DIRECTIONS,
    LARGEST_M,
    SMALLEST_M,
    UNITS,
    air_of,
    axes_of,
    labels_in_body,
    mirrored,
    surface_in_body,
    unit_of,
    written_box_m,
)
from loopwright.ground.units import engineering_text, si_value

__all__ = ["labels_form", "surface_form"]

#: What a turn of the image is rounded to: the ends of a trunk move by less than a millimetre.
_TURNED_DEG = 0.1
_MOST_TOLD = 8
AS_IN_FILE = "as in file"
_SAMPLE = "[left, posterior, head]"

_axes = partial(WordsList, name="axes", options=tuple(DIRECTIONS), lengths=(3,), sample=_SAMPLE)
_unit = partial(Choice, name="unit", options=UNITS)

_ORIGIN = Choice(
    name="origin",
    options=get_args(FileOrigin),
    default=FILE_ORIGIN,
    meaning="What becomes the origin of the body frame: the middle of the body's box, or the origin of the file.",
)


def surface_form(*rules: Rule, voxel: Key, material: MaterialPart, layers: Parts, strangers: Mapping[str, str]) -> Form:
    """Form of a surface from a file; keys and rules that it shares with other shapes are given."""
    return Form(
        title="surface",
        keys=(
            surface_file_part(),
            _unit(meaning="Unit of the lengths in the file, which does not tell it."),
            _axes(default=FILE_AXES, meaning="Where x, y and z of the file point in the patient."),
            _ORIGIN,
            Choice(
                name="parts",
                options=get_args(SurfaceParts),
                default=SURFACE_PARTS,
                meaning="What is taken of a file with several closed surfaces: with `one` it is refused.",
            ),
            voxel,
            material,
            layers,
        ),
        rules=(_axes_are_three, _keeps_left_and_right, _size_is_believed, _parts_suit, *rules),
        build=_surface_request,
        strangers=strangers,
        notes="The surface has to be closed, to look outwards and not to cross itself. Layers follow it at a constant "
        "depth.",
    )


def labels_form(*rules: Rule, voxel: Key, strangers: Mapping[str, str]) -> Form:
    """Form of an image of labels; keys and rules that it shares with other shapes are given."""
    return Form(
        title="labels",
        keys=(
            label_file_part(),
            TissueTable(meaning="What each label is made of; every label of the image has to be told."),
            _unit(absent=Absent.ALLOWED, meaning="Unit of the image. Left out: as it says itself, else mm."),
            _axes(
                absent=Absent.ALLOWED,
                meaning="Where the axes of its voxels point in the patient. Left out: as the image says.",
            ),
            _ORIGIN,
            voxel,
        ),
        rules=(_axes_are_three, _axes_are_known, _origin_is_known, _size_is_believed, _labels_are_told, *rules),
        build=_labels_request,
        strangers=strangers,
        notes="The share of every label in every voxel of the grid is exact, whatever the two sizes. A turn of the "
        "image against the patient's axes is not undone: with `axes` its voxels are taken as they lie.",
    )


def _axes_are_three(draft: Draft) -> Iterator[Trouble]:
    axes = draft.get("axes")
    if axes is not None and mirrored(axes) is None:
        yield Trouble(
            key="axes",
            found=f"[{', '.join(axes)}]",
            allowed="one of left and right, one of posterior and anterior, one of head and feet",
            remedy=f"write for example `{_SAMPLE}`",
        )


def _keeps_left_and_right(draft: Draft) -> Iterator[Trouble]:
    axes = draft.get("axes")
    if axes is not None and mirrored(axes):
        yield Trouble(
            key="axes",
            found=f"[{', '.join(axes)}], which swaps left and right",
            allowed="three directions in the order of a right hand, as left, posterior, head are",
            remedy="turn one of the three round: look where x, y and z of the file point in the program that made it",
        )


def _axes_are_known(draft: Draft) -> Iterator[Trouble]:
    file = draft.get("file")
    if file is None or "axes" in draft.written:
        return
    if not file.axes:
        yield Trouble(
            key="axes",
            found=f"{NOTHING}, and {file.name} does not tell its orientation, or tells two (sform and qform)",
            allowed="where the three axes of its voxels point",
            remedy="look at it in a viewer, and write for example `axes: [right, anterior, head]`",
        )
    elif file.turned_deg > _TURNED_DEG:
        yield Trouble(
            key="axes",
            found=f"{NOTHING}, and the affine of {file.name} is rotated by {file.turned_deg:.1f} degrees",
            allowed="voxels along left, posterior and head, or `axes`",
            remedy=f"write `axes: [{', '.join(file.axes)}]` to take the voxels as they lie, the patient turned by as "
            "much; or resample the labels along the axes by nearest neighbour",
        )


def _origin_is_known(draft: Draft) -> Iterator[Trouble]:
    """Refuse the origin of an image along other axes than its own: its place is told along these."""
    file, axes = draft.get("file"), draft.get("axes")
    if file is None or draft.get("origin") != AS_IN_FILE or axes is None or axes == file.axes:
        return
    its_own = f"which tells [{', '.join(file.axes)}]" if file.axes else "which tells none"
    yield Trouble(
        key="origin",
        found=f"{AS_IN_FILE}, with other axes than those of {file.name}, {its_own}",
        allowed="the origin of the file only along the axes of the file",
        remedy="take out `origin`: the middle of the body's box then is the origin",
    )


def _size_is_believed(draft: Draft) -> Iterator[Trouble]:
    box, file = written_box_m(draft.values), draft.get("file")
    if box is None:
        return
    unit = unit_of(file, draft.get("unit"))
    size = max(high - low for low, high in zip(*box, strict=True))
    if SMALLEST_M <= size <= LARGEST_M:
        return
    fitting = {one: size * si_value(f"1 {one}", "m") / si_value(f"1 {unit}", "m") for one in UNITS}
    told = [f"{one} ({engineering_text(m, 'm')})" for one, m in fitting.items() if SMALLEST_M <= m <= LARGEST_M]
    whose = "" if draft.get("unit") else f", as {file.name} says itself"
    yield Trouble(
        key="unit",
        found=f"{unit}{whose}, by which the body is {engineering_text(size, 'm')} long",
        allowed=f"{engineering_text(SMALLEST_M, 'm')} to {engineering_text(LARGEST_M, 'm')} for the longest side",
        remedy=f"write the unit of the file: {' or '.join(told)} would fit" if told else "look at the file in a viewer",
    )


def _parts_suit(draft: Draft) -> Iterator[Trouble]:
    file, parts, unit = draft.get("file"), draft.get("parts"), draft.get("unit")
    if file is None or len(file.parts) == 1 or unit is None:
        return
    scale = si_value(f"1 {unit}", "m") ** 3
    volumes = [engineering_text(part.volume_m3 * scale, "m^3") for part in file.parts[:_MOST_TOLD]]
    more = ", ..." if len(file.parts) > _MOST_TOLD else ""
    if parts == "one":
        yield Trouble(
            key="parts",
            found=f"{len(file.parts)} closed surfaces in {file.name}, of {', '.join(volumes)}{more}",
            allowed="one; a hollow counts as one of negative volume",
            remedy="write `parts: largest` for the first of these alone, or `parts: all`",
        )
    if parts == "all" and file.apart:
        yield Trouble(
            key="parts",
            found=f"{file.name}: {file.apart}",
            allowed="parts that lie apart, and hollows",
            remedy="write `parts: largest`, or take the inner part out of the file",
        )


def _labels_are_told(draft: Draft) -> Iterator[Trouble]:
    file, tissues = draft.get("file"), draft.get("tissues")
    if file is None or tissues is None:
        return
    told = {one.label for one in tissues}
    unknown = [label for label in file.counts if label and label not in told]
    if unknown:
        listed = ", ".join(f"{label} ({file.counts[label]} voxels)" for label in unknown[:_MOST_TOLD])
        more = ", ..." if len(unknown) > _MOST_TOLD else ""
        yield Trouble(
            key="tissues",
            found=f"no tissue for {len(unknown)} labels of {file.name}: {listed}{more}",
            allowed="every label of the image",
            remedy=f"add for example `{unknown[0]}: Muscle`, or `{unknown[0]}: air` for what is no body",
        )
        return
    body = [one.material for one in tissues if one.material is not None and one.label in file.counts]
    if all(isinstance(one, ExplicitMaterial) and one.sigma_s_per_m == 0 for one in body):
        held = ", ".join(map(str, list(file.counts)[:_MOST_TOLD]))
        yield Trouble(
            key="tissues",
            found="no material that conducts" if body else f"labels {', '.join(map(str, sorted(told)))} with air alone",
            allowed="a conductivity above 0 S/m in one of the labels of the image",
            remedy=f"give the tissues of the labels that {file.name} holds: {held}",
        )


def _surface_request(file: SurfaceFile, **fields: Any) -> SurfaceRequest:
    surface = surface_in_body(file, fields["unit"], fields["axes"], fields["origin"], fields["parts"])
    left_out = len(file.parts) - 1 if fields["parts"] == "largest" else 0
    told = f"Of {file.name} the largest closed surface was taken; {left_out} others were left out."
    return SurfaceRequest(
        file=file.name,
        sha256=file.sha256,
        surface=surface,
        notes=(*file.notes, told) if left_out else file.notes,
        **fields,
    )


def _labels_request(file: LabelFile, tissues: tuple[LabelTissue, ...], **fields: Any) -> LabelsRequest:
    unit, axes = unit_of(file, fields.pop("unit", None)), axes_of(file, fields.pop("axes", None))
    assert unit is not None  # noqa: S101 - an image without unit is in millimetres
    assert axes is not None  # noqa: S101 - an image without axes has been refused
    volume = labels_in_body(file, unit, axes, fields["origin"], air_of(tissues))
    absent = [str(one.label) for one in tissues if one.material is not None and one.label not in file.counts]
    notes = {
        f"{file.name} names no unit: its lengths are taken as {unit}.": not file.unit,
        f"Labels of the table that do not occur in {file.name}: {', '.join(absent)}.": bool(absent),
        f"The voxels of {file.name} are taken as they lie.": file.turned_deg > _TURNED_DEG,
    }
    return LabelsRequest(
        file=file.name,
        sha256=file.sha256,
        unit=unit,
        axes=axes,
        tissues=tuple(sorted((one for one in tissues if one.label in file.counts), key=lambda one: one.label)),
        volume=volume,
        notes=tuple(note for note, holds in notes.items() if holds),
        **fields,
    )
