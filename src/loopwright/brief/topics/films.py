"""Films, foams and textiles of the stack: what they are, how thick, and what is known better than the table has it."""

from collections.abc import Iterator
from typing import Any

from loopwright.brief.forms import NOTHING, Draft, Form, Trouble
from loopwright.brief.keys import Absent, Choice, Key, Number, Words, did_you_mean
from loopwright.brief.parts import Part, Parts
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import FilmRequest
from loopwright.ground.materials import film_materials

__all__ = ["STACK", "WALL"]

_MOST_FILMS = 8


def _film(*, material: str, **others: Any) -> FilmRequest:
    """Build the record, a name of the table as the table spells it."""
    spelled = {name.casefold(): name for name in film_materials()}
    return FilmRequest(material=spelled.get(material.casefold(), material), **others)


def _named_or_known(draft: Draft) -> Iterator[Trouble]:
    name, names = draft.get("material"), tuple(film_materials())
    if name is None or name.casefold() in map(str.casefold, names) or "density" in draft.written:
        return
    yield Trouble(
        key="material",
        found=f"{name!r}, which is not in the table of materials",
        allowed=f"one of {', '.join(names)}; or another with its `density`",
        remedy=did_you_mean(name, names, otherwise="write its `density` beside it, and what else you know"),
    )


def _one_extent(draft: Draft) -> Iterator[Trouble]:
    written = {"width", "area"} & draft.written
    if len(written) != 1:
        yield Trouble(
            key="area" if written else "width",
            found="both `width` and `area`" if written else NOTHING,
            allowed="`width` of a band along the conductors, or `area` of the whole sheet",
            remedy="write one of the two, for example `width: 8 mm`",
        )


def _decay_needs_hydrogen(draft: Draft) -> Iterator[Trouble]:
    if draft.get("short_echo") == "no hydrogen" and "t2_star" in draft.written:
        yield Trouble(
            key="t2_star",
            found="a decay of the signal beside `short_echo: no hydrogen`",
            allowed="one of the two",
            remedy="take out the one that does not hold",
        )


_NAME = Words(
    name="material",
    longest=60,
    sample="polyimide",
    meaning="Name of a material of the table below, or of another one with its `density`.",
)
_THICKNESS = Quantity(
    name="thickness", field="thickness_m", unit="m", low="1 um", high="30 mm", sample="50 um", meaning="Thickness."
)
_EXTENT: tuple[Key, ...] = (
    Quantity(
        name="width",
        field="width_m",
        unit="m",
        low="0.2 mm",
        high="200 mm",
        sample="8 mm",
        absent=Absent.ALLOWED,
        meaning="Width of a band that follows every conductor.",
    ),
    Quantity(
        name="area",
        field="area_m2",
        unit="m^2",
        low="1 cm^2",
        high="4 m^2",
        sample="900 cm^2",
        absent=Absent.ALLOWED,
        meaning="Area of a sheet under or over the whole array, instead of `width`.",
    ),
)
_KNOWN: tuple[Key, ...] = (
    Number(
        name="permittivity",
        field="eps_r",
        low=1,
        high=200,
        sample="3.4",
        absent=Absent.ALLOWED,
        meaning="Relative permittivity at the Larmor frequency, instead of that of the table.",
    ),
    Number(
        name="loss_tangent",
        low=0,
        high=10,
        sample="0.006",
        absent=Absent.ALLOWED,
        meaning="Loss tangent at the Larmor frequency, instead of that of the table.",
    ),
    Quantity(
        name="density",
        field="density_kg_per_m3",
        unit="kg/m^3",
        low="5 kg/m^3",
        high="5000 kg/m^3",
        sample="1420 kg/m^3",
        absent=Absent.ALLOWED,
        meaning="Density, instead of that of the table.",
    ),
    Choice(
        name="short_echo",
        options=("seen", "not seen", "no hydrogen"),
        absent=Absent.ALLOWED,
        meaning="Whether a scan with an ultra-short echo time shows it, instead of what the table says.",
    ),
    Quantity(
        name="t2_star",
        field="t2_star_s",
        unit="s",
        low="1 us",
        high="1 s",
        sample="300 us",
        absent=Absent.ALLOWED,
        meaning="Decay time T2* of its signal, instead of that of the table.",
    ),
)
_FILM = Form(
    title="film",
    keys=(_NAME, _THICKNESS, *_EXTENT, *_KNOWN),
    rules=(_named_or_known, _one_extent, _decay_needs_hydrogen),
    build=_film,
    strangers={"eps_r": "write `permittivity`", "tan_delta": "write `loss_tangent`", "visible": "write `short_echo`"},
)

#: The wall of a tube, which has neither a width nor an area of its own.
WALL = Part(
    name="wall",
    meaning="The insulating wall of the tube.",
    of=Form(
        title="wall",
        keys=(_NAME, _THICKNESS, *_KNOWN),
        rules=(_named_or_known, _decay_needs_hydrogen),
        build=_film,
        strangers={"width": "a wall goes round the bore", "area": "a wall goes round the bore"},
    ),
)

#: What the conductor lies on and what lies over it. Films are no part of the field model.
STACK = tuple(
    Parts(
        name=name,
        of=_FILM,
        most=_MOST_FILMS,
        absent=Absent.ALLOWED,
        meaning=f"Films, foams and textiles {where}, for mass and for what an ultra-short-echo scan shows; fields "
        "and circuits are computed without them.",
    )
    for name, where in (("substrate", "that the conductor lies on"), ("encapsulation", "that cover the conductor"))
)
