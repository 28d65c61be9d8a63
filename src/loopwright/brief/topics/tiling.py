"""Tiling: equal elements laid over the surface of the body."""

from dataclasses import dataclass, replace

from loopwright.brief import defaults
from loopwright.brief.forms import Form
from loopwright.brief.keys import Absent, Choice, Count, Number, Unfit, nearest, plain_number
from loopwright.brief.lists import Direction, QuantityList
from loopwright.brief.parts import Part, Parts
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import CoverRequest, OpeningRequest, SeamRequest, TilingRequest
from loopwright.brief.topics.elements import GAPS, MOST_ELEMENTS, size_key
from loopwright.brief.topics.facts import LEAST_STAND_OFF_M, Facts
from loopwright.brief.topics.tiling_kinds import cover_bounds, stand_off_is_of_layers
from loopwright.brief.topics.tiling_rules import LEAST_OVERLAP, MOST_OVERLAP, ZERO_COUPLING, piece_rules, tiling_rules
from loopwright.brief.tree import Node, described

__all__ = ["piece_form", "tiling_form"]

_MOST_ROWS = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlap(Number):
    """A number, or the words that ask for a search."""

    @property
    def allowed(self) -> str:
        """Range, or the words."""
        return f"a number from {self.low:g} to {self.high:g}, or `{ZERO_COUPLING}`"

    @property
    def kind(self) -> str:
        """Number or words."""
        return f"number, or `{ZERO_COUPLING}`"

    def value_of(self, node: Node) -> float | str:  # type: ignore[override]
        """Read either."""
        text = self.text_of(node)
        if text.casefold() == ZERO_COUPLING:
            return ZERO_COUPLING
        number = plain_number(text)
        if number is None and nearest(text[:80], (ZERO_COUPLING,)):
            raise self.unfit(described(node), f"did you mean '{ZERO_COUPLING}'?")
        if number is None or not self.low <= number <= self.high:
            raise self.unfit(described(node), f"write a number without unit, such as {self.example}")
        return number


SEAM = Form(
    title="seam",
    keys=(
        Direction(name="towards", meaning="From the origin to the middle of the seam; square to z."),
        Quantity(
            name="gap",
            field="gap_m",
            unit="m",
            low="1 mm",
            high="300 mm",
            sample="10 mm",
            meaning="Distance round the body, at the stand-off, between the centre-lines of elements on either side; "
            "more than the conductor is wide.",
        ),
    ),
    build=SeamRequest,
    strangers={"width": "write `gap`", "facing": "write `towards`"},
)


_HEIGHTS = "At the front and at the back of the body, along z: "
COVER = Form(
    title="cover",
    keys=(
        QuantityList(
            name="lowest",
            field="lowest_m",
            unit="m",
            low="-2 m",
            high="2 m",
            lengths=(2,),
            sample="[-20 mm, -60 mm]",
            absent=Absent.ALLOWED,
            meaning=f"{_HEIGHTS}the plane above which centres of elements lie. Left out: the body's end or cut.",
        ),
        QuantityList(
            name="highest",
            field="highest_m",
            unit="m",
            low="-2 m",
            high="2 m",
            lengths=(2,),
            sample="[150 mm, 150 mm]",
            absent=Absent.ALLOWED,
            meaning=f"{_HEIGHTS}the plane below which they lie. Left out: the body's end or cut.",
        ),
        Parts(
            name="free",
            of=Form(
                title="free part",
                keys=(
                    Direction(name="towards", meaning="From the origin to the middle of the part that stays free."),
                    Quantity(
                        name="radius",
                        field="radius_m",
                        unit="m",
                        low="5 mm",
                        high="500 mm",
                        sample="60 mm",
                        meaning="No centre of an element lies closer to that middle.",
                    ),
                ),
                build=OpeningRequest,
            ),
            most=8,
            absent=Absent.ALLOWED,
            meaning="Parts of the surface that stay free, such as a face.",
        ),
    ),
    rules=(cover_bounds,),
    build=CoverRequest,
    strangers={"from": "write `lowest`", "to": "write `highest`", "openings": "write `free`"},
)


def piece_form(facts: Facts) -> Form:
    """Form of the tiling of one piece: a patch, without what belongs to a tiling that goes round the body.

    Parameters
    ----------
    facts
        What is known of what the piece lies on.
    """
    whole = tiling_form(facts)
    return replace(
        whole,
        keys=tuple(_SPAN_OF_A_PIECE if key.name == "span" else key for key in whole.keys if key.name not in _ROUND),
        rules=piece_rules(facts),
        strangers={**whole.strangers, **dict.fromkeys(_ROUND, "take it out: a piece is a patch")},
        notes="As `array.tiling` for a patch: `size` and `overlap` are written, or `sizes` and `overlap`; the distance "
        "between centres is their product.",
    )


_ROUND = ("seam", "row_pitch", "cover")


@dataclass(frozen=True, slots=True, kw_only=True)
class _PatchOnly(Choice):
    """The one span that a piece can have, with the reason."""

    def unfit(self, found: str, remedy: str = "") -> Unfit:  # noqa: ARG002 - the one remedy there is
        return Unfit(
            found=found,
            allowed="patch: several pieces share the body",
            remedy="write `span: patch` with `size` and `overlap`",
        )


_SPAN_OF_A_PIECE = _PatchOnly(
    name="span", options=("patch",), meaning="A piece lies on one side: several pieces share the body."
)


def tiling_form(facts: Facts) -> Form:
    """Form of a tiling of this body.

    Parameters
    ----------
    facts
        What is known of the body.

    Returns
    -------
    Form
        Keys and rules of ``array.tiling``.
    """
    layers_m = facts.film_stand_off_m
    stand_off = None if layers_m is None else defaults.film_stand_off(max(LEAST_STAND_OFF_M, layers_m))
    return Form(
        title="tiling",
        keys=(
            Choice(
                name="pattern",
                options=("hexagonal", "rectangular"),
                meaning="Whether every other row is shifted by half a distance, or none.",
            ),
            Choice(name="shape", options=("circle", "square"), meaning="Outline of every element."),
            Count(name="count", low=1, high=MOST_ELEMENTS, sample="16", meaning="Number of elements."),
            Count(
                name="rows",
                low=1,
                high=_MOST_ROWS,
                sample="2",
                absent=Absent.ALLOWED,
                meaning="Rows along z; every row has count / rows elements. See the rules above.",
            ),
            size_key("size", "Diameter or side, between centre-lines. See the rules above.", Absent.ALLOWED),
            QuantityList(
                name="sizes",
                field="sizes_m",
                unit="m",
                low="10 mm",
                high="400 mm",
                lengths=tuple(range(2, _MOST_ROWS + 1)),
                sample="[60 mm, 70 mm, 80 mm]",
                absent=Absent.ALLOWED,
                meaning="In place of `size` in a patch: diameters or sides of the rows, from the feet upwards. Rows "
                "are apart by the overlap times the mean of their sizes.",
            ),
            Overlap(
                name="overlap",
                low=LEAST_OVERLAP,
                high=MOST_OVERLAP,
                sample="0.75",
                absent=Absent.ALLOWED,
                meaning="Distance between the centres of neighbours over the size: below 1 they overlap. Circles next "
                "to each other have no mutual inductance near 0.76, squares near 0.9. `zero coupling` searches for the "
                "distances that leave the least coupling, with the body. See the rules above.",
            ),
            Quantity(
                name="stand_off",
                field="stand_off_m",
                unit="m",
                low="0.5 mm",
                high="100 mm",
                sample="10 mm",
                default=stand_off,
                meaning="From the skin to the centre-line of the conductor; of the innermost, where conductors cross. "
                "With a film as `array.carrier` it may be left out: the layers make it.",
            ),
            GAPS,
            Choice(
                name="span",
                options=("whole", "patch"),
                meaning="Whether the tiling closes round the body (covers a closed surface), or lies on one side.",
            ),
            Direction(
                name="facing",
                default=defaults.FACING,
                meaning="From the origin to the middle of a patch, or to the first element of a ring.",
            ),
            Quantity(
                name="crossing_separation",
                field="crossing_separation_m",
                unit="m",
                low="0.1 mm",
                high="20 mm",
                default=defaults.crossing_separation(facts.conductor_height_m),
                meaning="Distance between the centre-lines of conductors that cross, held between the straight "
                "segments that are solved.",
            ),
            Quantity(
                name="row_pitch",
                field="row_pitch_m",
                unit="m",
                low="5 mm",
                high="400 mm",
                sample="60 mm",
                absent=Absent.ALLOWED,
                meaning="Distance along z between the rows of a whole span round the body. Left out: that of the "
                "pattern, which grows with the distance round the body; written, `overlap` holds within the rows only.",
            ),
            Part(
                name="seam",
                of=SEAM,
                absent=Absent.ALLOWED,
                meaning="Where the rings of a whole span open like a jacket: no element crosses it.",
            ),
            Part(
                name="cover",
                of=COVER,
                absent=Absent.ALLOWED,
                meaning="Part of the surface of a body of triangles that a whole span covers. Left out: all of it.",
            ),
        ),
        rules=(*tiling_rules(facts), stand_off_is_of_layers(facts)),
        build=TilingRequest,
        strangers={
            "diameter": "write `size`, for circles and squares alike",
            "side": "write `size`, for circles and squares alike",
            "columns": "write `rows`: there are count / rows columns",
            "row_distance": "write `row_pitch`",
        },
        notes="What has to be written follows from the span and the body. A `patch` needs `size` and `overlap`: the "
        "distance between centres is their product. A `whole` span round an elliptic cylinder or a trunk needs `rows`, "
        "which has to divide `count`; the distance is the circumference at the stand-off over the elements in a ring, "
        "so exactly one of `size` and `overlap` is written and the other follows; with a `seam` the rings share what "
        "is left of the circumference, and the seam takes the place of `facing`. A `whole` span on a sphere or an "
        "ellipsoid spreads `count` points over the closed surface, without `rows`; there the overlap is the mean "
        "distance to the nearest neighbour over the size, and again exactly one of the two is written. "
        "On a body of triangles a whole span is spread in the same way over all of it, or over its `cover`, and keeps "
        "off the planes where the body is cut. "
        "A slab takes patches on its front face, a head patches down to its chin.",
    )
