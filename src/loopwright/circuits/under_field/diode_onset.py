"""From which transmit field on crossed diodes act, and what their loop carries below and above."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.states import UNPLUGGED
from loopwright.circuits.under_field.driven_diodes import drive_array
from loopwright.circuits.under_field.driven_onsets import PairOnset, driven_onsets
from loopwright.circuits.wiring import ElementCircuit

__all__ = ["DiodeOnset", "diode_onsets"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class DiodeOnset:
    """One pair of crossed diodes, nothing plugged in, no PIN diode conducting, every pair of the array following.

    Attributes
    ----------
    part : str
        Name of the diodes.
    acts_t : float
        Field at which they conduct as well as all that lies beside them, B1+, peak; infinite where they do not in the
        strongest of ``b1_plus_t``. [T]
    b1_plus_t : ndarray, shape (B,)
        Fields, peak. [T]
    loop_a : ndarray, shape (B,)
        Mean gap current of the element at each of them, peak. [A]
    blocked_a_per_t : float
        The same per field while all diodes block. [A/T]
    current_at_onset_a : float
        The same at ``acts_t``, or in the strongest field where that is infinite, peak. [A]
    """

    part: str
    acts_t: float
    b1_plus_t: Floats
    loop_a: Floats
    blocked_a_per_t: float
    current_at_onset_a: float


def diode_onsets(
    port_ohm: Complexes,
    circuits: Sequence[ElementCircuit],
    *,
    open_v_per_t: ArrayLike,
    b1_plus_t: ArrayLike,
    frequency_hz: float,
) -> tuple[tuple[DiodeOnset, ...], ...]:
    """Drive the crossed diodes of all elements with fields from weak to strong.

    Parameters
    ----------
    port_ohm : ndarray, shape (P, P)
        Impedance between the open gaps, body included. [ohm]
    circuits : sequence of ElementCircuit
        One for each element.
    open_v_per_t : array_like, shape (P,)
        Voltages that the field puts across the open gaps, per field. [V/T]
    b1_plus_t : array_like, shape (B,)
        Fields, peak. [T]
    frequency_hz : float
        [Hz]

    Returns
    -------
    tuple of tuple of DiodeOnset
        For each element one for each pair, the one that acts first in front.
    """
    fields_t, states = np.asarray(b1_plus_t, dtype=np.float64), [UNPLUGGED] * len(circuits)
    driven = drive_array(
        port_ohm, circuits, states, open_v_per_t=open_v_per_t, b1_plus_t=fields_t, frequency_hz=frequency_hz
    )
    onsets = driven_onsets(
        port_ohm, circuits, states, open_v_per_t=open_v_per_t, strongest_t=float(fields_t.max()),
        frequency_hz=frequency_hz,
    )  # fmt: skip
    first = np.cumsum([0, *(circuit.gap_count for circuit in circuits)])
    found: list[list[DiodeOnset]] = [[] for _ in circuits]
    for onset in onsets:
        own = slice(first[onset.pair.element], first[onset.pair.element + 1])
        loop_a = np.abs(driven.port_a[:, own]).mean(axis=-1)
        found[onset.pair.element].append(_of_element(onset, own, fields_t, loop_a))
    return tuple(tuple(own) for own in found)


def _of_element(onset: PairOnset, own: slice, fields_t: Floats, loop_a: Floats) -> DiodeOnset:
    return DiodeOnset(
        part=onset.pair.part,
        acts_t=onset.acts_t,
        b1_plus_t=fields_t,
        loop_a=loop_a,
        blocked_a_per_t=float(np.abs(onset.below_a_per_t[own]).mean()),
        current_at_onset_a=float(np.abs(onset.at_a_per_t[own]).mean() * min(onset.acts_t, fields_t.max())),
    )
