r"""The whole array in a field, every pair of crossed diodes following it.

The linear array with the pairs taken out is :math:`V = V_0 - Z I` at their terminals; each pair ties V to I by its own
curve (:mod:`loopwright.circuits.bias.clamped_pair`). Z is passive and the curves rise, so there is exactly one state,
and it moves smoothly with the field: it is followed from a field too weak for any diode up to the ones asked for, by
Newton's method for all pairs at once. Taking one pair after the other would not do: two tuned loops that are coupled
strongly see more of each other than of themselves, and such turns do not settle.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.bias.crossed_diodes import GENERIC_CROSSED_DIODES
from loopwright.circuits.states import ElementState
from loopwright.circuits.under_field.pairs_balanced import driven_pairs
from loopwright.circuits.under_field.pairs_followed import (
    acting,
    blocked_currents_a_per_t,
    followed,
    junction_siemens,
    pair_siemens,
    voltage_and_current,
)
from loopwright.circuits.under_field.pairs_seen import DiodePair
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.errors import OutsideModelError

__all__ = ["FollowedArray", "drive_array", "driven_diode_limits"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@dataclass(frozen=True, slots=True, kw_only=True)
class FollowedArray:
    """An array of P gaps and N pairs in B fields; everything is of the fundamental, peak.

    Attributes
    ----------
    b1_plus_t : ndarray, shape (B,)
        Fields in the order asked for, peak B1+. [T]
    pairs : tuple of DiodePair
        All that follow the field; elements without crossed diodes have none.
    voltage_v, current_a : ndarray, shape (B, N)
        Across each pair, and through it, its blocking resistance counted to the array. [V], [A]
    admittance_siemens : ndarray, shape (B, N)
        What stands for the whole part in a linear circuit at this field, blocking resistance included. [S]
    conducting : ndarray of bool, shape (B, N)
        Whether the junctions carry more current than their capacitance.
    acting : ndarray, shape (B, N)
        Conductance of the junctions over the admittance of all that lies beside them, the other pairs being what they
        are at this field. A pair begins to act where this is one.
    port_a : ndarray, shape (B, P)
        Currents into the conductors at the gaps. [A]
    blocked_a_per_t : ndarray, shape (P,)
        The same per field while it is too weak for any pair. [A/T]
    """

    b1_plus_t: Floats
    pairs: tuple[DiodePair, ...]
    voltage_v: Complexes
    current_a: Complexes
    admittance_siemens: Complexes
    conducting: NDArray[np.bool_]
    acting: Floats
    port_a: Complexes
    blocked_a_per_t: Complexes

    @property
    def port_a_per_t(self) -> Complexes:
        """Port currents per field, shape (B, P): with the fields of unit currents they give the change of B1+. [A/T]"""
        return np.asarray(self.port_a / self.b1_plus_t[:, None])


def drive_array(
    port_ohm: Complexes,
    circuits: Sequence[ElementCircuit],
    states: Sequence[ElementState],
    *,
    open_v_per_t: ArrayLike,
    b1_plus_t: ArrayLike,
    frequency_hz: float,
) -> FollowedArray:
    """Put the array into fields, all its crossed diodes following them together.

    Parameters
    ----------
    port_ohm : ndarray, shape (P, P)
        Impedance between the open gaps, body included. [ohm]
    circuits : sequence of ElementCircuit
        One for each element.
    states : sequence of ElementState
        One for each element. PIN diodes, plug and faults are as it says; the field says what crossed diodes do.
    open_v_per_t : array_like, shape (P,)
        Voltages that the field puts across the open gaps, per field. [V/T]
    b1_plus_t : array_like, shape (B,)
        Fields, peak B1+, above zero. [T]
    frequency_hz : float
        [Hz]

    Returns
    -------
    FollowedArray

    Raises
    ------
    NotConvergedError
        If the state cannot be followed up to a field: an array that gives power away.
    OutsideModelError
        If a field is not above zero, or more than 300 A flow through a pair.

    Notes
    -----
    The curves hold the harmonics; see :func:`driven_diode_limits` for what they are taken to see.
    """
    fields_t = np.asarray(b1_plus_t, dtype=np.float64)
    if fields_t.ndim != 1 or np.any(~(fields_t > 0)):
        raise OutsideModelError(f"crossed diodes are driven by a list of fields above zero, not by {fields_t}")
    driven = driven_pairs(port_ohm, circuits, states, open_v_per_t, frequency_hz)
    waves, seen = followed(driven, fields_t), driven.seen
    voltage, current = voltage_and_current(waves, driven.curves)
    junction = junction_siemens(driven, waves)
    capacitance = 2 * np.pi * frequency_hz * np.array([pair.law.junction_capacitance_f for pair in seen.pairs])
    return FollowedArray(
        b1_plus_t=fields_t,
        pairs=seen.pairs,
        voltage_v=voltage,
        current_a=current,
        admittance_siemens=pair_siemens(driven, waves) + 1 / np.array([pair.leak_ohm for pair in seen.pairs]),
        conducting=junction.real > capacitance,
        acting=acting(driven, waves, frequency_hz),
        port_a=fields_t[:, None] * seen.port_a + current @ seen.port_per_pair.T,
        blocked_a_per_t=blocked_currents_a_per_t(driven),
    )


def driven_diode_limits() -> tuple[str, ...]:
    """Where the model stops, as sentences for the dossier."""
    return (
        (
            "Crossed diodes follow the field with the harmonics that they make; at those the gaps are taken as open "
            "and every part as what it is made of, so the conductors carry no harmonics. Through an inductor beside a "
            "capacitor, as in a trap, that moves currents by less than a hundredth."
        ),
        (
            "Charge that a junction stores, a few nanoseconds' worth, is left out: from about 100 MHz on slow diodes "
            "conduct better than told here and lose more. Saturation current and emission are those of small silicon "
            f"diodes ({GENERIC_CROSSED_DIODES.source}), at {GENERIC_CROSSED_DIODES.temperature_k:g} K throughout; a "
            "tenfold saturation current moves the onset down by about a seventh."
        ),
        "Every field is taken as lasting until the array has settled; the rise of a pulse is not followed.",
    )
