"""Tolerances: what is not the same in every array that is built, and what each has to keep."""

import re
from collections.abc import Iterator
from typing import get_args

from loopwright.brief import defaults
from loopwright.brief.forms import Draft, Form, Rule, Trouble
from loopwright.brief.keys import Absent, Choice, Count, Words
from loopwright.brief.lists import WordOrWords
from loopwright.brief.parts import Parts
from loopwright.brief.quantities import Decibels, Quantity, Tolerance
from loopwright.brief.records import CircuitRequest, OwnWiringRequest, PartsStray, TolerancesRequest
from loopwright.brief.records.tolerances import PartKind

__all__ = ["tolerances_form"]

_MOST_CAUSES = 24
_MOST_PARTS = 40
#: Names of the parts of ready wirings whose value can be off.
_READY = re.compile(r"C match|L series|line|L trap \d+|C (tune|trap|fuse) \d+|Fuse \d+")


def _by_name_or_kind(draft: Draft) -> Iterator[Trouble]:
    told = {"parts", "kind"} & draft.written
    if len(told) != 1:
        yield Trouble(
            key="kind" if told else "parts",
            found="both `parts` and `kind`" if told else "neither `parts` nor `kind`",
            allowed="one of the two",
            remedy="keep one" if told else "add `kind: capacitors`, or `parts: [C match]`",
        )


_STRAY = Form(
    title="parts that stray",
    keys=(
        Words(name="name", longest=60, sample="film of one sheet", meaning="What the cause is called."),
        WordOrWords(name="parts", most=_MOST_PARTS, sample="[C match, C tune 2]", absent=Absent.ALLOWED,
                    meaning="Names of the parts, in every element that has them."),
        Choice(name="kind", options=get_args(PartKind), absent=Absent.ALLOWED,
               meaning="All parts of a kind, instead of names. Of a line the length is off."),
        Tolerance(name="spread", meaning="Half-width of a uniform spread, standard deviation of a normal one."),
        Choice(name="shape", options=("uniform", "normal"), default=defaults.SPREAD_SHAPE,
               meaning="How values lie within the spread."),
        Choice(name="shared_by", options=("nothing", "element", "array"), default=defaults.SPREAD_SHARED,
               meaning="Which of the parts have one deviation: each its own, those of an element, or all of the array, "
               "as from one sheet of film."),
    ),
    rules=(_by_name_or_kind,),
    build=PartsStray,
    strangers={"tolerance": "write `spread`", "sd": "write `spread` and `shape: normal`"},
)  # fmt: skip


def _parts_there(circuit: CircuitRequest | None) -> Rule:
    """Refuse parts that no element can have."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        if circuit is None:
            return
        own = tuple(part.name for part in circuit.parts) if isinstance(circuit, OwnWiringRequest) else None
        for cause in draft.get("parts") or ():
            unknown = [name for name in cause.parts if (name not in own if own else not _READY.fullmatch(name))]
            if unknown:
                yield Trouble(
                    key="parts",
                    found=f"{cause.name}: {', '.join(unknown[:8])}, which no part of the circuit is called",
                    allowed=", ".join(own[:16])
                    if own
                    else "C match, L series, line, or C tune k, C trap k, L trap k, "
                    "C fuse k and Fuse k with the number of their gap",
                    remedy="write the names of the circuit's parts",
                )

    return rule


def tolerances_form(circuit: CircuitRequest | None) -> Form:
    """Form of the tolerances.

    Parameters
    ----------
    circuit
        The circuit, whose parts stray; None where it is not known.

    Returns
    -------
    Form
        Keys and rules of ``tolerances``.
    """
    return Form(
        title="tolerances",
        keys=(
            Count(name="draws", low=100, high=100_000, default=defaults.DRAWS, meaning="How many arrays are drawn."),
            Count(name="seed", low=0, high=2**31, default=defaults.SEED,
                  meaning="Where the random numbers begin: the same seed gives the same figures."),
            Choice(name="own_tolerances", options=("counted", "left out"), default=defaults.OWN_TOLERANCES,
                   meaning="Whether every part strays, uniformly and by itself, within its `tolerance` of `circuit`; a "
                           "capacitor of `capacitors` that is printed within half its finest tab."),
            Parts(name="parts", of=_STRAY, most=_MOST_CAUSES, unique="name", absent=Absent.ALLOWED,
                  meaning="What strays beside that; several causes on one part multiply."),
            Quantity(name="placement", field="placement_m", unit="m", low="0 mm", high="20 mm",
                     default=defaults.PLACEMENT,
                     meaning="Standard deviation of each element's shift in its plane, either way; it is turned about "
                     "its normal by as much at its rim."),
            Quantity(name="height", field="height_m", unit="m", low="0 mm", high="20 mm", default=defaults.HEIGHT,
                     meaning="Standard deviation of each element's shift along its normal."),
            Tolerance(name="conductor_resistance", default=defaults.CONDUCTOR_SPREAD,
                      meaning="Standard deviation of the resistance of each element's conductor."),
            Decibels(name="noise_loss", field="noise_loss_db", low=0.001, high=20, default=defaults.NOISE_LOSS,
                     meaning="Limit: rise of each preamplifier's noise figure over its least."),
            Decibels(name="reflection", field="reflection_db", low=-60, high=0, absent=Absent.ALLOWED,
                     meaning="Limit: reflection against the source that is wanted. Left out: no limit."),
            Quantity(name="shift", field="shift_hz", unit="Hz", low="1 kHz", high="50 MHz", absent=Absent.ALLOWED,
                     meaning="Limit: distance of the best match from the frequency of the run. Left out: no limit."),
        ),
        rules=(_parts_there(circuit),),
        build=TolerancesRequest,
        strangers={
            "spreads": "write `parts`, a list",
            "count": "write `draws`",
            "film": "write an entry of `parts` that is `shared_by: array`",
        },
        notes="Arrays are drawn as they come from the bench with nothing trimmed, each solved as a whole. Needs "
        "`circuit`.",
    )  # fmt: skip
