"""Steady and transient temperatures of a hot spot: multigrid for the first, a small set of modes for the second."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import NotConvergedError
from loopwright.heating.spot_system import SpotSystem

__all__ = ["SpotModes", "base_temperature_c", "rates_for", "spot_modes"]

#: Residual over load; less is enough for what only spans the space of a projection.
TOLERANCE, SPANNING_TOLERANCE = 1e-9, 1e-7
MOST_ITERATIONS = 200

#: Shifts per decade of time. With more than twice as many, rises change by less than 1e-3 of the hottest, and the heat
#: stored by less than 0.5 %.
SHIFTS_PER_DECADE = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotModes:
    """Rise per watt after power is switched on: steady - sum over modes of mode exp(-rate t).

    Attributes
    ----------
    steady_k_per_w : ndarray, shape (nodes,)
        [K/W]
    modes_k_per_w : ndarray, shape (nodes, modes)
        They sum to the steady rise. [K/W]
    rates_per_s : ndarray, shape (modes,)
        Slowest first. [1/s]
    """

    steady_k_per_w: NDArray[np.float64]
    modes_k_per_w: NDArray[np.float64]
    rates_per_s: NDArray[np.float64]


def base_temperature_c(system: SpotSystem, *, core_c: float) -> NDArray[np.float64]:
    """Temperature without power, after all has settled. [degC]

    Parameters
    ----------
    system : SpotSystem
    core_c : float
        Temperature at the fixed nodes. [degC]

    Returns
    -------
    ndarray, shape (nodes,)
        [degC]
    """
    free = ~system.fixed
    held = np.where(system.fixed, core_c, 0.0)
    load = (system.base_w - system.conduction @ held)[free]
    found = held.copy()
    found[free] = _Multigrid(system.conduction[free][:, free]).solve(system.conduction[free][:, free], load)
    return found


def rates_for(*, earliest_s: float, latest_s: float) -> NDArray[np.float64]:
    """Shifts whose solutions span the rise between two times. [1/s]

    Parameters
    ----------
    earliest_s, latest_s : float
        The shifts begin a decade before the earlier one. [s]

    Returns
    -------
    ndarray, shape (shifts,)
        Smallest first. [1/s]
    """
    decades = np.log10(latest_s / earliest_s) + 1
    return np.geomspace(1 / latest_s, 10 / earliest_s, int(np.ceil(decades * SHIFTS_PER_DECADE)) + 1)


def spot_modes(system: SpotSystem, shifts_per_s: Sequence[float] | NDArray[np.float64]) -> SpotModes:
    """Steady rise per watt and the modes that lead to it.

    Parameters
    ----------
    system : SpotSystem
    shifts_per_s : array_like, shape (shifts,)
        Smallest first; the modes hold between the inverses of the largest and the smallest. [1/s]

    Returns
    -------
    SpotModes
        One mode per shift and one for the steady rise.

    Notes
    -----
    The equations are projected on the steady rise and on the solutions of (conduction + shift capacity) x = heat. The
    projection keeps symmetry, so each mode decays, and the steady rise is exact. Druskin and Simoncini, Systems and
    Control Letters 60, 546-560 (2011), from memory, tell how fast such spaces converge.
    """
    free = ~system.fixed
    K, c, f = system.conduction[free][:, free], system.capacity_j_per_k[free], system.heat[free]
    multigrid = _Multigrid(K)
    steady = multigrid.solve(K, f)
    columns, guess = [steady], steady
    for shift in shifts_per_s:
        shifted = _shifted(K, shift * c)
        guess = _Multigrid(shifted).solve(shifted, f, SPANNING_TOLERANCE, guess)
        columns.append(guess)
    root = np.sqrt(c)
    basis, _ = np.linalg.qr(root[:, np.newaxis] * np.stack(columns, axis=1))
    basis /= root[:, np.newaxis]
    rates, turns = np.linalg.eigh(basis.T @ (K @ basis))
    vectors = basis @ turns
    modes = np.zeros((system.fixed.size, rates.size))
    modes[free] = vectors * (vectors.T @ f) / rates
    rise = np.zeros(system.fixed.size)
    rise[free] = steady
    return SpotModes(steady_k_per_w=rise, modes_k_per_w=modes, rates_per_s=rates)


def _shifted(matrix: Any, diagonal: NDArray[np.float64]) -> Any:
    from scipy.sparse import diags_array  # noqa: PLC0415

    return (matrix + diags_array(diagonal)).tocsr()


class _Multigrid:
    """A hierarchy of coarser and coarser equations; it preconditions conjugate gradients."""

    def __init__(self, matrix: Any) -> None:
        import pyamg  # noqa: PLC0415 - slow to import

        self._preconditioner = pyamg.ruge_stuben_solver(_plain(matrix), max_coarse=100).aspreconditioner()

    def solve(
        self,
        matrix: Any,
        load: NDArray[np.float64],
        tolerance: float = TOLERANCE,
        guess: NDArray[np.float64] | None = None,
    ) -> NDArray[np.float64]:
        """Solve for one load."""
        from scipy.sparse.linalg import cg  # noqa: PLC0415

        found, failed = cg(matrix, load, x0=guess, rtol=tolerance, maxiter=MOST_ITERATIONS, M=self._preconditioner)
        if failed:
            raise NotConvergedError(
                f"temperatures of a hot spot: {MOST_ITERATIONS} iterations did not reach {tolerance:g} on "
                f"{load.size} points; make the layers less unequal in thickness"
            )
        return np.asarray(found, dtype=np.float64)


def _plain(matrix: Any) -> Any:
    """Matrix as the multigrid library wants it: 32-bit indices in its older class."""
    from scipy.sparse import csr_matrix  # noqa: PLC0415

    plain = csr_matrix(matrix)
    plain.indices, plain.indptr = plain.indices.astype(np.int32), plain.indptr.astype(np.int32)
    return plain
