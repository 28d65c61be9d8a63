"""Typed doors to the compiler of the wire kernels.

Every kernel is a pure function of arrays; compiled code is kept on disk between runs.  A kernel and the small functions
it calls stand in ONE file, because the stored code is renewed only when its own file changes.
"""

from collections.abc import Callable
from typing import ParamSpec, TypeVar, cast

import numba

P = ParamSpec("P")
R = TypeVar("R")


def compiled(function: Callable[P, R]) -> Callable[P, R]:
    """Compile a small function that other kernels call."""
    return cast("Callable[P, R]", numba.njit(cache=True, error_model="numpy")(function))


def compiled_parallel(function: Callable[P, R]) -> Callable[P, R]:
    """Compile a kernel whose ``numba.prange`` iterations each write to places of their own: sums in fixed order."""
    return cast("Callable[P, R]", numba.njit(cache=True, parallel=True, error_model="numpy")(function))
