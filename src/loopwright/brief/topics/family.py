"""Family: all bodies that wear the array and all ways in which it is worn, served by one fixed network."""

import re
from collections.abc import Iterator
from functools import partial

from loopwright.brief import defaults
from loopwright.brief.forms import Draft, Form, Trouble
from loopwright.brief.keys import Absent, Choice, Number
from loopwright.brief.lists import Direction, NumberList, PerCentList, QuantityList, WordOrWords
from loopwright.brief.records import CircuitRequest, FamilyRequest, OwnWiringRequest

__all__ = ["family_form"]

_SOME = tuple(range(1, 9))
_FEW = tuple(range(1, 5))
_FREE_ALLOWED = "C match, the first C tune, L series: what a ready wiring finds"
_LISTS = ("loads", "stretches", "girths", "bends", "coil_temperatures")


def _each_once(draft: Draft) -> Iterator[Trouble]:
    for key in _LISTS:
        values = list(draft.get(key) or ())
        if len(set(values)) < len(values):
            yield Trouble(key=key, found="a value twice", allowed="every value once", remedy="take one of them out")


def _of_more_than_one(draft: Draft) -> Iterator[Trouble]:
    only_one = draft.get("loads") == (1.0,) and draft.get("neighbours") == "kept"
    if only_one and all(not draft.get(key) for key in _LISTS[1:]):
        yield Trouble(
            key="loads",
            found="the load as computed, and nothing else",
            allowed="two states or more",
            remedy="write for example `loads: [0.5, 1, 2]`",
        )


def _own_free(circuit: OwnWiringRequest) -> tuple[str, ...]:
    return tuple(part.name for part in circuit.parts if part.is_free)


def _free_parts(circuit: CircuitRequest | None) -> tuple[str, ...]:
    """Patterns of the names of what may be free; none where that is not known."""
    if circuit is None:
        return ()
    if isinstance(circuit, OwnWiringRequest):
        return tuple(re.escape(name) for name in _own_free(circuit))
    return ("C match", r"C tune \d+", "L series")


def _something_to_move(circuit: CircuitRequest | None, draft: Draft) -> Iterator[Trouble]:
    if draft.get("robust") == "yes" and isinstance(circuit, OwnWiringRequest) and not _own_free(circuit):
        yield Trouble(
            key="robust",
            found="`robust: yes` with a circuit of fixed values",
            allowed="with parts of `value: free` only",
            remedy="free the parts that may move, or write `robust: no`",
        )


def _parts_for_robust(draft: Draft) -> Iterator[Trouble]:
    if "robust_parts" in draft.written and draft.get("robust") == "no":
        yield Trouble(
            key="robust_parts",
            found="parts for a search that is not asked for",
            allowed="with `robust: yes` only",
            remedy="add `robust: yes`",
        )


def _parts_are_free(circuit: CircuitRequest | None, draft: Draft) -> Iterator[Trouble]:
    free, named = _free_parts(circuit), draft.get("robust_parts") or ()
    unknown = [name for name in named if not any(re.fullmatch(pattern, name) for pattern in free)]
    if free and unknown:
        yield Trouble(
            key="robust_parts",
            found=f"{', '.join(unknown[:8])}, which {'is' if len(unknown) == 1 else 'are'} not free",
            allowed=", ".join(_own_free(circuit)) if isinstance(circuit, OwnWiringRequest) else _FREE_ALLOWED,
            remedy="name parts whose value is found",
        )


_KEYS = (
    NumberList(name="loads", lengths=_SOME, low=0.05, high=10, sample="[0.5, 1, 2]", default=defaults.LOADS,
               meaning="What multiplies the body's part of the impedance, from child to large adult; 1 is the "
               "body of the brief."),
    PerCentList(name="stretches", low=-0.3, high=1.0, lengths=_SOME, sample="[5 %, 10 %]",
                absent=Absent.ALLOWED, meaning="Strain of the array along `axis`."),
    PerCentList(name="girths", low=-0.3, high=1.0, lengths=_SOME, sample="[5 %, 10 %]", absent=Absent.ALLOWED,
                meaning="Strain of the array round `axis`, as a sleeve on a thicker limb."),
    QuantityList(name="bends", field="bends_m", unit="m", low="20 mm", high="10 m", lengths=_SOME,
                 sample="[150 mm, 60 mm]", absent=Absent.ALLOWED,
                 meaning="Radii to which an array that lies on one side is bent, about a line along `axis`."),
    Direction(name="axis", default=defaults.FLEX_AXIS, meaning="Axis of stretch, girth and bend."),
    Choice(name="neighbours", options=("kept", "away too"), default=defaults.NEIGHBOURS,
           meaning="Whether each element is also looked at by itself, coupled to no other."),
    QuantityList(name="coil_temperatures", field="coil_temperatures_k", unit="K", low="-50 degC",
                 high="150 degC", lengths=_FEW, sample="[60 degC]", absent=Absent.ALLOWED,
                 meaning="Temperatures of the conductor; the run's own counts in any case."),
    Number(name="temperature_coefficient", low=1e-4, high=0.02, sample="0.0039",
           default=defaults.TEMPERATURE_COEFFICIENT,
           meaning="Relative rise of the conductor's resistivity per kelvin at the run's temperature."),
    Choice(name="robust", options=("no", "yes"), default=defaults.ROBUST,
           meaning="Whether the free values are also sought anew, so that the worst state is as good as it "
           "gets."),
    WordOrWords(name="robust_parts", most=40, sample="[C match, C tune 2]", absent=Absent.ALLOWED,
                meaning="Parts that may change for it. Left out: the tuning capacitor of a ready wiring, for "
                "match capacitor and series inductor together block the loop's current; the trimmed "
                "capacitors of one's own."),
)  # fmt: skip


def family_form(circuit: CircuitRequest | None) -> Form:
    """Form of the family.

    Parameters
    ----------
    circuit
        The circuit that serves all; None where it is not known.

    Returns
    -------
    Form
        Keys and rules of ``family``.
    """
    return Form(
        title="family",
        keys=_KEYS,
        rules=(
            _each_once,
            _of_more_than_one,
            partial(_something_to_move, circuit),
            _parts_for_robust,
            partial(_parts_are_free, circuit),
        ),
        build=FamilyRequest,
        strangers={
            "ages": "only the load of another body is modelled: write `loads`",
            "radii": "write `bends`",
            "temperatures": "write `coil_temperatures`",
        },
        notes="Every shape is combined with every load; the array alone and its temperatures come beside that. Needs "
        "`circuit`.",
    )
