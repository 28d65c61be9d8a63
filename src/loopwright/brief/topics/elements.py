"""Elements that are given one by one, and the keys that they share with tilings."""

from functools import partial

from loopwright.brief.forms import Form, Variants
from loopwright.brief.keys import Absent, Count, Words
from loopwright.brief.lists import Direction, QuantityList
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import ElementRequest

__all__ = ["ELEMENT", "GAPS", "MOST_ELEMENTS", "size_key"]

MOST_ELEMENTS = 256

GAPS = Count(
    name="gaps",
    low=1,
    high=16,
    sample="4",
    meaning="Gaps for capacitors in one element, evenly spaced. Common practice: no piece of conductor longer than a "
    "twentieth of the wavelength, so 2 at 1.5 T, 4 at 3 T, 6 to 8 at 7 T for an element of 80 mm.",
)


def size_key(name: str, meaning: str, absent: Absent) -> Quantity:
    """Key of the size of an element, under the name that suits its shape."""
    return Quantity(
        name=name, field="size_m", unit="m", low="10 mm", high="400 mm", sample="80 mm", meaning=meaning, absent=absent
    )


def _element(shape: str, size: str, strangers: dict[str, str]) -> Form:
    return Form(
        title=shape,
        keys=(
            Words(name="name", longest=40, meaning="Name of the element; every element has its own."),
            size_key(size, f"The {size}, between centre-lines of the conductor.", Absent.REFUSED),
            QuantityList(
                name="centre",
                field="centre_m",
                unit="m",
                low="-2 m",
                high="2 m",
                lengths=(3,),
                sample="[0 mm, -120 mm, 0 mm]",
                meaning="Centre in the body frame.",
            ),
            Direction(name="normal", meaning="Direction away from the body, square to the plane of the element."),
            GAPS,
        ),
        build=partial(ElementRequest, shape=shape),
        strangers=strangers,
    )


ELEMENT = Variants(
    title="element",
    by="shape",
    meaning="Outline of the element.",
    forms={
        "circle": _element("circle", "diameter", {"side": "a circle has a `diameter`", "size": "write `diameter`"}),
        "square": _element("square", "side", {"diameter": "a square has a `side`", "size": "write `side`"}),
    },
)
