"""GMRES for several right-hand sides at once, in single precision, for any array library."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import array_api_compat
import numpy as np
from numpy.typing import NDArray

Array = Any

# Where a vector loses more than this of its length against the space, it is made orthogonal once more.
_ORTHOGONAL_ENOUGH = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class KrylovSolution:
    """Solutions of A x = b, one row each, with what it took."""

    solutions: Array
    relative_residuals: NDArray[np.float64]
    products: NDArray[np.int64]

    @property
    def steps(self) -> int:
        """Largest number of products that one right-hand side took."""
        return int(self.products.max())


def _orthogonalise(space: Array, vector: Array, xp: Any) -> tuple[Array, Array]:
    """Take out of each row of ``vector`` its part in ``space`` (rows, steps, n); return both."""
    overlaps = (xp.conj(space) @ vector[:, :, None])[:, :, 0]
    return vector - (overlaps[:, None, :] @ space)[:, 0, :], overlaps


def _row_norms(vectors: Array, xp: Any) -> Array:
    return xp.sqrt(xp.sum(xp.real(vectors) ** 2 + xp.imag(vectors) ** 2, axis=-1))


def gmres(
    product: Callable[[Array], Array],
    right_hand_sides: Array,
    *,
    relative_residual: float,
    most_products: int,
    on_product: Callable[[int], None],
) -> KrylovSolution:
    """Solve A x = b for every row, without restart.

    Parameters
    ----------
    product : callable
        Takes rows, shape (some, n), and returns A applied to each.
    right_hand_sides : array, shape (rows, n)
        In single precision.
    relative_residual : float
        A row stops when the norm of its residual has fallen to this part of its right-hand side.
    most_products : int
        Rows stop here in any case; the caller judges the residual.
    on_product : callable
        Told how many products were just done.

    Returns
    -------
    KrylovSolution

    Notes
    -----
    Classical Gram-Schmidt, repeated where needed; the small least-squares problems are in double precision. A row
    that has converged costs no further products.

    References
    ----------
    Y. Saad and M. H. Schultz, SIAM J. Sci. Stat. Comput. 7, 856 (1986).
    """
    xp = array_api_compat.array_namespace(right_hand_sides)
    rows, n = right_hand_sides.shape
    norms = np.asarray(_to_host(_row_norms(right_hand_sides, xp)), dtype=np.float64)
    active = np.nonzero(norms > 0)[0]
    safe = np.where(norms > 0, norms, 1.0)
    space = xp.empty((rows, most_products + 1, n), dtype=right_hand_sides.dtype)
    space[:, 0, :] = right_hand_sides / xp.asarray(safe, dtype=space.real.dtype)[:, None]
    hessenberg = np.zeros((rows, most_products + 1, most_products), dtype=np.complex128)
    products = np.zeros(rows, dtype=np.int64)
    residuals = np.where(norms > 0, 1.0, 0.0)
    coefficients: list[NDArray[np.complex128]] = [np.zeros(0, dtype=np.complex128)] * rows
    for step in range(most_products):
        if active.size == 0:
            break
        _arnoldi_step(product, space, hessenberg, active, step, xp)
        on_product(int(active.size))
        products[active] += 1
        for row in active.tolist():
            coefficients[row], residuals[row] = _least_squares(hessenberg[row, : step + 2, : step + 1])
        active = active[residuals[active] > relative_residual]
    solutions = xp.zeros_like(right_hand_sides)
    for row, y in enumerate(coefficients):
        if y.size:
            weights = xp.asarray((norms[row] * y).astype(np.complex64))
            solutions[row] = weights @ space[row, : y.size]
    return KrylovSolution(solutions=solutions, relative_residuals=residuals, products=products)


def _arnoldi_step(
    product: Callable[[Array], Array],
    space: Array,
    hessenberg: NDArray[np.complex128],
    active: NDArray[np.int64],
    step: int,
    xp: Any,
) -> None:
    """Extend the space of every active row by one vector."""
    whole = active.size == space.shape[0]
    image = product(space[:, step] if whole else space[active, step])
    for position, row in enumerate(active.tolist()):
        known = space[row : row + 1, : step + 1]
        before = float(_row_norms(image[position : position + 1], xp)[0])
        fresh, overlaps = _orthogonalise(known, image[position : position + 1], xp)
        length = float(_row_norms(fresh, xp)[0])
        if length < _ORTHOGONAL_ENOUGH * before:
            fresh, more = _orthogonalise(known, fresh, xp)
            overlaps = overlaps + more
            length = float(_row_norms(fresh, xp)[0])
        hessenberg[row, : step + 1, step] = _to_host(overlaps[0])
        hessenberg[row, step + 1, step] = length
        space[row, step + 1] = fresh[0] / max(length, np.finfo(np.float32).tiny)


def _least_squares(hessenberg: NDArray[np.complex128]) -> tuple[NDArray[np.complex128], float]:
    """Best coefficients for a unit right-hand side, and the residual that they leave."""
    target = np.zeros(hessenberg.shape[0], dtype=np.complex128)
    target[0] = 1.0
    y = np.linalg.lstsq(hessenberg, target, rcond=None)[0]
    return np.asarray(y, dtype=np.complex128), float(np.linalg.norm(hessenberg @ y - target))


def _to_host(array: Array) -> NDArray[Any]:
    """Bring a small array to the processor's memory."""
    return np.asarray(array.get() if hasattr(array, "get") else array)
