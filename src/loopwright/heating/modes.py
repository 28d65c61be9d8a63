"""How linear bodies warm: every temperature is a sum of exponentials, so no steps are taken in time."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg import eigh_tridiagonal

from loopwright.ground.errors import OutsideModelError

__all__ = ["StepResponse", "modes_of_network", "modes_of_row"]

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class StepResponse:
    """Rise of temperatures after constant power is switched on at t = 0.

    rise(t) = sum over modes of weight (1 - exp(-rate t)) / rate

    Attributes
    ----------
    rates_per_s : ndarray, shape (modes,)
        Slowest first; a rate of 0 is a body that nothing cools. [1/s]
    weights_k_per_s : ndarray, shape (places, modes)
        What each mode adds to the rate of warming at t = 0. [K/s]
    """

    rates_per_s: Array
    weights_k_per_s: Array

    def rise_k(self, times_s: ArrayLike) -> Array:
        """Rise at times after switching on, none before; shape (places, times). [s], [K]"""
        t = np.maximum(np.atleast_1d(np.asarray(times_s, dtype=np.float64)), 0.0)
        return self.weights_k_per_s @ _grown(self.rates_per_s[:, None], t)

    def integral_k_s(self, times_s: ArrayLike) -> Array:
        """Rise integrated from 0 to times, shape (places, times). [s], [K s]"""
        t = np.maximum(np.atleast_1d(np.asarray(times_s, dtype=np.float64)), 0.0)
        rates = self.rates_per_s[:, None]
        slow = rates * t < 1e-4  # where the difference below would cancel: a series
        x = rates * t
        series = t**2 / 2 * (1 - x / 3 + x**2 / 12)
        direct = (t - _grown(rates, t)) / np.where(rates > 0, rates, 1.0)
        return self.weights_k_per_s @ np.where(slow, series, direct)

    def final_rise_k(self) -> Array:
        """Rise after an endless time, shape (places,); infinite where nothing cools. [K]"""
        if np.any(self.rates_per_s <= 0):
            cooled = self.rates_per_s > 0
            never = np.abs(self.weights_k_per_s[:, ~cooled]).sum(axis=1) > 0
            final = self.weights_k_per_s[:, cooled] @ (1 / self.rates_per_s[cooled])
            return np.where(never, np.inf, final)
        return self.weights_k_per_s @ (1 / self.rates_per_s)

    def at(self, place: int) -> "StepResponse":
        """Return the response of one place alone."""
        return StepResponse(rates_per_s=self.rates_per_s, weights_k_per_s=self.weights_k_per_s[place : place + 1])


def modes_of_row(diagonal: Array, beside: Array, mass: Array, source: Array) -> StepResponse:
    """Response of nodes in a row, each tied to its neighbours alone.

    ``mass`` dT/dt + K T = ``source`` with K of ``diagonal`` (nodes,) and ``beside`` (nodes - 1,), symmetric.
    """
    root = np.sqrt(mass)
    if mass.size == 0:
        return StepResponse(rates_per_s=np.zeros(0), weights_k_per_s=np.zeros((0, 0)))
    rates, vectors = eigh_tridiagonal(diagonal / mass, beside / (root[1:] * root[:-1]))
    return _response(rates, vectors, root, source)


def modes_of_network(conductances: Array, mass: Array, source: Array) -> StepResponse:
    """Response of bodies tied to one another: ``mass`` dT/dt + ``conductances`` T = ``source``, symmetric."""
    root = np.sqrt(mass)
    rates, vectors = np.linalg.eigh(conductances / np.outer(root, root))
    return _response(rates, vectors, root, source)


def _response(rates: Array, vectors: Array, root: Array, source: Array) -> StepResponse:
    if rates.min() < -1e-9 * rates.max():
        raise OutsideModelError("a conductance is negative: the bodies would warm by themselves")
    weights = vectors / root[:, None] * (vectors.T @ (source / root))
    rates = np.where(rates > 1e-14 * rates.max(), rates, 0.0)
    return StepResponse(rates_per_s=rates, weights_k_per_s=weights)


def _grown(rates: Array, times: Array) -> Array:
    """(1 - exp(-rate t)) / rate, and t where the rate is 0."""
    still = rates <= 0
    return np.where(still, times, -np.expm1(-rates * times) / np.where(still, 1.0, rates))
