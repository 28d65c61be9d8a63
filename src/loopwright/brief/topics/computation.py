"""Computation: how finely conductors, body and band are resolved."""

from collections.abc import Iterator
from typing import get_args

from loopwright.brief import defaults
from loopwright.brief.forms import Draft, Form, Trouble
from loopwright.brief.keys import Choice, Count, Number
from loopwright.brief.records import ComputationRequest
from loopwright.brief.records.computation import AskedExcitation, AskedFaceRule
from loopwright.brief.topics.facts import Facts

__all__ = ["computation_form"]


def computation_form(facts: Facts) -> Form:
    """Form of the computation for this array.

    Parameters
    ----------
    facts
        What is known of the array.

    Returns
    -------
    Form
        Keys and rules of ``computation``.
    """

    def gaps_have_segments(draft: Draft) -> Iterator[Trouble]:
        segments, gaps = draft.get("segments_per_element"), facts.most_gaps
        if segments is not None and gaps is not None and segments < 2 * gaps:
            yield Trouble(
                key="segments_per_element",
                found=f"{segments} segments for {gaps} gaps",
                allowed="two segments or more between gaps",
                remedy=f"write {4 * -(-2 * gaps // 4)} or more, or take fewer gaps",
            )

    return Form(title="computation", keys=_KEYS, rules=(gaps_have_segments,), build=ComputationRequest)


_KEYS = (
    Count(
        name="segments_per_element",
        low=12,
        high=96,
        step=4,
        why_step="a multiple of 4, so that a square has a node at every corner",
        default=defaults.SEGMENTS_PER_ELEMENT,
        meaning="Straight segments of the conductor of one element.",
    ),
    Number(
        name="relative_residual",
        low=2e-5,  # single precision ends near 1e-5
        high=1e-2,
        sample="0.0001",
        default=defaults.RELATIVE_RESIDUAL,
        meaning="Where the iteration for the field in the body stops.",
    ),
    Number(
        name="coarse_voxel_ratio",
        low=1.2,
        high=2.0,
        sample="1.5",
        default=defaults.COARSE_VOXEL_RATIO,
        meaning="Voxel of the second, coarser grid over the voxel of the first. The two give the error estimate.",
    ),
    Number(
        name="band_fraction",
        low=0.005,
        high=0.2,
        sample="0.04",
        default=defaults.BAND_FRACTION,
        meaning="How far the network reaches to either side of the Larmor frequency, as a part of it.",
    ),
    Count(
        name="frequencies",
        low=3,
        high=21,
        step=2,
        offset=1,
        why_step="odd, so that one of them is the Larmor frequency",
        default=defaults.FREQUENCIES,
        meaning="Frequencies at which the network is computed in the band; a polynomial leads from one to the next.",
    ),
    Choice(
        name="excitation",
        options=get_args(AskedExcitation),
        default=defaults.EXCITATION,
        meaning="Current of the array that meets the body. `loop mode`: one uniform current for each element, without "
        "charges. `full current`: the currents and charges of all wires, one field solution for each gap. `automatic`: "
        "loop mode where it was measured to be good to 1 % in the body's resistance.",
    ),
    Choice(
        name="face_rule",
        options=get_args(AskedFaceRule),
        default=defaults.FACE_RULE,
        meaning="Permittivity at a face between tissues inside the body. `area mean`: mean over the face. `series`: "
        "the tissues one behind the other on the way across it.",
    ),
)
