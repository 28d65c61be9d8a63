"""Conductor choice: a rigid coil to be held against, how much further out it stands, other conductors."""

from collections.abc import Iterator

from loopwright.brief.forms import Draft, Form, Trouble, Variants
from loopwright.brief.keys import Absent
from loopwright.brief.lists import QuantityList
from loopwright.brief.parts import Part, Parts
from loopwright.brief.records import CoaxialLineRequest, ConductorChoiceRequest
from loopwright.brief.topics.designs import depths_inside
from loopwright.brief.topics.facts import Facts
from loopwright.ground.units import engineering_text

__all__ = ["conductor_choice_form"]

_MOST = 12


def _rising(draft: Draft) -> Iterator[Trouble]:
    for key in ("further_out", "depths"):
        values = draft.get(key) or ()
        if list(values) != sorted(set(values)):
            yield Trouble(
                key=key,
                found=", ".join(engineering_text(value, "m") for value in values),
                allowed="rising values, each once",
                remedy="sort them from small to large",
            )


def _of_loops(draft: Draft) -> Iterator[Trouble]:
    """Refuse conductors that no capacitors in the gaps of a loop tune."""
    found = {"rigid": (draft.get("rigid"),), "others": draft.get("others") or ()}
    for key, conductors in found.items():
        if any(isinstance(one, CoaxialLineRequest) for one in conductors):
            yield Trouble(
                key=key,
                found="a coaxial line",
                allowed="conductors of loops with capacitors in their gaps",
                remedy="list it below `designs: conductor:` for `loopwright compare-designs`",
            )


def conductor_choice_form(facts: Facts, *, conductor: Variants) -> Form:
    """Form of the choice of conductor.

    Parameters
    ----------
    facts
        What is known of the body.
    conductor
        Form of one conductor.

    Returns
    -------
    Form
        Keys and rules of ``conductor_choice``.
    """
    lengths = tuple(range(1, _MOST + 1))
    return Form(
        title="conductor choice",
        keys=(
            Part(name="rigid", of=conductor, meaning="What the rigid coil is made of, with the keys of `conductor`."),
            QuantityList(
                name="further_out",
                field="further_out_m",
                unit="m",
                low="0.5 mm",
                high="200 mm",
                lengths=lengths,
                sample="[2 mm, 5 mm, 10 mm, 20 mm, 30 mm]",
                meaning="How much further from the skin than the array the rigid coil is tried.",
            ),
            QuantityList(
                name="depths",
                field="depths_m",
                unit="m",
                low="1 mm",
                high="1 m",
                lengths=lengths,
                sample="[20 mm, 40 mm, 60 mm]",
                meaning="Depths below the skin, on the axis of one element, at which the two are compared.",
            ),
            Parts(
                name="others",
                of=conductor,
                most=_MOST,
                absent=Absent.ALLOWED,
                meaning="Conductors that the array might be made of, beside its own.",
            ),
        ),
        rules=(_rising, _of_loops, depths_inside(facts)),
        build=ConductorChoiceRequest,
        strangers={
            "stand_offs": "write `further_out`, counted from the place of the array",
            "stand_off": "write `further_out`, counted from the place of the array",
            "reference": "write `rigid`",
        },
        notes="The element that the body loads least stands for the array. Its loop is solved beside the same body at "
        "its own place and at every place further out, along its normal, so this adds as many field solutions. Where "
        "a lossier conductor that lies close breaks even with the rigid coil is told for every depth.",
    )
