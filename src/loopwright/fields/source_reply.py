"""The body's reply to a source shell: its sources compressed to the fields that differ in the body, each solved once.

The modes of the shell are the combinations of sources whose fields reach the body most strongly; each is one impressed
field, solved once. What they make in the body spans the fields that an array outside can make there.
"""

import hashlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from loopwright import __version__
from loopwright.bodies import Body
from loopwright.fields.body.array_library import array_library
from loopwright.fields.body.currents import solved_currents
from loopwright.fields.body.faces import CurrentFaces, FaceRule
from loopwright.fields.body.reply import faces_of
from loopwright.fields.body.solver import (
    VolumeProblem,
    noise_resistance_ohm,
    reply_magnetic_field_in_t,
    volume_problem,
)
from loopwright.fields.body.sources import BodySources, impressed_rows_v_per_m, incident_magnetic_field_t
from loopwright.fields.small_loops import magnetic_component_t
from loopwright.fields.source_modes import electric_rows_v_per_m, places_at_once, strongest_moments_a_m2
from loopwright.fields.source_shell import SourceShell
from loopwright.ground.device import Device
from loopwright.ground.progress import PieceStore, Progress

__all__ = ["SourceReply", "source_reply"]

Complex64 = NDArray[np.complex64]

_KEPT_AS = f"source modes 3, loopwright {__version__}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceReply:
    """Fields in the body for every solved mode of a source shell, then every source of an array, then a part's modes.

    Attributes
    ----------
    modes : int
        Rows that are modes of the shell, the strongest first.
    array_sources : int
        Rows after them that are the array's sources; the rest are modes of a part of the shell.
    sources : int
        Small loops that the modes are combinations of.
    noise_resistance_ohm : ndarray, shape (row, row)
        integral sigma E_i E_j* dV. A mode's unit is such that its impressed field has unit norm over the faces. [ohm]
    transverse_field_t : ndarray, shape (row, 2, voxel)
        Total Bx and By at the centres of the voxels with body, in the order of the grid. [T]
    known : ndarray of bool, shape (x, y, z)
        Voxels with body.
    relative_residual : float
        Largest that the solutions reached.
    products : int
        Products with the operator over all rows.
    """

    modes: int
    array_sources: int
    sources: int
    noise_resistance_ohm: NDArray[np.complex128]
    transverse_field_t: Complex64
    known: NDArray[np.bool_]
    relative_residual: float
    products: int


def source_reply(
    body: Body,
    shell: SourceShell,
    *,
    mode_count: int,
    array: BodySources | None = None,
    part: SourceShell | None = None,
    face_rule: FaceRule = FaceRule.AREA_MEAN,
    relative_residual: float,
    progress: Progress,
    store: PieceStore,
    device: Device = Device.CPU,
) -> SourceReply:
    """Solve for the strongest modes of a source shell, and for the sources of an array and a part's modes beside them.

    Parameters
    ----------
    body : Body
        Voxels, face fractions and tissues, at their frequency.
    shell : SourceShell
        Where the sources lie.
    mode_count : int
        Modes to solve; no more than the shell has sources are taken.
    array : BodySources, optional
        What an array lets carry current, that it shall lie in the span of the fields.
    part : SourceShell, optional
        Part of the shell whose own strongest modes, as many, shall lie in the span too: they reach nearer to the skin
        below it.
    face_rule : FaceRule
        What faces inside the body are made of: that of the array's reply.
    relative_residual : float
        Tolerance of the iterative solution.
    progress : Progress
        Told of every batch.
    store : PieceStore
        Modes and finished batches are kept here and found again; so are those of an array solved on the same grid.
    device : Device
        Where the fields are solved.

    Raises
    ------
    NotConvergedError
        When the iteration stops short of its tolerance.
    """
    with threadpool_limits(limits=1, user_api="blas"):
        faces = faces_of(body, face_rule)
        problem = volume_problem(faces, array_library(device))
        known = np.asarray(body.voxel_cover() > 0)
        centres = body.grid.centre_points_m()[known]
        progress.note(f"source shell: {3 * len(shell.positions_m)} small loops, {mode_count} modes of them")
        groups = [_modes_on(faces, centres, shell, mode_count, store)]
        if array is not None:
            groups.append(_sources_on(faces, centres, array))
        if part is not None:
            groups.append(_modes_on(faces, centres, part, mode_count, store))
        solved = [
            solved_currents(problem, rows, relative_residual=relative_residual, progress=progress, store=store)
            for rows, _ in groups
        ]
        currents = np.concatenate([one.currents_v_per_m for one in solved])
        return SourceReply(
            modes=len(groups[0][0]),
            array_sources=0 if array is None else len(groups[1][0]),
            sources=3 * len(shell.positions_m),
            noise_resistance_ohm=noise_resistance_ohm(problem, currents.astype(np.complex128)),
            transverse_field_t=np.concatenate([field for _, field in groups]) + _reply_fields(problem, currents, known),
            known=known,
            relative_residual=max(float(one.relative_residuals.max()) for one in solved),
            products=sum(int(one.products.sum()) for one in solved),
        )


def _modes_on(
    faces: CurrentFaces, centres_m: NDArray[np.float64], shell: SourceShell, mode_count: int, store: PieceStore
) -> tuple[Complex64, Complex64]:
    """Impressed E (modes, faces) and Bx, By (modes, 2, voxels) of every mode, E of unit norm."""
    moments = _moments(faces, shell, mode_count, store)
    field = electric_rows_v_per_m(faces, shell, moments)
    norm = np.linalg.norm(field, axis=1)
    return field / norm[:, None], _fields_of_modes(centres_m, shell, moments / norm, faces.frequency_hz)


def _sources_on(faces: CurrentFaces, centres_m: NDArray[np.float64], array: BodySources) -> tuple[Complex64, Complex64]:
    """The same of every source of an array, per unit current."""
    fields = incident_magnetic_field_t(centres_m, array, faces.frequency_hz)
    return impressed_rows_v_per_m(faces, array), fields[:, :2].astype(np.complex64)


def _moments(faces: CurrentFaces, shell: SourceShell, mode_count: int, store: PieceStore) -> Complex64:
    """Moments (sources, modes) of the modes, from the store or found and kept there. [A m^2]"""
    key = _key(faces, shell, mode_count)
    kept = store.load(key)
    if kept is not None:
        return np.asarray(kept["moments_a_m2"], dtype=np.complex64)
    moments = strongest_moments_a_m2(faces, shell, mode_count)
    store.save(key, {"moments_a_m2": moments})
    return moments


def _fields_of_modes(
    centres_m: NDArray[np.float64], shell: SourceShell, moments: Complex64, frequency_hz: float
) -> Complex64:
    """Impressed Bx, By of every mode, shape (modes, 2, voxels). [T]"""
    found = np.empty((moments.shape[1], 2, len(centres_m)), dtype=np.complex64)
    step = places_at_once(shell)
    for start in range(0, len(centres_m), step):
        part = slice(start, start + step)
        for axis in range(2):
            field = magnetic_component_t(centres_m[part], shell.positions_m, axis=axis, frequency_hz=frequency_hz)
            found[:, axis, part] = (field.reshape(len(field), -1) @ moments).T
    return found


def _reply_fields(problem: VolumeProblem, currents: Complex64, known: NDArray[np.bool_]) -> Complex64:
    """Bx, By of the body's own currents, shape (rows, 2, voxels). [T]"""
    return reply_magnetic_field_in_t(problem, currents, known)[:, :2]


def _key(faces: CurrentFaces, shell: SourceShell, mode_count: int) -> str:
    digest = hashlib.sha256(_KEPT_AS.encode())
    numbers = np.array([*faces.origin_m, faces.spacing_m, faces.frequency_hz, mode_count])
    for array in (numbers, faces.index, faces.permittivity, shell.positions_m, shell.areas_m2):
        digest.update(np.ascontiguousarray(array).tobytes())
    return digest.hexdigest()
