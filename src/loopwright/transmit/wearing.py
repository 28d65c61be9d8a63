"""From the array as designed to the same array folded, stretched, wet or inside out, the worst with the body anew."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal, assert_never

import numpy as np

from loopwright.bodies import Body, Solid
from loopwright.circuits.faults.cases import Wearing
from loopwright.circuits.faults.wet import SALINE_FILM, WET_LIMITS, LiquidFilm, film_across, wet_circuits
from loopwright.circuits.wiring import ElementCircuit
from loopwright.conductors import DressedLayout, outline_width_m
from loopwright.fields import solve_network
from loopwright.fields.body.faces import FaceRule
from loopwright.fields.transmit import TransmitReply, TransmitSource, open_array, transmit_reply
from loopwright.ground.device import Device
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.progress import PieceStore, Progress
from loopwright.layouts import Element, Layout
from loopwright.layouts.folding import FOLD_LIMITS, Fold, edge_pair, folded
from loopwright.layouts.worn_wrongly import (
    INSIDE_OUT_LIMITS,
    STRETCH_LIMITS,
    Heights,
    heights_over,
    inside_out,
    stretched,
    worn_layout,
)
from loopwright.transmit.body_kept import BODY_KEPT, port_map
from loopwright.transmit.worn_array import WornArray

__all__ = ["BODY_SOLVED", "COVER_M", "DesignedArray", "WearingMeans", "worn_array", "worn_on_body"]

#: Outer cover of a flexible array, from its surface to the nearest centre-line: cloth and a film (common practice). [m]
COVER_M = 2e-3
#: Said of a lie for which the body was solved anew.
BODY_SOLVED = "The body was solved anew with the array as it lies."


@dataclass(frozen=True, slots=True, kw_only=True)
class WearingMeans:
    """How far the carrier goes wrong.

    Attributes
    ----------
    strain : float
        Where it is stretched.
    fold : Fold or None
        None: the element at the edge onto its neighbour.
    cover_m : float
        Between skin and nearest centre-line where it is worn inside out. [m]
    film : LiquidFilm
        Where it is wet.
    """

    strain: float
    fold: Fold | None = None
    cover_m: float = COVER_M
    film: LiquidFilm = SALINE_FILM


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignedArray:
    """The array as designed, on its body in the transmit field.

    Attributes
    ----------
    dressed : DressedLayout
    circuits : tuple of ElementCircuit
        As tuned, one for each element.
    solid : Solid
        What it lies on.
    source : TransmitSource
    reply : TransmitReply
        Of this array; with a body or without.
    """

    dressed: DressedLayout
    circuits: tuple[ElementCircuit, ...]
    solid: Solid
    source: TransmitSource
    reply: TransmitReply


def worn_array(wearing: Wearing, designed: DesignedArray, means: WearingMeans) -> WornArray:
    """Put the array into a lie, the body's part taken over from the design.

    Parameters
    ----------
    wearing : Wearing
        How it lies.
    designed : DesignedArray
        The array as designed.
    means : WearingMeans
        How far it goes wrong.

    Returns
    -------
    WornArray

    Raises
    ------
    OutsideModelError
        If there is no array in the field, or the array finds no room in this lie.
    """
    was = designed.reply.array
    if was is None:
        raise OutsideModelError("there is no array in the transmit field that could be worn wrongly")
    kept = WornArray(
        wearing=wearing,
        wrong=tuple(range(len(designed.circuits))),
        dressed=designed.dressed,
        array=was,
        circuits=designed.circuits,
        reply=designed.reply,
        port_map=np.eye(len(was.network.port_element)),
        notes=(),
    )
    match wearing:
        case Wearing.AS_DESIGNED:
            return replace(kept, wrong=())
        case Wearing.WET:
            film = film_across(
                means.film,
                width_m=outline_width_m(designed.dressed.cross_section),
                frequency_hz=designed.source.frequency_hz,
            )
            return replace(kept, circuits=wet_circuits(designed.circuits, film), notes=WET_LIMITS)
        case Wearing.FOLDED | Wearing.STRETCHED | Wearing.INSIDE_OUT:
            heights = heights_over(designed.dressed.layout, designed.solid)
            return _elsewhere(kept, designed, _lie(wearing, designed, means, heights), heights)


def worn_on_body(
    worn: WornArray,
    body: Body,
    source: TransmitSource,
    *,
    face_rule: FaceRule = FaceRule.AREA_MEAN,
    relative_residual: float,
    progress: Progress,
    store: PieceStore,
    device: Device = Device.CPU,
) -> WornArray:
    """Solve the body anew with the array as it lies; parameters as for :func:`transmit_reply`.

    Parameters
    ----------
    worn : WornArray
        The array in its lie.
    body : Body
        The body on which it lies.
    source : TransmitSource
        What transmits.
    face_rule : FaceRule
        Permittivity of the faces inside the body.
    relative_residual : float
        Tolerance of the iterative solution.
    progress : Progress
        Told of every batch.
    store : PieceStore
        Keeps finished batches.
    device : Device
        Where the solution is computed.

    Returns
    -------
    WornArray
        With its own reply.
    """
    reply = transmit_reply(
        body,
        source,
        array=worn.array,
        face_rule=face_rule,
        relative_residual=relative_residual,
        progress=progress,
        store=store,
        device=device,
    )
    notes = (*(note for note in worn.notes if note != BODY_KEPT), BODY_SOLVED)
    return replace(worn, reply=reply, port_map=np.eye(len(worn.port_map)), notes=notes)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lie:
    """Elements where they lie, which of them lie wrongly, and which act on the body like others of the design."""

    elements: tuple[Element, ...]
    notes: tuple[str, ...]
    wrong: tuple[int, ...]
    acts_as: Mapping[int, int]


def _lie(
    wearing: Literal[Wearing.FOLDED, Wearing.STRETCHED, Wearing.INSIDE_OUT],
    designed: DesignedArray,
    means: WearingMeans,
    heights: Heights,
) -> _Lie:
    layout = designed.dressed.layout
    every = tuple(range(len(layout.elements)))
    match wearing:
        case Wearing.FOLDED:
            fold = means.fold or _edge_fold(layout)
            return _Lie(
                elements=folded(layout.elements, fold),
                notes=FOLD_LIMITS,
                wrong=(fold.turned, fold.onto),
                acts_as={fold.turned: fold.onto},
            )
        case Wearing.STRETCHED:
            there = stretched(layout.elements, means.strain, heights)
            return _Lie(elements=there, notes=STRETCH_LIMITS, wrong=every, acts_as={})
        case Wearing.INSIDE_OUT:
            there = inside_out(layout.elements, means.cover_m, heights)
            return _Lie(elements=there, notes=INSIDE_OUT_LIMITS, wrong=every, acts_as={})
    assert_never(wearing)


def _edge_fold(layout: Layout) -> Fold:
    turned, onto = edge_pair(layout)
    return Fold(turned=turned, onto=onto)


def _elsewhere(kept: WornArray, designed: DesignedArray, lie: _Lie, heights: Heights) -> WornArray:
    """Conductors solved where they lie, the body's part taken over."""
    before = designed.dressed.layout
    dressed = replace(designed.dressed, layout=worn_layout(before, lie.elements, designed.solid, notes=lie.notes))
    network = solve_network(dressed, designed.source.frequency_hz, band_fraction=1e-3, frequency_count=1)
    return replace(
        kept,
        wrong=lie.wrong,
        dressed=dressed,
        array=open_array(dressed, network, designed.source),
        port_map=port_map(before.elements, lie.elements, heights, acts_as=lie.acts_as),
        notes=(*lie.notes, BODY_KEPT),
    )
