"""The stage's answer about the body: what it does to every loop of the array, per ampere of loop current."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from loopwright.bodies import Body, VoxelGrid
from loopwright.fields.body.array_library import array_library
from loopwright.fields.body.currents import solved_currents
from loopwright.fields.body.excitation import impressed_field_v_per_m
from loopwright.fields.body.faces import CurrentFaces, current_faces
from loopwright.fields.body.solver import (
    VolumeProblem,
    noise_resistance_ohm,
    reaction_impedance_ohm,
    reply_magnetic_field_t,
    volume_problem,
)
from loopwright.fields.wires.filament_fields import magnetic_field_t_per_a
from loopwright.ground.constants import SPEED_OF_LIGHT_M_PER_S
from loopwright.ground.device import Device
from loopwright.ground.progress import PieceStore, Progress


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyReply:
    """What one body does to an array of loops that carry uniform currents.

    Attributes
    ----------
    frequency_hz : float
        [Hz]
    grid : VoxelGrid
        Grid of the solution.
    impedance_ohm : ndarray, shape (element, element)
        Impedance that the body adds, per loop current; complex, symmetric to the error of the solution; its real part
        also holds the change of radiated power. [ohm]
    noise_resistance_ohm : ndarray, shape (element, element)
        integral sigma E_i E_j* dV: Hermitian, the only part that makes noise. [ohm]
    magnetic_field_t_per_a : ndarray, shape (element, component, x, y, z)
        Total field at the voxel centres, zero where there is no body. [T/A]
    products : ndarray, shape (element,)
        Products with the operator that each loop took.
    relative_residuals : ndarray, shape (element,)
    unknowns : int
        Faces that carry current.
    """

    frequency_hz: float
    grid: VoxelGrid
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
    """Solve for the fields that uniform currents in every loop set up in the body.

    Parameters
    ----------
    body : Body
        Voxels, face fractions and tissues, at their frequency.
    loops_m : sequence of ndarray, shape (vertices, 3)
        Closed polygons, one for each element. [m]
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
    Loops carry their own current uniformly, without charges: good while the element is broken by enough capacitors.
    Loops are solved side by side, so the linear algebra library keeps to one thread: its own would spin, waiting.
    """
    with threadpool_limits(limits=1, user_api="blas"):
        return _body_reply(body, loops_m, relative_residual, progress, store, device)


def _body_reply(
    body: Body,
    loops_m: Sequence[NDArray[np.float64]],
    relative_residual: float,
    progress: Progress,
    store: PieceStore,
    device: Device,
) -> BodyReply:
    faces = faces_of(body)
    problem = volume_problem(faces, array_library(device))
    impressed = np.stack([impressed_field_v_per_m(faces, vertices) for vertices in loops_m])
    solved = solved_currents(problem, impressed, relative_residual=relative_residual, progress=progress, store=store)
    wide = solved.currents_v_per_m.astype(np.complex128)
    return BodyReply(
        frequency_hz=body.frequency_hz,
        grid=body.grid,
        impedance_ohm=reaction_impedance_ohm(problem, impressed.astype(np.complex128), wide),
        noise_resistance_ohm=noise_resistance_ohm(problem, wide),
        magnetic_field_t_per_a=_total_magnetic_field(problem, body, solved.currents_v_per_m, loops_m),
        products=solved.products,
        relative_residuals=solved.relative_residuals,
        unknowns=len(faces.index),
    )


def faces_of(body: Body) -> CurrentFaces:
    """Current faces of a body at the frequency at which it was placed."""
    return current_faces(
        body.face_cover(),
        body.face_permittivity(body.frequency_hz),
        origin_m=body.grid.origin_m,
        spacing_m=body.grid.spacing_m,
        frequency_hz=body.frequency_hz,
    )


def _total_magnetic_field(
    problem: VolumeProblem,
    body: Body,
    currents: NDArray[np.complex64],
    loops_m: Sequence[NDArray[np.float64]],
) -> NDArray[np.complex64]:
    """Field of the loops and of the body's currents at the centres of voxels that hold body."""
    inside = body.voxel_cover() > 0
    wavenumber = 2 * np.pi * problem.faces.frequency_hz / SPEED_OF_LIGHT_M_PER_S
    total = np.zeros((len(loops_m), 3, *body.grid.shape), dtype=np.complex64)
    centres = body.grid.centre_points_m()[inside]
    for element, vertices in enumerate(loops_m):
        reply = reply_magnetic_field_t(problem, currents[element : element + 1])[0]
        incident = magnetic_field_t_per_a(centres, vertices, wavenumber)
        total[element][:, inside] = reply[:, inside] + incident.T
    return total
