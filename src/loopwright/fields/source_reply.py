"""The body's reply to a source shell: its sources compressed to the fields that differ in the body, each solved once.

The impressed fields (E and B) of all small loops of the shell, each weighted by the root of the area that it stands
for, are compressed by a randomised singular value decomposition over the current faces. The first singular vectors are
the combinations of sources whose fields reach the body most strongly; each is one impressed field, solved once. What
they make in the body spans the fields that an array outside can make there.

References
----------
N. Halko, P. G. Martinsson, J. A. Tropp, SIAM Review 53, 217-288, 2011: randomised decomposition.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

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
from loopwright.fields.small_loops import electric_component_v_per_m, magnetic_component_t
from loopwright.fields.source_shell import SourceShell
from loopwright.ground.constants import SPEED_OF_LIGHT_M_PER_S
from loopwright.ground.device import Device
from loopwright.ground.progress import PieceStore, Progress

__all__ = ["SourceReply", "source_reply"]

Complex64 = NDArray[np.complex64]
Blocks = list[tuple[NDArray[np.intp], int]]
Block = Callable[[NDArray[np.intp], int], Complex64]

#: Faces on which the sources are compressed; fields are smooth, so that more would choose the same combinations.
_FACES_TO_COMPRESS = 9000
# Random combinations beyond the number of modes asked for, as a part of it.
_SPARE = 0.2
_ENTRIES_AT_ONCE = 1_500_000
_KEPT_AS = f"source modes 1, loopwright {__version__}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceReply:
    """Fields in the body for every solved mode of a source shell, and after them for every source of an array.

    Attributes
    ----------
    modes : int
        Rows that are modes of the shell, the strongest first; the rest are the array's sources.
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
    face_rule: FaceRule = FaceRule.AREA_MEAN,
    relative_residual: float,
    progress: Progress,
    store: PieceStore,
    device: Device = Device.CPU,
) -> SourceReply:
    """Solve for the strongest modes of a source shell, and for the sources of an array beside them.

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
        progress.note(f"source shell: {3 * len(shell.positions_m)} small loops, {mode_count} modes of them")
        weights = _modes(faces, shell, mode_count, store)
        impressed, weights = _impressed(faces, shell, weights)
        asked = [impressed]
        if array is not None:
            asked.append(impressed_rows_v_per_m(faces, array))
        solved = [
            solved_currents(problem, rows, relative_residual=relative_residual, progress=progress, store=store)
            for rows in asked
        ]
        known = np.asarray(body.voxel_cover() > 0)
        centres = body.grid.centre_points_m()[known]
        incident = [_fields_of_modes(centres, shell, weights, faces.frequency_hz)]
        if array is not None:
            fields = incident_magnetic_field_t(centres, array, faces.frequency_hz)
            incident.append(fields[:, :2].astype(np.complex64))
        currents = np.concatenate([one.currents_v_per_m for one in solved])
        return SourceReply(
            modes=len(impressed),
            sources=3 * len(shell.positions_m),
            noise_resistance_ohm=noise_resistance_ohm(problem, currents.astype(np.complex128)),
            transverse_field_t=np.concatenate(incident) + _reply_fields(problem, currents, known),
            known=known,
            relative_residual=max(float(one.relative_residuals.max()) for one in solved),
            products=sum(int(one.products.sum()) for one in solved),
        )


def _modes(faces: CurrentFaces, shell: SourceShell, mode_count: int, store: PieceStore) -> Complex64:
    """Moments (sources, modes) of the modes, from the store or found and kept there. [A m^2]"""
    key = _key(faces, shell, mode_count)
    kept = store.load(key)
    if kept is not None:
        return np.asarray(kept["moments_a_m2"], dtype=np.complex64)
    moments = _strongest(faces, shell, mode_count)
    store.save(key, {"moments_a_m2": moments})
    return moments


def _strongest(faces: CurrentFaces, shell: SourceShell, mode_count: int) -> Complex64:
    """Right singular vectors of the weighted impressed fields, the strongest first."""
    sources = 3 * len(shell.positions_m)
    some = np.arange(0, len(faces.index), max(1, len(faces.index) // _FACES_TO_COMPRESS))
    blocks = _blocks(faces, shell, some)
    weighted = partial(_weighted_block, faces, shell, *_weights(faces))
    wanted = min(mode_count, sources)
    tried = min(sources, int(wanted * (1 + _SPARE)) + 8)
    rng = np.random.default_rng(len(some))
    trial = rng.normal(size=(sources, tried)) + 1j * rng.normal(size=(sources, tried))
    roots = np.repeat(np.sqrt(shell.areas_m2), 3)[:, None]
    trial = roots * _adjoint(weighted, blocks, _forward(weighted, blocks, roots * trial))  # one power pass
    reached = np.linalg.qr(_forward(weighted, blocks, roots * np.linalg.qr(trial)[0]))[0]
    vectors, _, _ = np.linalg.svd(roots * _adjoint(weighted, blocks, reached), full_matrices=False)
    return (roots * vectors[:, :wanted]).astype(np.complex64)


def _impressed(faces: CurrentFaces, shell: SourceShell, moments: Complex64) -> tuple[Complex64, Complex64]:
    """Impressed field of every mode (modes, faces), and its moments, both for a field of unit norm."""
    blocks = _blocks(faces, shell, np.arange(len(faces.index)))
    by_block = _forward(partial(_electric_block, faces, shell), blocks, moments)
    field = np.empty_like(by_block)
    field[np.concatenate([which for which, _ in blocks])] = by_block
    norm = np.linalg.norm(field, axis=0)
    return np.ascontiguousarray((field / norm).T), moments / norm


def _weights(faces: CurrentFaces) -> tuple[float, float]:
    """Weights of E and of B when sources are compressed.

    omega times half the size of the body makes B as large as the E of eddy currents. Fields of charges have little B;
    in a body that is small against its wavelength they are screened and receive nothing, so E counts for less there.
    """
    centres = faces.centres_m()
    half_size_m = float(np.sqrt(np.mean(np.sum((centres - centres.mean(axis=0)) ** 2, axis=1)))) / 2
    omega = 2 * np.pi * faces.frequency_hz
    wavenumber = omega / SPEED_OF_LIGHT_M_PER_S * np.sqrt(np.median(np.abs(faces.permittivity)))
    return min(1.0, float(wavenumber) * half_size_m), omega * half_size_m


def _blocks(faces: CurrentFaces, shell: SourceShell, some: NDArray[np.intp]) -> Blocks:
    """Faces of one family at a time, few enough to hold their fields of all sites."""
    families = faces.families()[some]
    step = max(1, _ENTRIES_AT_ONCE // len(shell.positions_m))
    parts = []
    for axis in range(3):
        of_axis = some[families == axis]
        parts += [(of_axis[start : start + step], axis) for start in range(0, len(of_axis), step)]
    return parts


def _electric_block(faces: CurrentFaces, shell: SourceShell, which: NDArray[np.intp], axis: int) -> Complex64:
    """E of every source on some faces of one family, shape (faces, sources). [V/m]"""
    centres = faces.centres_m()[which]
    field = electric_component_v_per_m(centres, shell.positions_m, axis=axis, frequency_hz=faces.frequency_hz)
    return field.reshape(len(which), -1)


def _weighted_block(
    faces: CurrentFaces, shell: SourceShell, of_e: float, of_b: float, which: NDArray[np.intp], axis: int
) -> Complex64:
    """Weighted E, and below it weighted B, of every source on some faces, shape (2 faces, sources)."""
    electric = _electric_block(faces, shell, which, axis)
    centres = faces.centres_m()[which]
    magnetic = magnetic_component_t(centres, shell.positions_m, axis=axis, frequency_hz=faces.frequency_hz)
    return np.concatenate([np.float32(of_e) * electric, np.float32(of_b) * magnetic.reshape(len(which), -1)])


def _forward(block: Block, blocks: Blocks, moments: NDArray[np.complexfloating]) -> Complex64:
    """Fields (rows of all blocks, columns) of columns of moments (sources, columns)."""
    narrow = moments.astype(np.complex64)
    return np.concatenate([block(which, axis) @ narrow for which, axis in blocks])


def _adjoint(block: Block, blocks: Blocks, fields: NDArray[np.complexfloating]) -> NDArray[np.complex128]:
    """What columns of fields (rows, columns) have in common with the field of every source (sources, columns)."""
    narrow = fields.astype(np.complex64)
    start, found = 0, np.zeros((0,), dtype=np.complex128)
    for which, axis in blocks:
        here = block(which, axis)
        part = here.conj().T @ narrow[start : start + len(here)]
        found = found + part if start else part.astype(np.complex128)
        start += len(here)
    return found


def _fields_of_modes(
    centres_m: NDArray[np.float64], shell: SourceShell, moments: Complex64, frequency_hz: float
) -> Complex64:
    """Impressed Bx, By of every mode, shape (modes, 2, voxels). [T]"""
    found = np.empty((moments.shape[1], 2, len(centres_m)), dtype=np.complex64)
    step = max(1, _ENTRIES_AT_ONCE // len(shell.positions_m))
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
    for array in (numbers, faces.index, shell.positions_m, shell.areas_m2):
        digest.update(np.ascontiguousarray(array).tobytes())
    return digest.hexdigest()
