"""Which lies of the carrier change the currents most, and for which of them the body has to be solved anew."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.transmit.body_kept import BODY_KEPT
from loopwright.transmit.worn_array import WornArray

__all__ = ["LieEffect", "effects_of", "worth_solving"]

Complexes = NDArray[np.complex128]

#: A lie that changes no current by more, over the largest, is not worth a new solution.
_MATTERS = 0.02
#: How far what was taken over from the design may be off: a fifth, more than the eighth by which coupling through the
#: body was, of loops on a ball of muscle.
_OFF = (0.8, 1.2)


@dataclass(frozen=True, slots=True, kw_only=True)
class LieEffect:
    """What a lie does to the currents through the gaps.

    Attributes
    ----------
    change : float
        Largest change of the magnitude of a port's current against the design, over the design's largest, in the
        condition in which that is most.
    by_body : float
        Largest change of a port's current, over the largest in this lie, if the body added a fifth less than what was
        taken over, or a fifth more: how far a new solution may move it. An estimate, no bound.
    """

    change: float
    by_body: float


def effects_of(worn: Sequence[WornArray], designed: WornArray) -> tuple[LieEffect, ...]:
    """What each lie does against the design.

    Parameters
    ----------
    worn : sequence of WornArray
        The lies.
    designed : WornArray
        The array as designed, in the same field.
    """
    before = np.abs(designed.port_current_a_per_t)
    largest = before.max(axis=1, keepdims=True)
    return tuple(
        LieEffect(
            change=float((np.abs(np.abs(one.port_current_a_per_t) - before) / largest).max()), by_body=_by_body(one)
        )
        for one in worn
    )


def worth_solving(worn: Sequence[WornArray], effects: Sequence[LieEffect], *, most: int) -> tuple[int, ...]:
    """Lies for which the body is to be solved anew, those that change the currents most first.

    Parameters
    ----------
    worn : sequence of WornArray
        The lies.
    effects : sequence of LieEffect
        What each of them does.
    most : int
        How many solutions there is time for.

    Returns
    -------
    tuple of int
        Numbers in ``worn``; only lies whose body was taken over from the design, and that change a current by more than
        two hundredths, or might.
    """
    able = [
        number
        for number, (one, effect) in enumerate(zip(worn, effects, strict=True))
        if BODY_KEPT in one.notes and max(effect.change, effect.by_body) > _MATTERS
    ]
    return tuple(sorted(able, key=lambda number: -effects[number].change)[:most])


def _by_body(worn: WornArray) -> float:
    """Change of the currents with less and with more than what the body adds."""
    kept = worn.port_current_a_per_t
    # A map by the root of a number multiplies the impedance that the body adds by that number, and what it scatters
    # into the gaps by the root: both go with how closely wires and body couple.
    others = [replace(worn, port_map=factor * worn.port_map).port_current_a_per_t for factor in np.sqrt(_OFF)]
    largest = np.abs(kept).max(axis=1, keepdims=True)
    return float(max((np.abs(other - kept) / largest).max() for other in others))
