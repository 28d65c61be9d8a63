"""Carrier: what holds the elements of a tiling together, and so how they come to lie on the body."""

from collections.abc import Iterator
from math import nan

from loopwright.brief import defaults
from loopwright.brief.forms import Draft, Form, Rule, Trouble, Variants
from loopwright.brief.keys import Absent, Choice, Words
from loopwright.brief.parts import Parts
from loopwright.brief.quantities import Angle, Quantity, Tolerance
from loopwright.brief.records import FilmCarrierRequest, PaddingRequest, StretchingCarrierRequest
from loopwright.brief.topics.facts import LEAST_STAND_OFF_M, Facts
from loopwright.ground.units import engineering_text

__all__ = ["carrier_form", "carrier_suits", "film_stand_off_m"]

_MOST_LAYERS = 6

_PADDING = Form(
    title="padding",
    keys=(
        Words(name="name", longest=20, sample="foam", meaning="What it is."),
        Quantity(
            name="thickness",
            field="thickness_m",
            unit="m",
            low="10 um",
            high="80 mm",
            sample="3 mm",
            meaning="How thick it is when worn.",
        ),
    ),
    build=PaddingRequest,
)

_STRETCHING = Form(
    title="stretching carrier",
    keys=(
        Tolerance(
            name="stretch_limit",
            default=defaults.STRETCH_LIMIT,
            meaning="By how much it may be stretched or gathered.",
        ),
    ),
    build=StretchingCarrierRequest,
    notes="Elements follow the skin as they do without `carrier`; the dossier tells what that asks of the cloth.",
)


def carrier_form(facts: Facts) -> Variants:
    """Form of the carrier.

    Parameters
    ----------
    facts
        What is known of body and conductor.
    """
    return Variants(
        title="carrier",
        by="kind",
        meaning="Whether it bends and does not stretch, as a printed film, or stretches, as a knitted cloth.",
        forms={"film": _film(facts), "stretching": _STRETCHING},
    )


def _film(facts: Facts) -> Form:
    return Form(
        title="film",
        keys=(
            Choice(
                name="form",
                options=("cylinder", "cone"),
                default=defaults.FILM_FORM,
                meaning="Whether the straight lines along which the film does not bend are parallel, or may meet in a "
                "tip.",
            ),
            Angle(
                name="turned",
                field="turned_rad",
                low_deg=-180,
                high_deg=180,
                default=defaults.FILM_TURNED,
                meaning="By how much the pattern is turned about its middle, seen from outside, against the clock; at "
                "0 deg its rows run across the direction to the head.",
            ),
            Quantity(
                name="margin",
                field="margin_m",
                unit="m",
                low="1 mm",
                high="100 mm",
                default=defaults.FILM_MARGIN,
                meaning="How far the film reaches past the outermost centre-lines.",
            ),
            Choice(
                name="towards_skin",
                options=("substrate", "encapsulation"),
                default=defaults.FILM_SIDE,
                meaning="Which side of the conductor's films is worn inwards.",
            ),
            Parts(
                name="padding",
                of=_PADDING,
                most=_MOST_LAYERS,
                absent=Absent.ALLOWED,
                meaning="Foam and fabric under the film, from the film to the skin. With `heat` write them in "
                "`heat.to_skin`, too.",
            ),
            Quantity(
                name="gap_limit",
                field="gap_limit_m",
                unit="m",
                low="0.1 mm",
                high="100 mm",
                default=defaults.GAP_LIMIT,
                meaning="Gap between the underside and the skin that is still borne; only told, never enforced.",
            ),
            Tolerance(
                name="compression_limit",
                default=defaults.COMPRESSION_LIMIT,
                meaning="By how much the film can be shortened before it wrinkles or lifts; decides on slits.",
            ),
        ),
        rules=(_thick_enough(facts),),
        build=FilmCarrierRequest,
        strangers={"foam": "write it below `padding`", "fabric": "write it below `padding`", "angle": "write `turned`"},
        notes="The middle of the pattern goes where `array.tiling.facing` points. A film is taut: it lies on a "
        "cylinder or cone over the highest places of the body and bridges its hollows.",
    )


def _thick_enough(facts: Facts) -> Rule:
    """Refuse layers that leave the conductor's centre-line closer to the skin than the model goes."""

    def rule(draft: Draft) -> Iterator[Trouble]:  # noqa: ARG001 - the facts hold what its keys come to
        layers_m = facts.film_stand_off_m
        if layers_m is not None and layers_m < LEAST_STAND_OFF_M:
            yield Trouble(
                key="padding",
                found=f"layers of {engineering_text(layers_m, 'm', digits=3)} from the skin to the centre-line of the "
                "conductor",
                allowed=f"{engineering_text(LEAST_STAND_OFF_M, 'm')} or more",
                remedy="add the foam or fabric that lies under the film",
            )

    return rule


def carrier_suits(draft: Draft) -> Iterator[Trouble]:
    """Refuse a carrier without a tiling, and a film of another span than a patch."""
    if "carrier" not in draft.written:
        return
    if "tiling" not in draft.written:
        yield Trouble(
            key="carrier",
            found="a carrier without a `tiling`",
            allowed="beside `tiling` only: single elements and pieces lie where they are put",
            remedy="take out `carrier`, or write a `tiling`",
        )
    carrier, tiling = draft.get("carrier"), draft.get("tiling")
    if isinstance(carrier, FilmCarrierRequest) and tiling is not None and tiling.span != "patch":
        yield Trouble(
            key="carrier",
            found="a film under a whole span",
            allowed="a film under a `span: patch`: no flat film closes round a body",
            remedy="write `span: patch` with `size` and `overlap`, or `kind: stretching`",
        )


def film_stand_off_m(carrier: Draft, conductor: Draft, height_m: float | None) -> float | None:
    """From the underside of the lowest layer to the centre-line of the conductor. [m]

    None without a film; not a number where a layer could not be read, which is complained of where it stands.

    Parameters
    ----------
    carrier, conductor
        What could be read of either.
    height_m
        Room that the conductor takes. [m]
    """
    side = carrier.get("towards_skin")
    unread = "padding" in carrier.written and carrier.get("padding") is None
    if carrier.get("kind") != "film":
        return None
    if side is None or height_m is None or unread or (side in conductor.written and conductor.get(side) is None):
        return nan
    layers = (*(conductor.get(side) or ()), *(carrier.get("padding") or ()))
    return height_m / 2 + sum(layer.thickness_m for layer in layers)
