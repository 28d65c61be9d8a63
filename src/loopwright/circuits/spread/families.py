"""One fixed network over a family of states: loads, bends, stretches, temperatures, neighbours.

A coil is tuned once and worn by many. Each member of a family is the impedance between the gaps in that state; the
circuits stay. The penalty of a member is how far the noise figure of each preamplifier rises above its least.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.main_values import main_value, with_value
from loopwright.circuits.nodal import reduced
from loopwright.circuits.states import RECEIVING, in_state
from loopwright.circuits.surroundings import surroundings_ohm
from loopwright.circuits.values.source_match import noise_figure_losses_db
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.progress import Progress

__all__ = ["FamilyMember", "FamilyPenalty", "RobustMatch", "family_penalty", "robust_match"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Rounds over all elements: what one changes for its neighbours is small after two.
_ROUNDS = 3
#: Sharpness of the smooth maximum over members, first coarse, then near the true one. [1/dB]
_SHARPNESS_PER_DB = (3.0, 30.0)
#: Values may move by this factor either way.
_REACH = 3.0
#: First step of the search, in logarithms of the values.
_STEP = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class FamilyMember:
    """One state of the array: its name, and the impedance between the open gaps (P, P). [ohm]"""

    name: str
    port_ohm: Complexes


@dataclass(frozen=True, slots=True, kw_only=True)
class FamilyPenalty:
    """Noise penalty of fixed circuits over a family.

    Attributes
    ----------
    names : tuple of str
        Members.
    seen_ohm : ndarray, shape (members, E)
        What each receiver sees. [ohm]
    penalty_db : ndarray, shape (members, E)
        Rise of the preamplifier's noise figure over its least. [dB]
    """

    names: tuple[str, ...]
    seen_ohm: Complexes
    penalty_db: Floats

    @property
    def worst_db(self) -> Floats:
        """Worst member of every element, shape (E,). [dB]"""
        return np.asarray(self.penalty_db.max(axis=0))

    @property
    def mean_db(self) -> Floats:
        """Mean over the members, shape (E,). [dB]"""
        return np.asarray(self.penalty_db.mean(axis=0))


@dataclass(frozen=True, slots=True, kw_only=True)
class RobustMatch:
    """Circuits whose worst member is as good as it gets, those that it started from, and the penalty of both."""

    circuits: tuple[ElementCircuit, ...]
    nominal: tuple[ElementCircuit, ...]
    before: FamilyPenalty
    after: FamilyPenalty


def family_penalty(
    members: Sequence[FamilyMember], circuits: Sequence[ElementCircuit], *, frequency_hz: float
) -> FamilyPenalty:
    """See what fixed circuits cost in every state of a family.

    Parameters
    ----------
    members : sequence of FamilyMember
        States, of the same gaps.
    circuits : sequence of ElementCircuit
        One for each element; their preamplifiers have noise parameters.
    frequency_hz : float
        Operating frequency. [Hz]

    Returns
    -------
    FamilyPenalty

    Raises
    ------
    OutsideModelError
        If a preamplifier has no noise parameters.
    """
    if any(circuit.receiver.noise is None for circuit in circuits):
        raise OutsideModelError("a noise penalty needs the noise parameters of every preamplifier")
    port_ohm = np.stack([member.port_ohm for member in members])
    seen = array_state(port_ohm, circuits, [RECEIVING] * len(circuits), frequency_hz=frequency_hz).seen_ohm
    penalty = noise_figure_losses_db((circuit.receiver for circuit in circuits), seen)
    return FamilyPenalty(names=tuple(member.name for member in members), seen_ohm=seen, penalty_db=penalty)


def robust_match(
    members: Sequence[FamilyMember],
    circuits: Sequence[ElementCircuit],
    *,
    free: Sequence[str],
    frequency_hz: float,
    progress: Progress,
) -> RobustMatch:
    """Choose values that make the worst member of each element as good as it gets.

    Parameters
    ----------
    members : sequence of FamilyMember
        States, of the same gaps.
    circuits : sequence of ElementCircuit
        Where the search starts: those of the nominal match.
    free : sequence of str
        Names of the parts that may change, within a factor of three.
    frequency_hz : float
        Operating frequency. [Hz]
    progress : Progress
        Told every round.

    Returns
    -------
    RobustMatch
        Never worse than the start in the worst member of the worst element, as all stand in the array at the end.

    Notes
    -----
    Element after element against its surroundings in every member, others held; a few rounds settle the couplings. The
    maximum over the members is smoothed first and sharpened then; the search itself needs no derivatives.
    """
    before = family_penalty(members, circuits, frequency_hz=frequency_hz)
    port_ohm = np.stack([member.port_ohm for member in members])
    best, best_worst = tuple(circuits), before.worst_db
    current = list(circuits)
    for turn in range(1, _ROUNDS + 1):
        for e, circuit in enumerate(current):
            state = array_state(port_ohm, current, [RECEIVING] * len(current), frequency_hz=frequency_hz)
            current[e] = _improved(circuits[e], circuit, surroundings_ohm(state)[e], free, frequency_hz)
        worst = family_penalty(members, current, frequency_hz=frequency_hz).worst_db
        progress.note(f"robust match, round {turn} of {_ROUNDS}: worst penalty {worst.max():.3f} dB")
        if worst.max() < best_worst.max():
            best, best_worst = tuple(current), worst
    after = family_penalty(members, best, frequency_hz=frequency_hz)
    return RobustMatch(circuits=best, nominal=tuple(circuits), before=before, after=after)


def _improved(
    start: ElementCircuit, circuit: ElementCircuit, around_ohm: Complexes, free: Sequence[str], frequency_hz: float
) -> ElementCircuit:
    """Return the circuit with the values that serve its worst surroundings best, within reach of the start."""
    names = [name for name in free if any(branch.name == name for branch in circuit.branches)]

    def with_values(logarithms: Floats) -> ElementCircuit:
        changed = circuit
        for name, logarithm in zip(names, logarithms.tolist(), strict=True):
            changed = with_value(changed, name, float(np.exp(logarithm) * main_value(start, name)))
        return changed

    def penalties_db(logarithms: Floats) -> Floats:
        seen = _seen_alone_ohm(with_values(logarithms), around_ohm, frequency_hz)
        return noise_figure_losses_db([circuit.receiver], seen[:, None])[:, 0]

    found = np.log([float(main_value(circuit, name) / main_value(start, name)) for name in names])
    bounds = [(-np.log(_REACH), np.log(_REACH))] * len(names)
    found = np.clip(found, *bounds[0]) if names else found
    for sharpness in _SHARPNESS_PER_DB:

        def smooth_worst(logarithms: Floats, sharpness: float = sharpness) -> float:
            values = penalties_db(logarithms)
            top = values.max()
            return float(top + np.log(np.mean(np.exp(sharpness * (values - top)))) / sharpness)

        # Rows are the corners of the first simplex; the steps that a search takes by itself are far too small here.
        corners = np.vstack((found, found + _STEP * np.where(found > 0, -1.0, 1.0)[:, None] * np.eye(len(found))))
        options = {"xatol": 1e-5, "fatol": 1e-6, "initial_simplex": corners}
        found = minimize(smooth_worst, found, method="Nelder-Mead", bounds=bounds, options=options).x
    return with_values(found)


def _seen_alone_ohm(circuit: ElementCircuit, around_ohm: Complexes, frequency_hz: float) -> Complexes:
    """What the receiver of one element sees for each of its surroundings, shape (members,). [ohm]"""
    own = reduced(in_state(circuit, RECEIVING), frequency_hz, 0.0)
    gaps = around_ohm.shape[-1]
    inner = np.linalg.solve(np.eye(gaps) + around_ohm @ own.gap_siemens, around_ohm @ own.channel_per_gap[:, None])
    return np.asarray(own.channel_own_ohm + (own.channel_per_gap @ inner)[..., 0])
