"""Imaging: region, accelerations, voxel of the image, bandwidth, slices to draw."""

from collections.abc import Iterator

from loopwright.brief import defaults
from loopwright.brief.forms import Draft, Form, Trouble
from loopwright.brief.keys import Choice
from loopwright.brief.parts import Part, Parts
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import ImagingRequest, SliceRequest
from loopwright.brief.topics.accelerations import acceleration_form
from loopwright.brief.topics.facts import Facts
from loopwright.brief.topics.field_of_view import ends_m, reach_told
from loopwright.brief.topics.region import region_form
from loopwright.brief.topics.ultimate import ultimate_part
from loopwright.ground.units import engineering_text

__all__ = ["imaging_form"]


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
        meaning="Planes that are drawn, one of each kind; left out, through the centre of the body frame.",
    )


def _slice(facts: Facts) -> Form:
    def within(draft: Draft) -> Iterator[Trouble]:
        plane, at_m = draft.get("plane"), draft.get("at")
        ends = None if plane is None else ends_m(facts, SliceRequest(plane=plane, at_m=0.0).normal)
        if at_m is None or ends is None:
            return
        if not ends[0] < at_m < ends[1]:
            yield Trouble(
                key="at",
                found=f"{engineering_text(at_m, 'm')}, beside the body",
                allowed=f"{reach_told(ends)} for this plane",
                remedy="move the plane to where the body lies in its frame",
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
                of=acceleration_form(facts),
                most=24,
                unique="name",
                default=defaults.ACCELERATIONS,
                meaning="Accelerations for which g and SNR are told.",
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
