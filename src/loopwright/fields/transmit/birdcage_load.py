"""A body in a birdcage: what it adds between the gaps, what it takes, and how shield and conductors answer it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from loopwright.bodies import Body
from loopwright.fields.body.array_library import array_library
from loopwright.fields.body.currents import solved_currents
from loopwright.fields.body.faces import CurrentFaces
from loopwright.fields.body.reaction_on_wires import reaction_on_wires_ohm
from loopwright.fields.body.reply import faces_of
from loopwright.fields.body.solver import VolumeProblem, noise_resistance_ohm, reaction_impedance_ohm, volume_problem
from loopwright.fields.body.sources import WireSources, impressed_rows_v_per_m
from loopwright.fields.transmit.birdcage_wires import CageWires, Resonance, wave_of_ports, wave_patterns
from loopwright.fields.wires.sectors import driven_with_open_gaps
from loopwright.ground.constants import EPSILON_0_F_PER_M
from loopwright.ground.device import Device
from loopwright.ground.errors import NotConvergedError, OutsideModelError
from loopwright.ground.progress import PieceStore, Progress

__all__ = ["CageLoad", "cage_load"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: The wires have answered when what they add is this share of the body's currents, and so often at most.
_ANSWERED, _MOST_ANSWERS = 3e-3, 8


@dataclass(frozen=True, slots=True, kw_only=True)
class CageLoad:
    """One body in a birdcage, for S patterns of its port currents, all other gaps' currents zero.

    Attributes
    ----------
    patterns : ndarray, shape (ports, S)
        Orthonormal.
    reaction_ohm : ndarray, shape (S, S)
        What the body adds to the impedance, shield and conductors answering it; symmetric to the error of the solution.
        [ohm]
    absorbed_ohm : ndarray, shape (S, S)
        integral sigma E_i E_j* dV: Hermitian. [ohm]
    answer_current : ndarray, shape (2 pieces, S)
        Currents of all ends that the body's field drives while the gaps are open. [A/A]
    faces : CurrentFaces
        Where the body carries current.
    body_current_v_per_m : ndarray, shape (S, faces)
        j = J/(j w eps0). [V/m]
    answers : int
        How often the wires were asked.
    """

    patterns: Floats
    reaction_ohm: Complexes
    absorbed_ohm: Complexes
    answer_current: Complexes
    faces: CurrentFaces
    body_current_v_per_m: NDArray[np.complex64]
    answers: int

    @property
    def ports_ohm(self) -> Complexes:
        """What the body adds between all gaps, shape (ports, ports). [ohm]"""
        even = (self.reaction_ohm + self.reaction_ohm.T) / 2
        return np.asarray(self.patterns @ even @ self.patterns.T)

    def wave_ohm(self, wires: CageWires, resonance: Resonance) -> complex:
        """What the body adds to the resonant wave, mean of the two ways round. [ohm]"""
        wave = wave_of_ports(wires.cage) @ resonance.wave
        return complex(wave.conj() @ self.ports_ohm @ wave)

    def absorbed_w(self, port_current_a: Complexes) -> float:
        """Power that the body takes at some port currents [A]: the integral over its volume. [W]"""
        amounts = self.patterns.T @ port_current_a
        return float((amounts @ self.absorbed_ohm @ amounts.conj()).real / 2)

    def moments(self, port_current_a: Complexes) -> tuple[Floats, Complexes]:
        """Currents of the body times length in ampere metres, and where [m], each (faces, 3), at port currents [A]."""
        faces = self.faces
        density = (self.patterns.T @ port_current_a) @ self.body_current_v_per_m
        scale = 2j * np.pi * faces.frequency_hz * EPSILON_0_F_PER_M * faces.spacing_m**3
        return faces.centres_m(), scale * density[:, None] * np.eye(3)[faces.families()]


def cage_load(
    wires: CageWires,
    body: Body,
    *,
    waves: Sequence[int] = (1,),
    relative_residual: float,
    progress: Progress,
    store: PieceStore,
    device: Device = Device.CPU,
) -> CageLoad:
    """Solve for the fields that a birdcage sets up in a body, with all that the body drives in shield and conductors.

    Parameters
    ----------
    wires : CageWires
        The resonator.
    body : Body
        At the same frequency.
    waves : sequence of int
        Which waves of port currents meet the body, in every row of capacitors.  The first is the resonant one, whose
        currents are about Q times those of the others.
    relative_residual : float
        Tolerance of the body's solution.
    progress : Progress
        Told of every batch.
    store : PieceStore
        Finished batches are kept here and found again.
    device : Device
        Where the body's solution is computed.

    Raises
    ------
    OutsideModelError
        When body and resonator are not at one frequency, or a conductor lies within a voxel of the body.
    NotConvergedError
        When the body's solution, or the answers to and fro, do not settle.

    Notes
    -----
    Sources are full currents and charges.  The body's field drives currents in the shield and, around the open gaps, in
    the conductors; these meet the body in turn, and so on until they no longer matter.
    """
    if body.frequency_hz != wires.frequency_hz:
        raise OutsideModelError(f"body at {body.frequency_hz:g} Hz in a birdcage at {wires.frequency_hz:g} Hz")
    patterns = wave_patterns(wires.cage, waves)
    with threadpool_limits(limits=1, user_api="blas"):
        faces = faces_of(body)
        problem = volume_problem(faces, array_library(device))
        first: NDArray[np.complex64] | None = None
        ends = wires.ports.end_current @ patterns
        answer, unit = np.zeros_like(ends), np.eye(ends.shape[1], dtype=np.complex128)
        whole = np.zeros((patterns.shape[1], len(faces.index)), dtype=np.complex64)
        for asked in range(_MOST_ANSWERS):
            sources = WireSources(mesh=wires.graph, node_current=ends, source_per_port_current=unit)
            impressed = impressed_rows_v_per_m(faces, sources)
            first = impressed if first is None else first
            solved = solved_currents(
                problem, impressed, relative_residual=relative_residual, progress=progress, store=store
            )
            whole = whole + solved.currents_v_per_m
            if np.linalg.norm(solved.currents_v_per_m) <= _ANSWERED * np.linalg.norm(whole):
                return _load(problem, patterns, first, whole, answer, answers=asked)
            ends = -driven_with_open_gaps(
                wires.ports, reaction_on_wires_ohm(faces, wires.graph, solved.currents_v_per_m)
            )
            answer += ends
    raise NotConvergedError(f"body and shield still answer one another after {_MOST_ANSWERS} turns")


def _load(
    problem: VolumeProblem,
    patterns: Floats,
    impressed: NDArray[np.complex64],
    currents: NDArray[np.complex64],
    answer: Complexes,
    *,
    answers: int,
) -> CageLoad:
    """Reaction and absorption of the settled currents."""
    wide = currents.astype(np.complex128)
    return CageLoad(
        patterns=patterns,
        # By reciprocity the field of the wires without body, met by all currents that flow with it.
        reaction_ohm=reaction_impedance_ohm(problem, impressed.astype(np.complex128), wide),
        absorbed_ohm=noise_resistance_ohm(problem, wide),
        answer_current=answer,
        faces=problem.faces,
        body_current_v_per_m=currents,
        answers=answers,
    )
