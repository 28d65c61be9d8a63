"""The stage's answer about the body: what it does to the array, source by source."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from loopwright.bodies import Body, VoxelGrid
from loopwright.fields.body.array_library import array_library
from loopwright.fields.body.currents import solved_currents
from loopwright.fields.body.faces import CurrentFaces, FaceRule, current_faces
from loopwright.fields.body.solver import (
    VolumeProblem,
    noise_resistance_ohm,
    reaction_impedance_ohm,
    reply_magnetic_field_in_t,
    volume_problem,
)
from loopwright.fields.body.sources import (
    BodySources,
    Excitation,
    closed_loops,
    excitation_of,
    impressed_rows_v_per_m,
    incident_magnetic_field_t,
)
from loopwright.ground.device import Device
from loopwright.ground.progress import PieceStore, Progress


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyReply:
    """What one body does to the sources of an array, and how the currents in its ports make up the sources.

    Attributes
    ----------
    frequency_hz : float
        [Hz]
    grid : VoxelGrid
        Grid of the solution.
    excitation : Excitation
        Which current of the array met the body.
    source_per_port_current : ndarray, shape (source, port)
        Amplitude of every source per unit current in one port, the other ports open. [A/A]
    impedance_ohm : ndarray, shape (source, source)
        Impedance that the body adds, per source; complex, symmetric to the error of the solution; its real part
        also holds the change of radiated power. [ohm]
    noise_resistance_ohm : ndarray, shape (source, source)
        integral sigma E_i E_j* dV: Hermitian, the only part that makes noise. [ohm]
    magnetic_field_t_per_a : ndarray, shape (source, component, x, y, z)
        Total field at the voxel centres, zero where there is no body. [T/A]
    products : ndarray, shape (source,)
        Products with the operator that each source took.
    relative_residuals : ndarray, shape (source,)
    unknowns : int
        Faces that carry current.
    """

    frequency_hz: float
    grid: VoxelGrid
    excitation: Excitation
    source_per_port_current: NDArray[np.complex128]
    impedance_ohm: NDArray[np.complex128]
    noise_resistance_ohm: NDArray[np.complex128]
    magnetic_field_t_per_a: NDArray[np.complex64]
    products: NDArray[np.int64]
    relative_residuals: NDArray[np.float64]
    unknowns: int

    @property
    def asymmetry(self) -> float:
        """Largest |Z_ij - Z_ji| / sqrt(|Z_ii Z_jj|): what the solution's tolerance leaves of reciprocity."""
        size = np.sqrt(np.abs(np.diag(self.impedance_ohm)))
        return float(np.max(np.abs(self.impedance_ohm - self.impedance_ohm.T) / np.outer(size, size)))


def body_reply(
    body: Body,
    loops_m: Sequence[NDArray[np.float64]],
    *,
    relative_residual: float,
    progress: Progress,
    store: PieceStore,
    device: Device = Device.CPU,
) -> BodyReply:
    """Solve for the fields that uniform currents on closed loops set up in the body, each loop its own port.

    ``loops_m`` holds a closed polygon (vertices, 3) for each loop [m]; for the rest see :func:`reply_to_sources`.
    """
    return reply_to_sources(
        body,
        closed_loops(loops_m),
        relative_residual=relative_residual,
        progress=progress,
        store=store,
        device=device,
    )


def reply_to_sources(
    body: Body,
    sources: BodySources,
    *,
    face_rule: FaceRule = FaceRule.AREA_MEAN,
    relative_residual: float,
    progress: Progress,
    store: PieceStore,
    device: Device = Device.CPU,
) -> BodyReply:
    """Solve for the fields that every source sets up in the body.

    Parameters
    ----------
    body : Body
        Voxels, face fractions and tissues, at their frequency.
    sources : BodySources
        What carries current beside it.
    face_rule : FaceRule
        Permittivity of the faces inside the body.
    relative_residual : float
        Tolerance of the iterative solution.
    progress : Progress
        Told of every batch.
    store : PieceStore
        Finished batches are kept here and found again.
    device : Device
        Where the solution is computed.

    Raises
    ------
    DeviceError
        When the device is not there.
    NotConvergedError
        When the iteration stops short of its tolerance.

    Notes
    -----
    Sources are solved side by side, so the linear algebra library keeps to one thread: its own would spin, waiting.
    """
    with threadpool_limits(limits=1, user_api="blas"):
        faces = faces_of(body, face_rule)
        problem = volume_problem(faces, array_library(device))
        impressed = impressed_rows_v_per_m(faces, sources)
        solved = solved_currents(
            problem, impressed, relative_residual=relative_residual, progress=progress, store=store
        )
        wide = solved.currents_v_per_m.astype(np.complex128)
        return BodyReply(
            frequency_hz=body.frequency_hz,
            grid=body.grid,
            excitation=excitation_of(sources),
            source_per_port_current=sources.source_per_port_current,
            impedance_ohm=reaction_impedance_ohm(problem, impressed.astype(np.complex128), wide),
            noise_resistance_ohm=noise_resistance_ohm(problem, wide),
            magnetic_field_t_per_a=_total_magnetic_field(problem, body, solved.currents_v_per_m, sources),
            products=solved.products,
            relative_residuals=solved.relative_residuals,
            unknowns=len(faces.index),
        )


def faces_of(body: Body, face_rule: FaceRule = FaceRule.AREA_MEAN) -> CurrentFaces:
    """Current faces of a body at the frequency at which it was placed."""
    permittivity = body.face_permittivity(body.frequency_hz)
    if face_rule is FaceRule.SERIES:
        permittivity = body.face_permittivity_in_series(body.frequency_hz)
    return current_faces(
        body.face_cover(),
        permittivity,
        origin_m=body.grid.origin_m,
        spacing_m=body.grid.spacing_m,
        frequency_hz=body.frequency_hz,
    )


def _total_magnetic_field(
    problem: VolumeProblem, body: Body, currents: NDArray[np.complex64], sources: BodySources
) -> NDArray[np.complex64]:
    """Field of the sources and of the body's currents at the centres of voxels that hold body."""
    inside = body.voxel_cover() > 0
    total = np.zeros((len(currents), 3, *body.grid.shape), dtype=np.complex64)
    total[..., inside] = incident_magnetic_field_t(body.grid.centre_points_m()[inside], sources, body.frequency_hz)
    total[..., inside] += reply_magnetic_field_in_t(problem, currents, inside)
    return total
