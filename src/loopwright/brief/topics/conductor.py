"""Conductor: kind, what it is made of, losses, temperatures, and the films round it."""

from loopwright.brief.forms import Draft, Variants
from loopwright.brief.topics import coaxial
from loopwright.brief.topics import conductor_kinds as kinds
from loopwright.brief.topics import stretching_conductors as stretching
from loopwright.brief.topics.conductor_rules import Extent, of_key, tube_diameter_m
from loopwright.brief.topics.facts import Facts

__all__ = ["conductor_form", "conductor_height_m"]

_HEIGHTS: dict[str, Extent] = {
    "round wire": of_key("wire_diameter"),
    "liquid metal tube": tube_diameter_m,
    "thread": of_key("outer_diameter"),
    "coaxial line": coaxial.shield_diameter_m,
}


def conductor_height_m(draft: Draft) -> float | None:
    """Room that a conductor takes where it is crossed, as far as it could be read. [m]"""
    return _HEIGHTS.get(str(draft.get("kind")), of_key("thickness"))(draft)


def conductor_form(facts: Facts) -> Variants:
    """Form of the conductor for this array.

    Parameters
    ----------
    facts
        What is known of body and array.

    Returns
    -------
    Variants
        Keys and rules of ``conductor``, by its kind.
    """
    return Variants(
        title="conductor",
        by="kind",
        meaning="What the elements are made of.",
        forms={
            "round wire": kinds.round_wire(facts),
            "flat strip": kinds.flat_strip(facts),
            "printed strip": kinds.printed_strip(facts),
            "liquid metal tube": kinds.liquid_metal_tube(facts),
            "elastomer strip": stretching.elastomer_strip(facts),
            "thread": stretching.thread(facts),
            "coaxial line": coaxial.coaxial_line(facts),
        },
    )
