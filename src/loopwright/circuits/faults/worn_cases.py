"""Cases in which the carrier lies wrongly while the scanner transmits."""

from collections.abc import Mapping, Sequence

from loopwright.brief.records.transmit import WornAs
from loopwright.circuits.faults.cases import ArrayCase, Wearing
from loopwright.circuits.faults.listing import transmit_conditions
from loopwright.circuits.states import ElementState
from loopwright.circuits.wiring import ElementCircuit

__all__ = ["WEARINGS", "worn_cases"]

#: What the brief's words mean.
WEARINGS: Mapping[WornAs, Wearing] = {
    "folded": Wearing.FOLDED,
    "stretched": Wearing.STRETCHED,
    "wet": Wearing.WET,
    "inside out": Wearing.INSIDE_OUT,
}


def worn_cases(
    wearing: Wearing,
    circuits: Sequence[ElementCircuit],
    *,
    failed: Sequence[int] = (),
    within: Sequence[ElementState] = (),
) -> tuple[ArrayCase, ...]:
    """The whole array in one wrong lie, within each condition of transmission.

    Parameters
    ----------
    wearing : Wearing
        How the carrier lies.
    circuits : sequence of ElementCircuit
        One for each element, as tuned.
    failed : sequence of int
        Elements that lie wrongly, counted from nought; all of them when left out.
    within : sequence of ElementState
        Conditions of all elements; those of ``transmit_conditions``, plugged and unplugged, when left out.

    Returns
    -------
    tuple of ArrayCase
        Each of the family of its condition. Nothing is wrong with the circuits themselves.
    """
    elements = len(circuits)
    wrong = tuple(failed) or tuple(range(elements))
    return tuple(
        ArrayCase(
            name=f"{wearing.value} ({condition.name})",
            states=(condition,) * elements,
            failed=() if wearing is Wearing.AS_DESIGNED else wrong,
            family=condition.name,
            wearing=wearing,
        )
        for condition in within or transmit_conditions(circuits)
    )
