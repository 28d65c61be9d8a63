"""The carrier worn wrongly, as far as the brief asks for it: other lies of the array on the same body."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from loopwright import bodies, conductors, fields
from loopwright.circuits.faults.cases import ArrayCase, Wearing
from loopwright.circuits.faults.worn_cases import WEARINGS, worn_cases
from loopwright.circuits.states import ElementState
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.means import Means
from loopwright.transmission.question import Asked
from loopwright.transmit.body_kept import BODY_KEPT
from loopwright.transmit.lie import OUT_OF_PLACE, Lie
from loopwright.transmit.wearing import DesignedArray, WearingMeans, worn_array, worn_on_body
from loopwright.transmit.worn_array import WornArray, worn_driven
from loopwright.transmit.worn_ranking import effects_of, worth_solving

__all__ = ["Lain", "WornLies", "worn_lies"]

#: Lies for which the body is solved anew: each costs about what the array as designed does.
_SOLVED_ANEW = 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lain:
    """One lie of the array, with its conductors and its cases."""

    lie: Lie
    dressed: conductors.DressedLayout
    network: fields.PortNetwork
    cases: tuple[ArrayCase, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WornLies:
    """Every lie that was asked for.

    Attributes
    ----------
    lain : tuple of Lain
        Those that could be told.
    granted : tuple of str
        What they take for granted.
    refused : tuple of str
        Those that could not, and why.
    """

    lain: tuple[Lain, ...]
    granted: tuple[str, ...]
    refused: tuple[str, ...]


def worn_lies(
    asked: Asked,
    designed: Lie,
    states: Sequence[ElementState],
    *,
    dressed: conductors.DressedLayout,
    body: bodies.Body,
    means: Means,
) -> WornLies:
    """Put the array into every lie of the brief; for those that change the currents most the body is solved anew.

    Parameters
    ----------
    asked : Asked
    designed : Lie
        The array as designed.
    states : sequence of ElementState
        Conditions in which the scanner transmits.
    dressed : DressedLayout
        The array as designed, and its conductor.
    body : Body
    means : Means

    Returns
    -------
    WornLies
        Each lie with one case for each condition; what is refused is told and not an error.

    Raises
    ------
    NotConvergedError
        If a field solution stops short of its tolerance.
    """
    array = DesignedArray(
        dressed=dressed,
        circuits=tuple(asked.circuit.circuits),
        solid=body.solid,
        source=asked.source,
        reply=designed.reply,
    )
    worn, refused = [], []
    for word in dict.fromkeys(asked.request.wearing):
        means.progress.note(f"array worn {word}")
        try:
            worn.append(worn_array(WEARINGS[word], array, WearingMeans(strain=asked.request.stretch)))
        except OutsideModelError as error:
            refused.append(f"Worn {word}: not assessed, because {str(error).rstrip('.')}.")
    worn = list(_on_body(asked, array, worn, body, means))
    return WornLies(
        lain=tuple(_lain(one, designed, states, asked) for one in worn),
        granted=tuple(dict.fromkeys(note for one in worn for note in one.notes)),
        refused=tuple(refused),
    )


def _on_body(
    asked: Asked, array: DesignedArray, worn: Sequence[WornArray], body: bodies.Body, means: Means
) -> Iterator[WornArray]:
    """The same lies, the body solved anew for the few that change the currents most."""
    as_designed = worn_array(Wearing.AS_DESIGNED, array, WearingMeans(strain=asked.request.stretch))
    anew = worth_solving(worn, effects_of(worn, as_designed), most=_SOLVED_ANEW) if worn else ()
    for number, one in enumerate(worn):
        if number in anew:
            means.progress.note(f"the body anew, array {one.wearing.value}")
            yield worn_on_body(
                one,
                body,
                asked.source,
                face_rule=fields.FaceRule(asked.brief.computation.face_rule),
                relative_residual=asked.brief.computation.relative_residual,
                progress=means.progress,
                store=means.store,
                device=means.device,
            )
        else:
            yield one


def _lain(worn: WornArray, designed: Lie, states: Sequence[ElementState], asked: Asked) -> Lain:
    lie = replace(
        designed,
        wearing=worn.wearing,
        reply=worn.reply_in_lie,
        driven=worn_driven(worn, asked.circuit.ports.temperatures),
        notes=(OUT_OF_PLACE,) if BODY_KEPT in worn.notes else (),
    )
    cases = worn_cases(worn.wearing, worn.circuits, failed=worn.wrong, within=states)
    return Lain(lie=lie, dressed=worn.dressed, network=worn.array.network, cases=cases)
