"""The body's reply to impressed electric fields: the staggered-face volume integral equation, solved for many at once.

With j = J/(j w eps0) the polarisation and conduction current on the faces, M = 1 - 1/eps_f and L the Green operator::

    (I - M (I + L)) j = M E_inc
"""

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numba import get_num_threads
from numpy.typing import NDArray

from loopwright.fields.body.array_library import ArrayLibrary, Nearly, as_they_stand, processor_library, to_host
from loopwright.fields.body.convolution import (
    SpectralKernel,
    convolve,
    curl_multiplier,
    reply_multiplier,
    spectral_kernel,
)
from loopwright.fields.body.faces import CurrentFaces
from loopwright.fields.body.krylov import KrylovSolution, gmres
from loopwright.ground.constants import EPSILON_0_F_PER_M, MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S
from loopwright.ground.errors import DeviceError, NotConvergedError

Array = Any

#: Layered bodies took up to 100 products in the prototypes; a body that needs three times that is reported, not forced.
MOST_PRODUCTS = 300

# Vectors that a row is given room for when a batch is cut to the memory; bodies seen so far took up to 90.
_LIKELY_VECTORS = 100

# Arrays of padded components that are alive at the widest point of a product: before, after, the transforms' own.
_PADDED_ARRAYS = 4

# Transforms and kernels of a GPU count the places of an array in 32 bits.
_MOST_PLACES = 2**31 - 1
# Vectors of a Krylov space that stand in one array.
_VECTORS_IN_AN_ARRAY = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeProblem:
    """One body on one grid at one frequency, ready for any number of impressed fields."""

    faces: CurrentFaces
    kernel: SpectralKernel
    index: Array
    contrast: Array
    nearly_solved: Nearly

    @property
    def library(self) -> ArrayLibrary:
        """Where its arrays live."""
        return self.kernel.library

    @property
    def rows_together(self) -> int:
        """How many fields the memory holds and 32 bits can count at once, with Krylov spaces and padded transforms."""
        if self.library.memory_b is None:
            return 1
        space = _LIKELY_VECTORS * len(self.faces.index)
        padded = int(np.prod(self.kernel.padded_shape))
        held = self.library.memory_b // (8 * (space + _PADDED_ARRAYS * 3 * padded))
        countable = _MOST_PLACES // max(3 * padded, _VECTORS_IN_AN_ARRAY * len(self.faces.index))
        return max(1, min(held, countable))


def volume_problem(faces: CurrentFaces, library: ArrayLibrary | None = None) -> VolumeProblem:
    """Prepare the operator for these faces on an array library, the processor's where none is named."""
    place = processor_library() if library is None else library
    voxels = (faces.face_shape[0] - 1, faces.face_shape[1] - 1, faces.face_shape[2] - 1)
    wavenumber = 2 * np.pi * faces.frequency_hz / SPEED_OF_LIGHT_M_PER_S
    return VolumeProblem(
        faces=faces,
        kernel=spectral_kernel(voxels, wavenumber, faces.spacing_m, place),
        index=place.namespace.asarray(faces.index),
        contrast=place.namespace.asarray(faces.contrast.astype(np.complex64)),
        nearly_solved=place.nearly_solved(faces),
    )


def _spread(problem: VolumeProblem, rows: Array) -> Array:
    """Put values (rows, faces) on the current faces into full arrays of face components."""
    shape = (len(rows), 3, *problem.kernel.face_shape)
    full = problem.library.namespace.zeros((len(rows), int(np.prod(shape[1:]))), dtype=rows.dtype)
    full[:, problem.index] = rows
    return full.reshape(shape)


def _reply(problem: VolumeProblem, rows: Array) -> Array:
    """L applied to every row (rows, faces), read on the current faces."""
    full = convolve(_spread(problem, rows), problem.kernel, reply_multiplier)
    return full.reshape(len(rows), -1)[:, problem.index]


def _batches(problem: VolumeProblem, rows: int) -> Iterator[slice]:
    """Slices of rows that the memory holds at once."""
    for start in range(0, rows, problem.rows_together):
        yield slice(start, min(start + problem.rows_together, rows))


def reply_currents(
    problem: VolumeProblem,
    impressed_v_per_m: NDArray[np.complexfloating],
    *,
    relative_residual: float,
    on_product: Callable[[int], None],
) -> KrylovSolution:
    """Solve for the currents that impressed fields drive.

    Parameters
    ----------
    problem : VolumeProblem
        Body, grid and frequency.
    impressed_v_per_m : ndarray, shape (rows, faces)
        Normal component of each impressed field on the current faces. [V/m]
    relative_residual : float
        Tolerance of GMRES; at 1e-3 fields are good to 5e-4 of the discrete solution and resistances to 1e-6.
    on_product : callable
        Told how many products were just done.

    Returns
    -------
    KrylovSolution
        Its rows are j = J/(j w eps0), in the processor's memory. [V/m]

    Raises
    ------
    NotConvergedError
        When a row has not converged after MOST_PRODUCTS products, with the preconditioner nor without it.
    DeviceError
        When a GPU's memory does not hold one row.
    """

    def solve(batch: slice) -> KrylovSolution:
        impressed = problem.library.namespace.asarray(impressed_v_per_m[batch])
        driven = (problem.contrast * impressed).astype(np.complex64)
        return _solved(problem, driven, relative_residual=relative_residual, on_product=on_product)

    batches = list(_batches(problem, len(impressed_v_per_m)))
    in_turn = (_by_halves(solve, batch) for batch in batches)
    solution = _joined(_on_all_cores(solve, batches) if problem.library.memory_b is None else in_turn)
    worst = float(solution.relative_residuals.max())
    if not worst <= relative_residual:  # nor where it is not a number
        raise NotConvergedError(
            f"the body's field solution stopped at a relative residual of {worst:.1e} after {MOST_PRODUCTS} products; "
            f"{relative_residual:.1e} was asked for. Remedy: larger voxels, a looser computation.relative_residual, "
            "or look for a tissue with an extreme permittivity."
        )
    return solution


def _solved(
    problem: VolumeProblem, driven: Array, *, relative_residual: float, on_product: Callable[[int], None]
) -> KrylovSolution:
    """Solve rows with the preconditioner, and those that do not converge with it once more without."""

    def with_help(nearly_solved: Nearly, rows: Array, to: float) -> KrylovSolution:
        def product(vectors: Array) -> Array:
            currents = nearly_solved(vectors)
            return currents - problem.contrast * (currents + _reply(problem, currents))

        found = gmres(
            product,
            rows,
            relative_residual=to,
            most_products=MOST_PRODUCTS,
            on_product=on_product,
            library=problem.library,
        )
        return replace(found, solutions=to_host(nearly_solved(found.solutions)))

    helped = with_help(problem.nearly_solved, driven, relative_residual * problem.library.stop_at)
    left = np.flatnonzero(~(helped.relative_residuals <= relative_residual * problem.library.stop_at))
    if left.size == 0 or problem.nearly_solved is as_they_stand:
        return helped
    alone = with_help(as_they_stand, driven[problem.library.namespace.asarray(left)], relative_residual)
    helped.solutions[left] = alone.solutions
    helped.relative_residuals[left] = alone.relative_residuals
    helped.products[left] += alone.products
    return helped


def _on_all_cores(solve: Callable[[slice], KrylovSolution], batches: list[slice]) -> list[KrylovSolution]:
    """Solve every batch in a thread of its own; rows do not know each other, so this changes no result."""
    with ThreadPoolExecutor(max_workers=get_num_threads()) as pool:
        return list(pool.map(solve, batches))


def _by_halves(solve: Callable[[slice], KrylovSolution], batch: slice) -> KrylovSolution:
    """Solve a batch; where rows take more vectors than the memory holds, each half of it by itself.

    Raises
    ------
    DeviceError
        When the memory does not hold one row.
    """
    try:
        return solve(batch)
    except MemoryError as error:
        if batch.stop - batch.start == 1:
            raise DeviceError(
                "the device's memory does not hold the solution for one source. Remedy: larger voxels, or --device cpu."
            ) from error
    # out here, where the arrays of the batch that failed are no longer held by the error
    middle = (batch.start + batch.stop) // 2
    return _joined(_by_halves(solve, half) for half in (slice(batch.start, middle), slice(middle, batch.stop)))


def _joined(parts: Iterable[KrylovSolution]) -> KrylovSolution:
    found = list(parts)
    return KrylovSolution(
        solutions=np.concatenate([one.solutions for one in found]),
        relative_residuals=np.concatenate([one.relative_residuals for one in found]),
        products=np.concatenate([one.products for one in found]),
    )


def electric_field_v_per_m(problem: VolumeProblem, currents: Array) -> Array:
    """Total electric field on the current faces, normal component, shape (rows, faces). [V/m]"""
    return currents / (problem.faces.permittivity - 1)


def noise_resistance_ohm(problem: VolumeProblem, currents: Array) -> NDArray[np.complex128]:
    """Hermitian matrix of integral sigma E_i E_j* dV for currents per ampere, shape (rows, rows). [ohm]"""
    fields = electric_field_v_per_m(problem, currents)
    weights = problem.faces.conductivity_s_per_m * problem.faces.spacing_m**3
    return np.asarray((fields * weights) @ fields.conj().T)


def reaction_impedance_ohm(problem: VolumeProblem, impressed_v_per_m: Array, currents: Array) -> NDArray[np.complex128]:
    """Impedance [ohm] that the body adds between the sources of fields [V/m]: Z_ij = -int E_inc,i . J_j dV.

    Its real part also holds the change of radiated power. Not symmetrised: what asymmetry is left tells the error.
    """
    omega = 2 * np.pi * problem.faces.frequency_hz
    scale = -1j * omega * EPSILON_0_F_PER_M * problem.faces.spacing_m**3
    return np.asarray(scale * (impressed_v_per_m @ currents.T))


def reply_magnetic_field_t(problem: VolumeProblem, currents: Array) -> NDArray[np.complex64]:
    """Magnetic field of the body's currents at the voxel centres, shape (rows, 3, nx, ny, nz). [T]"""
    return np.concatenate([to_host(field) for field in _magnetic_fields_t(problem, currents)])


def reply_magnetic_field_in_t(
    problem: VolumeProblem, currents: Array, voxels: NDArray[np.bool_]
) -> NDArray[np.complex64]:
    """The same at the centres of some voxels (nx, ny, nz), in the order of the grid, shape (rows, 3, voxels). [T]

    Full grids are held for one batch at a time, where it was computed.
    """
    found = np.empty((len(currents), 3, int(voxels.sum())), dtype=np.complex64)
    wanted = problem.library.namespace.asarray(voxels)
    for batch, field in zip(_batches(problem, len(currents)), _magnetic_fields_t(problem, currents), strict=True):
        found[batch] = to_host(field[:, :, wanted])
    return found


def _magnetic_fields_t(problem: VolumeProblem, currents: Array) -> Iterator[Array]:
    """Magnetic field of every batch of rows, where the library holds it. [T]"""
    scale = np.complex64(1j * 2 * np.pi * problem.faces.frequency_hz * EPSILON_0_F_PER_M * MU_0_H_PER_M)
    for batch in _batches(problem, len(currents)):
        rows = problem.library.namespace.asarray(currents[batch]).astype(np.complex64)  # what the plans are made for
        yield scale * convolve(_spread(problem, rows), problem.kernel, curl_multiplier)[:, :, :-1, :-1, :-1]
