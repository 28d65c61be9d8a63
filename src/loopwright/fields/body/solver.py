"""The body's reply to impressed electric fields: the staggered-face volume integral equation, solved for many at once.

With j = J/(j w eps0) the polarisation and conduction current on the faces, M = 1 - 1/eps_f and L the Green operator::

    (I - M (I + L)) j = M E_inc
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

import array_api_compat
import numpy as np
from numba import get_num_threads
from numpy.typing import NDArray

from loopwright.fields.body.convolution import (
    Multiplier,
    SpectralKernel,
    convolve,
    curl_multiplier,
    reply_multiplier,
    spectral_kernel,
)
from loopwright.fields.body.faces import CurrentFaces
from loopwright.fields.body.krylov import KrylovSolution, gmres
from loopwright.ground.constants import EPSILON_0_F_PER_M, MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S
from loopwright.ground.errors import NotConvergedError

Array = Any

#: Layered bodies took up to 100 products in the prototypes; a body that needs three times that is reported, not forced.
MOST_PRODUCTS = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeProblem:
    """One body on one grid at one frequency, ready for any number of impressed fields."""

    faces: CurrentFaces
    kernel: SpectralKernel
    index: Array
    contrast: Array


def volume_problem(faces: CurrentFaces, xp: Any = np) -> VolumeProblem:
    """Prepare the operator for these faces on the array library ``xp``."""
    voxels = (faces.face_shape[0] - 1, faces.face_shape[1] - 1, faces.face_shape[2] - 1)
    wavenumber = 2 * np.pi * faces.frequency_hz / SPEED_OF_LIGHT_M_PER_S
    kernel = spectral_kernel(voxels, wavenumber, faces.spacing_m)
    return VolumeProblem(
        faces=faces,
        kernel=SpectralKernel(
            scalar=xp.asarray(kernel.scalar),
            wave=xp.asarray(kernel.wave),
            forward=(xp.asarray(kernel.forward[0]), xp.asarray(kernel.forward[1]), xp.asarray(kernel.forward[2])),
            wavenumber_per_m=wavenumber,
            spacing_m=faces.spacing_m,
            face_shape=faces.face_shape,
        ),
        index=xp.asarray(faces.index),
        contrast=xp.asarray(faces.contrast.astype(np.complex64)),
    )


def _spread(problem: VolumeProblem, values: Array, xp: Any) -> Array:
    """Put values on the current faces into the full array of face components."""
    full = xp.zeros(3 * int(np.prod(problem.kernel.face_shape)), dtype=values.dtype)
    full[problem.index] = values
    return xp.reshape(full, (3, *problem.kernel.face_shape))


def _map_rows(function: Callable[[Array], Array], rows: Array, xp: Any) -> Array:
    """Apply a function to every row."""
    return xp.stack([function(row) for row in rows])


def _apply(problem: VolumeProblem, rows: Array, multiplier: Multiplier) -> Array:
    """Convolve every row and read the result on the current faces."""
    xp = array_api_compat.array_namespace(rows)

    def one(row: Array) -> Array:
        full = convolve(_spread(problem, row, xp), problem.kernel, multiplier)
        return xp.take(xp.reshape(full, (-1,)), problem.index)

    return _map_rows(one, rows, xp)


def reply_currents(
    problem: VolumeProblem,
    impressed_v_per_m: Array,
    *,
    relative_residual: float,
    on_product: Callable[[int], None],
) -> KrylovSolution:
    """Solve for the currents that impressed fields drive.

    Parameters
    ----------
    problem : VolumeProblem
        Body, grid and frequency.
    impressed_v_per_m : array, shape (rows, faces)
        Normal component of each impressed field on the current faces. [V/m]
    relative_residual : float
        Tolerance of GMRES; at 1e-3 fields are good to 5e-4 of the discrete solution and resistances to 1e-6.
    on_product : callable
        Told how many products were just done.

    Returns
    -------
    KrylovSolution
        Its rows are j = J/(j w eps0). [V/m]

    Raises
    ------
    NotConvergedError
        When a row has not converged after MOST_PRODUCTS products.
    """
    xp = array_api_compat.array_namespace(impressed_v_per_m)

    def product(rows: Array) -> Array:
        return rows - problem.contrast * (rows + _apply(problem, rows, reply_multiplier))

    right = xp.asarray(problem.contrast * impressed_v_per_m, dtype=problem.contrast.dtype)

    def solve(rows: Array) -> KrylovSolution:
        return gmres(
            product, rows, relative_residual=relative_residual, most_products=MOST_PRODUCTS, on_product=on_product
        )

    solution = _solve_on_all_cores(solve, right) if array_api_compat.is_numpy_namespace(xp) else solve(right)
    worst = float(solution.relative_residuals.max())
    if worst > relative_residual:
        raise NotConvergedError(
            f"the body's field solution stopped at a relative residual of {worst:.1e} after {MOST_PRODUCTS} products; "
            f"{relative_residual:.1e} was asked for. Remedy: larger voxels, a looser computation.relative_residual, "
            "or look for a tissue with an extreme permittivity."
        )
    return solution


def _solve_on_all_cores(solve: Callable[[Array], KrylovSolution], right: Array) -> KrylovSolution:
    """Solve every row in a thread of its own; rows do not know each other, so this changes no result."""
    with ThreadPoolExecutor(max_workers=get_num_threads()) as pool:
        found = list(pool.map(solve, (right[row : row + 1] for row in range(len(right)))))
    return KrylovSolution(
        solutions=np.concatenate([one.solutions for one in found]),
        relative_residuals=np.concatenate([one.relative_residuals for one in found]),
        products=np.concatenate([one.products for one in found]),
    )


def electric_field_v_per_m(problem: VolumeProblem, currents: Array) -> Array:
    """Total electric field on the current faces, normal component, shape (rows, faces). [V/m]"""
    xp = array_api_compat.array_namespace(currents)
    return currents / xp.asarray(problem.faces.permittivity - 1)


def noise_resistance_ohm(problem: VolumeProblem, currents: Array) -> NDArray[np.complex128]:
    """Hermitian matrix of integral sigma E_i E_j* dV for currents per ampere, shape (rows, rows). [ohm]"""
    xp = array_api_compat.array_namespace(currents)
    fields = electric_field_v_per_m(problem, currents)
    weights = xp.asarray(problem.faces.conductivity_s_per_m * problem.faces.spacing_m**3)
    return np.asarray((fields * weights) @ xp.conj(fields).T)


def reaction_impedance_ohm(problem: VolumeProblem, impressed_v_per_m: Array, currents: Array) -> NDArray[np.complex128]:
    """Impedance [ohm] that the body adds between the sources of fields [V/m]: Z_ij = -int E_inc,i . J_j dV.

    Its real part also holds the change of radiated power. Not symmetrised: what asymmetry is left tells the error.
    """
    omega = 2 * np.pi * problem.faces.frequency_hz
    scale = -1j * omega * EPSILON_0_F_PER_M * problem.faces.spacing_m**3
    return np.asarray(scale * (impressed_v_per_m @ currents.T))


def reply_magnetic_field_t(problem: VolumeProblem, currents: Array) -> Array:
    """Magnetic field of the body's currents at the voxel centres, shape (rows, 3, nx, ny, nz). [T]"""
    xp = array_api_compat.array_namespace(currents)
    scale = 1j * 2 * np.pi * problem.faces.frequency_hz * EPSILON_0_F_PER_M * MU_0_H_PER_M

    def one(row: Array) -> Array:
        curl = convolve(_spread(problem, row, xp), problem.kernel, curl_multiplier)
        return scale * curl[:, :-1, :-1, :-1]

    return _map_rows(one, currents, xp)
