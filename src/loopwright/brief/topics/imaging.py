"""Imaging: region, accelerations, voxel of the image, bandwidth, slices to draw."""

from collections.abc import Iterator

from loopwright.brief import defaults
from loopwright.brief.forms import Draft, Form, Rule, Trouble
from loopwright.brief.keys import Choice, Words
from loopwright.brief.parts import Part, Parts
from loopwright.brief.quantities import NumberList, Quantity, QuantityList, WordsList
from loopwright.brief.records import AccelerationRequest, ImagingRequest, SliceRequest
from loopwright.brief.topics.facts import AXES, Facts
from loopwright.brief.topics.region import region_form
from loopwright.brief.topics.ultimate import ultimate_part
from loopwright.ground.units import engineering_text

__all__ = ["imaging_form"]


def _lengths_agree(draft: Draft) -> Iterator[Trouble]:
    lists = {key: draft.get(key) for key in ("factors", "directions", "field_of_view")}
    lengths = {key: len(found) for key, found in lists.items() if found is not None}
    if len(set(lengths.values())) > 1:
        yield Trouble(
            key="factors",
            found=", ".join(f"{length} in {key}" for key, length in lengths.items()),
            allowed="one factor, one direction and one field of view for every accelerated direction",
            remedy="make the three lists equally long",
        )


def _not_too_fast(facts: Facts) -> Rule:
    """Refuse more reduction than there are elements: unfolding would have no solution."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        factors, count = draft.get("factors"), facts.element_count
        if factors is None or count is None:
            return
        product = factors[0] * (factors[1] if len(factors) > 1 else 1.0)
        if product > count:
            yield Trouble(
                key="factors",
                found=f"a reduction of {product:g} with {count} elements",
                allowed="a product of the factors of at most the number of elements",
                remedy="take smaller factors, or more elements",
            )

    return rule


def _holds_the_body(facts: Facts) -> Rule:
    """Refuse a field of view into which the body folds even without acceleration."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        directions, views, half = draft.get("directions"), draft.get("field_of_view"), facts.half_extents_m
        if directions is None or views is None or half is None:
            return
        for direction, view_m in zip(directions, views, strict=False):
            size_m = 2 * half[AXES.index(direction)]
            if view_m < size_m * (1 - 1e-9):
                yield Trouble(
                    key="field_of_view",
                    found=f"{engineering_text(view_m, 'm')} along {direction}",
                    allowed=f"at least the body, {engineering_text(size_m, 'm')} along {direction}",
                    remedy="write a larger field of view: all of the body gives signal, and would fold over",
                )

    return rule


def _acceleration(facts: Facts) -> Form:
    return Form(
        title="acceleration",
        keys=(
            Words(name="name", longest=40, sample="2 x", meaning="Name in maps and tables."),
            NumberList(
                name="factors", low=1, high=16, lengths=(1, 2), sample="[2]", meaning="Reduction along each direction."
            ),
            WordsList(
                name="directions",
                options=AXES,
                lengths=(1, 2),
                sample="[x]",
                meaning="Directions of the body frame that are undersampled.",
            ),
            QuantityList(
                name="field_of_view",
                field="field_of_view_m",
                unit="m",
                low="20 mm",
                high="2 m",
                lengths=(1, 2),
                sample="[230 mm]",
                meaning="Full field of view along each direction, before reduction; it holds the body.",
            ),
        ),
        rules=(_lengths_agree, _not_too_fast(facts), _holds_the_body(facts)),
        build=AccelerationRequest,
        strangers={
            "factor": "write `factors: [2]`, a list of one or two",
            "direction": "write `directions: [x]`, a list of one or two",
        },
    )


def _one_of_each_plane(draft: Draft) -> Iterator[Trouble]:
    planes = [wanted.plane for wanted in draft.get("slices") or ()]
    twice = sorted({plane for plane in planes if planes.count(plane) > 1})
    if twice:
        yield Trouble(
            key="slices",
            found=f"more than one {' and '.join(twice)} plane",
            allowed="one plane of each kind",
            remedy="leave one; maps.nc holds every plane of every map",
        )


def _slices(facts: Facts) -> Parts:
    return Parts(
        name="slices",
        of=_slice(facts),
        most=3,
        default=defaults.SLICES,
        meaning="Planes that are drawn, one of each kind; left out, through the middle of the region.",
    )


def _slice(facts: Facts) -> Form:
    def within(draft: Draft) -> Iterator[Trouble]:
        plane, at_m, half = draft.get("plane"), draft.get("at"), facts.half_extents_m
        if plane is None or at_m is None or half is None:
            return
        reach_m = half[AXES.index(SliceRequest(plane=plane, at_m=0.0).normal)]
        if abs(at_m) >= reach_m:
            yield Trouble(
                key="at",
                found=f"{engineering_text(at_m, 'm')}, beside the body",
                allowed=f"within {engineering_text(reach_m, 'm')} of the centre for this plane",
                remedy="0 mm is the centre of the body",
            )

    return Form(
        title="slice",
        keys=(
            Choice(
                name="plane",
                options=("axial", "coronal", "sagittal"),
                meaning="Square to z, y or x of the body frame.",
            ),
            Quantity(
                name="at",
                field="at_m",
                unit="m",
                low="-1 m",
                high="1 m",
                sample="0 mm",
                meaning="Coordinate of the plane along that axis.",
            ),
        ),
        rules=(within,),
        build=SliceRequest,
    )


def imaging_form(facts: Facts) -> Form:
    """Form of the imaging with this body and array.

    Parameters
    ----------
    facts
        What is known of body and array.

    Returns
    -------
    Form
        Keys and rules of ``imaging``.
    """
    return Form(
        title="imaging",
        keys=(
            Part(name="region", of=region_form(facts), default=defaults.REGION, meaning="Where SNR and g are judged."),
            Parts(
                name="accelerations",
                of=_acceleration(facts),
                most=24,
                unique="name",
                default=defaults.ACCELERATIONS,
                meaning="Undersamplings for which g and SNR are told.",
            ),
            Quantity(
                name="voxel_volume",
                field="voxel_volume_m3",
                unit="m^3",
                low="0.001 mm^3",
                high="1000 cm^3",
                sample="8 mm^3",
                meaning="Volume of a voxel of the image; not of the computing grid.",
            ),
            Quantity(
                name="bandwidth",
                field="bandwidth_hz",
                unit="Hz",
                low="0.0001 Hz",
                high="10 MHz",
                sample="1 Hz",
                default=defaults.BANDWIDTH,
                meaning="Effective noise bandwidth of one voxel: one over the total time for which the receiver "
                "samples (samples per line x dwell time x lines x averages). Not the receiver bandwidth of the "
                "protocol.",
            ),
            _slices(facts),
            ultimate_part(),
        ),
        rules=(_one_of_each_plane,),
        build=ImagingRequest,
        strangers={"acceleration": "write `accelerations`, a list"},
    )
