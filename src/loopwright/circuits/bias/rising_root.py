"""Roots of rising functions, all entries of an array at once."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

__all__ = ["rising_root"]

Floats = NDArray[np.float64]

#: To the last digit of a double, from any bracket that can arise.
_HALVINGS = 100


def rising_root(rising: Callable[[Floats], Floats], low: Floats, high: Floats) -> Floats:
    """Root of a rising function in a bracket, by halving.

    Parameters
    ----------
    rising : callable
        From an array of places to as many values.
    low, high : ndarray, shape (...)
        Bracket of every entry.

    Returns
    -------
    ndarray, shape (...)
        The root, or the nearer end of the bracket where it lies outside.
    """
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        below = rising(middle) < 0
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.asarray((low + high) / 2)
