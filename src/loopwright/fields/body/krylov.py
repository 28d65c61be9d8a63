"""GMRES for several right-hand sides at once, in single precision, for any array library."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.body.array_library import ArrayLibrary, Overlaps, to_host

Array = Any

# Where a vector loses more than this of its length against the space, it is made orthogonal once more.
_ORTHOGONAL_ENOUGH = 0.1

# The space grows by blocks of so many vectors: an empty part costs memory and, on a GPU, reading.
_VECTORS_TOGETHER = 8


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


@dataclass(frozen=True, slots=True)
class _Space:
    """Orthonormal vectors of every row, in blocks of shape (rows, vectors, n)."""

    blocks: list[Array]
    library: ArrayLibrary

    def put(self, number: int, vectors: Array) -> None:
        """Keep one more vector for every row."""
        if number % _VECTORS_TOGETHER == 0:
            rows, n = vectors.shape
            self.blocks.append(self.library.namespace.zeros((rows, _VECTORS_TOGETHER, n), dtype=vectors.dtype))
        self.blocks[-1][:, number % _VECTORS_TOGETHER] = vectors

    def vectors(self, number: int) -> Array:
        """One vector of every row."""
        return self.blocks[number // _VECTORS_TOGETHER][:, number % _VECTORS_TOGETHER]

    def orthogonalised(self, vectors: Array, count: int) -> tuple[Array, NDArray[np.complex128]]:
        """Rows without their part in the first ``count`` vectors, and that part, shape (rows, count)."""
        overlaps = [self.library.overlaps(block, vectors) for block in self.blocks]
        for overlap, block in zip(overlaps, self.blocks, strict=True):
            vectors = vectors - _combined(overlap.astype(vectors.dtype), block)
        found = to_host(self.library.namespace.concatenate(overlaps, axis=1))
        return vectors, found[:, :count].astype(np.complex128)

    def combined(self, weights: NDArray[np.complex128]) -> Array:
        """Sum of the vectors by weights (rows, vectors), shape (rows, n)."""
        xp = self.library.namespace
        single = np.zeros((len(weights), len(self.blocks) * _VECTORS_TOGETHER), dtype=np.complex64)
        single[:, : weights.shape[1]] = weights
        parts = np.split(single, len(self.blocks), axis=1)
        return sum(_combined(xp.asarray(part), block) for part, block in zip(parts, self.blocks, strict=True))


class _LeastSquares:
    """The small problems of all rows, kept triangular by Givens rotations, in double precision."""

    def __init__(self, lengths: NDArray[np.float64], most: int) -> None:
        rows = len(lengths)
        self.triangle = np.zeros((rows, most, most), dtype=np.complex128)
        self.target = np.zeros((rows, most + 1), dtype=np.complex128)
        self.target[:, 0] = lengths
        self.cosines = np.ones((rows, most))
        self.sines = np.zeros((rows, most), dtype=np.complex128)

    def add(self, rows: NDArray[np.int64], overlaps: NDArray[np.complex128], lengths: NDArray[np.float64]) -> None:
        """Take in the next column (rows, step + 1) of the Hessenberg matrices and its last entry."""
        step = overlaps.shape[1] - 1
        column = overlaps.copy()
        for i in range(step):
            c, s = self.cosines[rows, i], self.sines[rows, i]
            above, below = column[:, i].copy(), column[:, i + 1].copy()
            column[:, i], column[:, i + 1] = c * above + s * below, c * below - s.conj() * above
        corner = column[:, step]
        size = np.hypot(np.abs(corner), lengths)
        turn = np.where(corner == 0, 1, corner / np.where(corner == 0, 1, np.abs(corner)))
        c, s = np.abs(corner) / size, turn * lengths / size
        column[:, step] = turn * size
        self.triangle[rows, : step + 1, step] = column
        self.cosines[rows, step], self.sines[rows, step] = c, s
        self.target[rows, step + 1] = -s.conj() * self.target[rows, step]
        self.target[rows, step] *= c

    def residuals(self, rows: NDArray[np.int64], step: int) -> NDArray[np.float64]:
        """What is left after this step."""
        return np.asarray(np.abs(self.target[rows, step + 1]))

    def weights(self, steps: NDArray[np.int64]) -> NDArray[np.complex128]:
        """Best weights of the vectors of every row after its own number of steps, shape (rows, most steps)."""
        found = np.zeros((len(steps), max(int(steps.max()), 1)), dtype=np.complex128)
        for row, count in enumerate(steps.tolist()):
            found[row, :count] = np.linalg.solve(self.triangle[row, :count, :count], self.target[row, :count])
        return found


def _combined(weights: Array, block: Array) -> Array:
    """Sum of a block's vectors (rows, vectors, n) by weights (rows, vectors), shape (rows, n)."""
    return (weights[:, None, :] @ block)[:, 0, :]


def _row_norms(vectors: Array, overlaps: Overlaps) -> NDArray[np.float64]:
    return np.sqrt(to_host(overlaps(vectors[:, None, :], vectors))[:, 0].real.astype(np.float64))


def _scaled(vectors: Array, factors: NDArray[np.float64], library: ArrayLibrary) -> Array:
    return vectors * library.namespace.asarray(factors.astype(np.float32))[:, None]


def gmres(
    product: Callable[[Array], Array],
    right_hand_sides: Array,
    *,
    relative_residual: float,
    most_products: int,
    on_product: Callable[[int], None],
    library: ArrayLibrary,
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
    library : ArrayLibrary
        Where the rows live.

    Returns
    -------
    KrylovSolution

    Notes
    -----
    Classical Gram-Schmidt, repeated where needed; the small least-squares problems are in double precision. A row
    that has converged costs no further products. All rows take a step together, whatever their number.

    References
    ----------
    Y. Saad and M. H. Schultz, SIAM J. Sci. Stat. Comput. 7, 856 (1986).
    """
    xp = library.namespace
    lengths = _row_norms(right_hand_sides, library.overlaps)
    driven = lengths != 0  # also where it is not a number: such a row must not pass for solved
    scale = np.where(driven, lengths, 1.0)
    residuals = np.where(driven, 1.0, 0.0)
    products = np.zeros(len(lengths), dtype=np.int64)
    active = np.nonzero(driven)[0]
    space = _Space([], library)
    space.put(0, _scaled(right_hand_sides, 1 / scale, library))
    small = _LeastSquares(residuals, most_products)
    for step in range(most_products):
        if active.size == 0:
            break
        image = _image(product, space.vectors(step), active, xp)
        on_product(int(active.size))
        overlaps, lengths = _arnoldi_step(space, image, step)
        small.add(active, overlaps[active], lengths[active])
        products[active] += 1
        residuals[active] = small.residuals(active, step)
        active = active[residuals[active] > relative_residual]
    weights = small.weights(products) * scale[:, None]
    return KrylovSolution(solutions=space.combined(weights), relative_residuals=residuals, products=products)


def _image(product: Callable[[Array], Array], vectors: Array, active: NDArray[np.int64], xp: Any) -> Array:
    """Product of the active rows, zero for the others."""
    if active.size == len(vectors):
        return product(vectors)
    rows = xp.asarray(active)
    image = xp.zeros_like(vectors)
    image[rows] = product(vectors[rows])
    return image


def _arnoldi_step(space: _Space, image: Array, step: int) -> tuple[NDArray[np.complex128], NDArray[np.float64]]:
    """Extend the space of every row by one vector; return overlaps (rows, step + 1) and lengths (rows,)."""
    of = space.library.overlaps
    before = _row_norms(image, of)
    fresh, overlaps = space.orthogonalised(image, step + 1)
    lengths = _row_norms(fresh, of)
    if np.any(lengths < _ORTHOGONAL_ENOUGH * before):
        fresh, more = space.orthogonalised(fresh, step + 1)
        overlaps = overlaps + more
        lengths = _row_norms(fresh, of)
    space.put(step + 1, _scaled(fresh, 1 / np.maximum(lengths, np.finfo(np.float32).tiny), space.library))
    return overlaps, lengths
