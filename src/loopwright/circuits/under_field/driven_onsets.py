"""From which field on each pair of crossed diodes of an array acts, and what that does to B1+ before."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.states import ElementState
from loopwright.circuits.under_field.pairs_balanced import PairsDriven, driven_pairs
from loopwright.circuits.under_field.pairs_followed import (
    acting,
    blocked_currents_a_per_t,
    followed,
    led,
    port_currents_a_per_t,
)
from loopwright.circuits.under_field.pairs_seen import DiodePair
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.constants import MU_0_H_PER_M

__all__ = ["PairOnset", "b1_change_at_centre", "driven_onsets"]

Complexes = NDArray[np.complex128]

#: Fields looked at for an onset: from this share of the strongest up to it.
_WEAKEST_LOOKED_AT, _FIELDS = 1e-5, 81
#: An onset is found to this share of itself, by at most so many solutions.
_ONSET_SHARE, _ONSET_STEPS = 1e-5, 60


@dataclass(frozen=True, slots=True, kw_only=True)
class PairOnset:
    """Where one pair begins to act, the others following the same field.

    Attributes
    ----------
    pair : DiodePair
    acts_t : float
        Field at which its junctions conduct as well as all that lies beside them, peak B1+; infinite where that is
        beyond the fields looked at. [T]
    below_a_per_t, at_a_per_t, above_a_per_t : ndarray, shape (P,)
        Port currents of the whole array per field: in a field too weak for any pair, at ``acts_t`` (in the strongest
        field looked at where that is infinite), and in the strongest field looked at. [A/T]
    """

    pair: DiodePair
    acts_t: float
    below_a_per_t: Complexes
    at_a_per_t: Complexes
    above_a_per_t: Complexes


def driven_onsets(
    port_ohm: Complexes,
    circuits: Sequence[ElementCircuit],
    states: Sequence[ElementState],
    *,
    open_v_per_t: ArrayLike,
    strongest_t: float,
    frequency_hz: float,
) -> tuple[PairOnset, ...]:
    """Find the field at which each pair begins to act, and what the array carries below, at and above it.

    Parameters
    ----------
    port_ohm : ndarray, shape (P, P)
        Impedance between the open gaps, body included. [ohm]
    circuits, states : sequence of ElementCircuit and of ElementState
        One of each for each element, as of :func:`loopwright.circuits.under_field.driven_diodes.drive_array`.
    open_v_per_t : array_like, shape (P,)
        Voltages that the field puts across the open gaps, per field. [V/T]
    strongest_t : float
        Strongest field looked at, peak B1+. [T]
    frequency_hz : float
        [Hz]

    Returns
    -------
    tuple of PairOnset
        The one that acts first in front; of one element, the first of its pairs is the element's onset.

    Notes
    -----
    Looked for from the strongest field down to a hundred thousandth of it. A pair that acts, ceases to and acts again,
    as others take its voltage away, has its first onset told.
    """
    driven = driven_pairs(port_ohm, circuits, states, open_v_per_t, frequency_hz)
    fields_t = strongest_t * np.geomspace(_WEAKEST_LOOKED_AT, 1, _FIELDS)
    waves = followed(driven, fields_t)
    over_one = acting(driven, waves, frequency_hz) >= 1
    found = []
    for number, pair in enumerate(driven.seen.pairs):
        over = np.flatnonzero(over_one[:, number])
        place = int(over[0]) if len(over) else len(fields_t)
        acts_t, wave = (np.inf, waves[-1]) if place == len(fields_t) else (fields_t[0], waves[0])
        if 0 < place < len(fields_t):
            between = (fields_t[place - 1], fields_t[place])
            acts_t, wave = _onset(driven, number, between, waves[place - 1], frequency_hz)
        found.append(
            PairOnset(
                pair=pair,
                acts_t=float(acts_t),
                below_a_per_t=blocked_currents_a_per_t(driven),
                at_a_per_t=port_currents_a_per_t(driven, wave, min(acts_t, strongest_t)),
                above_a_per_t=port_currents_a_per_t(driven, waves[-1], strongest_t),
            )
        )
    return tuple(sorted(found, key=lambda one: one.acts_t))


def b1_change_at_centre(loop_a_per_t: ArrayLike, *, radius_m: float) -> Complexes:
    """Change of B1+ at the centre of one circular loop by the current that the field drives in it, wires as a lump.

    Parameters
    ----------
    loop_a_per_t : array_like, shape (...)
        Current round the loop, right-handed about its normal, per component of the field along that normal; peak.
        [A/T]
    radius_m : float
        Of the loop. [m]

    Returns
    -------
    ndarray, shape (...)
        (B1+ with the loop) / (B1+ without) - 1, whichever transverse direction the normal has. Its magnitude less one
        tells the flip angle there.

    Notes
    -----
    mu0 I / 2a along the normal, half of which turns with the spins.
    """
    return np.asarray(MU_0_H_PER_M * np.asarray(loop_a_per_t, dtype=np.complex128) / (4 * radius_m))


def _onset(
    driven: PairsDriven, number: int, between_t: tuple[float, float], wave: Complexes, f: float
) -> tuple[float, Complexes]:
    """Halve the field between one at which a pair does not act and one at which it does; field and waves there."""
    low_t, high_t = between_t
    for _ in range(_ONSET_STEPS):
        if high_t < low_t * (1 + _ONSET_SHARE):
            break
        middle_t = float(np.sqrt(low_t * high_t))
        tried = led(driven, wave, low_t, middle_t)
        if acting(driven, tried[None], f)[0, number] < 1:
            low_t, wave = middle_t, tried
        else:
            high_t = middle_t
    return low_t, wave
