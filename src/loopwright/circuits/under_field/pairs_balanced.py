"""The pairs of an array with the curves that their own surroundings give them."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.bias.clamped_pair import HARMONICS, ClampedPairs, clamped_pairs, of_some
from loopwright.circuits.states import ElementState
from loopwright.circuits.under_field.pairs_seen import PairsSeen, pairs_seen
from loopwright.circuits.wiring import ElementCircuit

__all__ = ["PairsDriven", "balanced_together", "driven_pairs"]

Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class PairsDriven:
    """An array per field, and its pairs as curves."""

    seen: PairsSeen
    curves: ClampedPairs


def driven_pairs(
    port_ohm: Complexes,
    circuits: Sequence[ElementCircuit],
    states: Sequence[ElementState],
    open_v_per_t: ArrayLike,
    frequency_hz: float,
) -> PairsDriven:
    """Take the pairs of an array out and balance each of them.

    Parameters
    ----------
    port_ohm : ndarray, shape (P, P)
        Impedance between the open gaps, body included. [ohm]
    circuits, states : sequence of ElementCircuit and of ElementState
        One of each for each element.
    open_v_per_t : array_like, shape (P,)
        Voltages that the field puts across the open gaps, per field. [V/T]
    frequency_hz : float
        [Hz]
    """
    seen = pairs_seen(
        port_ohm, circuits, states, open_v=open_v_per_t, frequency_hz=frequency_hz, harmonics=HARMONICS[1:]
    )
    (driven,) = balanced_together([seen], frequency_hz)
    return driven


def balanced_together(several: Sequence[PairsSeen], frequency_hz: float) -> tuple[PairsDriven, ...]:
    """Balance the pairs of several arrays, or of one in several states, all at once: many times quicker than in turn.

    Parameters
    ----------
    several : sequence of PairsSeen
        At the harmonics of :data:`~loopwright.circuits.bias.clamped_pair.HARMONICS` from the third on.
    frequency_hz : float
        [Hz]
    """
    laws = tuple(pair.law for seen in several for pair in seen.pairs)
    harmonic_ohm = np.concatenate([seen.harmonic_ohm for seen in several], axis=1)
    curves = clamped_pairs(laws, harmonic_ohm, frequency_hz=frequency_hz)
    ends = np.cumsum([0, *(len(seen.pairs) for seen in several)]).tolist()
    return tuple(
        PairsDriven(seen=seen, curves=of_some(curves, slice(*part)))
        for seen, part in zip(several, pairwise(ends), strict=True)
    )
