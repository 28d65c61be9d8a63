"""States and faults in short: isolation by trap, where crossed diodes begin to act, what the worst fault does."""

from collections.abc import Iterator
from math import isfinite

import numpy as np

from loopwright.dossier.findings import Answer
from loopwright.dossier.numbers import printed, printed_in_steps
from loopwright.dossier.protection import Protection, worst_fault
from loopwright.dossier.protection_tables import PRACTICE_DB, practice_word

__all__ = ["protection_answers"]

_SECTION = "states"


def protection_answers(told: Protection) -> tuple[Answer, ...]:
    """Answer what is asked of detuned elements.

    Parameters
    ----------
    told : Protection
        What is known.
    """
    return tuple(_answers(told))


def _answers(told: Protection) -> Iterator[Answer]:
    found = told.found
    if found.traps:
        yield Answer(
            question="How far does each trap take the current down, and are two needed?",
            answer=_isolation(told),
            section=_SECTION,
        )
    if any(found.onsets):
        yield Answer(
            question="From which transmit field do the crossed diodes act?", answer=_onset(told), section=_SECTION
        )
    words, current_a = worst_fault(told)
    least, most = (printed(float(pick(found.intact_a)), "A") for pick in (np.min, np.max))
    yield Answer(
        question="What does a single failed part do in the transmit field?",
        answer=f"At {printed_in_steps(found.b1_plus_t, 'T')} peak B1+ most current flows with {words}: "
        f"{printed(current_a, 'A')} peak, where an element with nothing that acts would carry "
        f"{least if least == most else f'{least} to {most}'}. Every fault is in its table; heating is no part of it.",
        section=_SECTION,
    )


def _isolation(told: Protection) -> str:
    found = told.found
    low, high = PRACTICE_DB
    least = {trap.diode: float(np.nanmin(trap.isolation_db)) for trap in found.traps}
    alone = "; ".join(f"{diode} {printed(db, 'dB')}, {practice_word(db)}" for diode, db in least.items())
    if min(least.values()) >= low:
        needed = "One trap reaches the practice; a second one is there for when the first fails."
    else:
        needed = "Where one is outside, a second trap in the loop is the usual remedy."
    return f"Least over the elements, each alone, against a practice of {low:g} to {high:g} dB: {alone}. {needed}"


def _onset(told: Protection) -> str:
    found = told.found
    first = [own[0] for own in found.onsets if own and isfinite(own[0].acts_t)]
    if not first:
        return f"None acts up to {printed_in_steps(found.b1_plus_t, 'T')} peak B1+: the loops stay tuned."
    low_t, high_t = (printed_in_steps(pick(one.acts_t for one in first), "T", digits=2) for pick in (min, max))
    there_a = max(one.current_at_onset_a for one in first)
    full_a = max(float(one.loop_a[-1]) for one in first)
    span = f"From {low_t}" if low_t == high_t else f"From {low_t} to {high_t}, by element,"
    return (
        f"{span} peak B1+, nothing plugged in. Below it the loop stays tuned, with a current that goes with the field, "
        f"up to {printed(there_a, 'A', digits=2)} peak, and disturbs the flip angle near it. At "
        f"{printed_in_steps(found.b1_plus_t, 'T')} at most {printed(full_a, 'A', digits=2)} flows. Law of the diodes "
        "from memory."
    )
