r"""Crossed diodes where the wave clips: voltage and current at the fundamental, harmonics in their own surroundings.

Behind the inductor of a trap the current is near a sinusoid and the voltage near a square wave; beside a capacitor it
is the other way round. What the circuit is at the harmonics decides. With :math:`Z_k` the impedance that the pair sees
at the k-th harmonic, v its junction voltage over one period and g(v) the exponential law, the balance

.. math:: v + M g(v) = e,\qquad M_k = 1 / (1 / (Z_k + R_s) + j k \omega C)

holds at every instant. Z is passive and g rises, so there is one solution. It is sought in a = v + r g, of which v and
r g are functions that nowhere fall nor rise faster than a itself: no exponential is left in Newton's steps.

References
----------
M. S. Nakhla and J. Vlach, A piecewise harmonic balance technique for determination of periodic response of nonlinear
systems, IEEE Trans. Circuits Syst. 23, 85-91 (1976): from memory.
"""

from dataclasses import dataclass, replace
from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import CubicSpline

from loopwright.circuits.bias.crossed_diodes import CrossedDiodes
from loopwright.ground.errors import NotConvergedError

__all__ = ["HARMONICS", "ClampedPairs", "clamped_pairs", "of_some"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Times per half period; crossed diodes are alike, so the other half is its negative and even harmonics vanish.
_TIMES = 32
#: Odd harmonics that so many times tell apart.
HARMONICS = np.arange(1, _TIMES, 2)
#: Behind it the curve is told: any resistance gives the same curve, one of the size of the circuits the best spaced.
_BEHIND_OHM = 50.0
#: Up to so much current, and so many places of the source for every tenfold.
_GREATEST_A, _PER_DECADE = 300.0, 24
#: The weakest source, over the voltage of an e-fold: linear to 1e-7.
_WEAKEST = 1e-3
_TOLERANCE, _STEPS = 1e-11, 60


@dataclass(frozen=True, slots=True, kw_only=True)
class ClampedPairs:
    """Curves of N pairs, each in its own surroundings, over the wave w = V + R I of the fundamental at its terminals.

    Attributes
    ----------
    behind_ohm : float
        R. [ohm]
    greatest_v : float
        Wave up to which the curves are known: hundreds of amperes. [V]
    curves : CubicSpline
        Logarithms of V / w and R I / w over that of the amplitude of w, shape (..., 2, N).
    weakest_v : float
        Below it the pairs are linear. [V]
    """

    behind_ohm: float
    greatest_v: float
    weakest_v: float
    curves: CubicSpline

    def shares(self, wave_v: ArrayLike) -> tuple[Complexes, Complexes]:
        """Parts of the wave that are voltage and R times current, and how they change.

        Parameters
        ----------
        wave_v : array_like, shape (N,)
            Amplitude of each pair's wave, peak. [V]

        Returns
        -------
        shares, slopes : ndarray, shape (2, N)
            V / w and R I / w; the derivatives of both by the logarithm of the amplitude. Beyond ``greatest_v`` as
            there: a step of a search may fall there, a state may not.
        """
        amplitude = np.asarray(wave_v, dtype=np.float64)
        at = np.log(np.clip(amplitude, self.weakest_v, self.greatest_v))
        curved = (amplitude > self.weakest_v) & (amplitude < self.greatest_v)
        pair = np.arange(amplitude.shape[-1])
        both = np.moveaxis(self.curves(at)[pair, :, pair], 0, -1), np.moveaxis(self.curves(at, 1)[pair, :, pair], 0, -1)
        shares = np.exp(both[0])
        return shares, np.where(curved, shares * both[1], 0.0)


def of_some(curves: ClampedPairs, pairs: slice) -> ClampedPairs:
    """The curves of some of the pairs alone."""
    told = curves.curves
    return replace(curves, curves=CubicSpline.construct_fast(told.c[..., pairs], told.x))


def clamped_pairs(laws: tuple[CrossedDiodes, ...], harmonic_ohm: ArrayLike, *, frequency_hz: float) -> ClampedPairs:
    """Balance pairs of crossed diodes from a source far too weak to open them up to hundreds of amperes.

    Parameters
    ----------
    laws : tuple of CrossedDiodes
        Of each of N pairs.
    harmonic_ohm : array_like, shape (H, N)
        What each pair sees at the harmonics 3, 5, ... of ``HARMONICS``; its real part must not be negative. [ohm]
    frequency_hz : float
        Fundamental. [Hz]

    Returns
    -------
    ClampedPairs

    Raises
    ------
    NotConvergedError
        If a balance stops short of 1e-11 of its source.
    """
    balance = _balance(laws, np.asarray(harmonic_ohm, dtype=np.complex128), frequency_hz)
    low_v, high_v = _WEAKEST * float(balance.scale_v.min(initial=1.0)), _BEHIND_OHM * _GREATEST_A
    sources_v = np.geomspace(low_v, high_v, 1 + int(np.ceil(_PER_DECADE * np.log10(high_v / low_v))))
    wave, before_v = np.zeros((len(laws), _TIMES)), low_v
    told = np.empty((len(sources_v), 2, len(laws)), dtype=np.complex128)
    for place, source_v in enumerate(sources_v):
        wave = _solved(wave * source_v / before_v, source_v, balance)
        before_v = source_v
        told[place] = _terminals_v(wave, balance) / source_v
    return ClampedPairs(
        behind_ohm=_BEHIND_OHM,
        greatest_v=high_v,
        weakest_v=low_v,
        curves=CubicSpline(np.log(sources_v), np.log(np.abs(told)) + 1j * np.unwrap(np.angle(told), axis=0)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Balance:
    """N pairs in their surroundings; M as a matrix over the times of half a period, shape (N, T, T). [ohm]"""

    across_ohm: Floats
    driven: Floats
    twice_a: Floats
    scale_v: Floats
    series_ohm: Floats
    capacitance_siemens: Floats


def _balance(laws: tuple[CrossedDiodes, ...], harmonic_ohm: Complexes, frequency_hz: float) -> _Balance:
    def of_each(name: str) -> Floats:
        return np.array([getattr(law, name) for law in laws], dtype=np.float64)

    w = 2 * pi * frequency_hz
    series = of_each("series_resistance_ohm")
    behind = np.concatenate((np.full((1, len(laws)), _BEHIND_OHM + 0j), harmonic_ohm)) + series
    siemens = 1 / behind + 1j * w * HARMONICS[:, None] * of_each("junction_capacitance_f")
    turns = np.exp(1j * HARMONICS * pi / _TIMES * np.arange(_TIMES)[:, None])  # (T, H), with no sample at an end twice
    across = np.einsum("th,hn,sh->nts", turns, 1 / siemens, turns.conj()).real * 2 / _TIMES
    return _Balance(
        across_ohm=across,
        driven=(turns[:, 0] / (behind[0] * siemens[0])[:, None]).real,
        twice_a=2 * of_each("saturation_current_a")[:, None],
        scale_v=of_each("scale_v")[:, None],
        series_ohm=series,
        capacitance_siemens=w * of_each("junction_capacitance_f"),
    )


def _solved(wave_v: Floats, source_v: float, balance: _Balance) -> Floats:
    """Wave a = v + r g over half a period, shape (N, T), r being ``_BEHIND_OHM``; Newton's method, damped. [V]"""
    missing, slope = _missing(wave_v, source_v, balance)
    for _ in range(_STEPS):
        size = np.abs(missing).max(axis=-1)
        if np.all(size <= _TOLERANCE * source_v):
            return wave_v
        step = np.linalg.solve(slope, missing[..., None])[..., 0]
        part = np.ones((len(wave_v), 1))
        for _ in range(30):
            tried = wave_v - part * step
            left, slope = _missing(tried, source_v, balance)
            worse = (np.abs(left).max(axis=-1) > size) & (size > _TOLERANCE * source_v)
            if not worse.any():
                break
            part[worse] /= 2
        wave_v, missing = tried, left
    raise NotConvergedError(
        f"crossed diodes behind {source_v:.3g} V: the balance of harmonics is left with {size.max():.2g} V after "
        f"{_STEPS} steps of Newton's method"
    )


def _missing(wave_v: Floats, source_v: float, balance: _Balance) -> tuple[Floats, Floats]:
    """What the balance lacks, shape (N, T), and its derivative by the wave, shape (N, T, T)."""
    junction_v, rises = _junction(wave_v, balance)
    across = balance.across_ohm / _BEHIND_OHM
    missing = junction_v + (across @ (wave_v - junction_v)[..., None])[..., 0] - source_v * balance.driven
    return missing, across * (1 - rises)[:, None, :] + rises[..., None] * np.eye(_TIMES)


def _junction(wave_v: Floats, balance: _Balance) -> tuple[Floats, Floats]:
    """Junction voltage of a = v + 2 r Is sinh(v / nVT), and dv/da; both bounds lie above, where Newton's steps fall."""
    size, scale, full_v = np.abs(wave_v), balance.scale_v, _BEHIND_OHM * balance.twice_a
    v = np.minimum(size, scale * np.arcsinh(size / full_v))
    for _ in range(50):
        excess = v + full_v * np.sinh(v / scale) - size
        step = excess / (1 + full_v / scale * np.cosh(v / scale))
        v = np.maximum(v - step, 0.0)
        if np.all(np.abs(step) <= 1e-15 * size + 1e-300):
            break
    return np.copysign(v, wave_v), 1 / (1 + full_v / scale * np.cosh(v / scale))


def _terminals_v(wave_v: Floats, balance: _Balance) -> Complexes:
    """Fundamentals of the voltage at the terminals and of R times the current, shape (2, N). [V]"""
    junction_v, _ = _junction(wave_v, balance)
    turn = 2 / _TIMES * np.exp(-1j * pi / _TIMES * np.arange(_TIMES))
    across_v = junction_v @ turn
    current = (wave_v - junction_v) @ turn / _BEHIND_OHM + 1j * balance.capacitance_siemens * across_v
    return np.stack((across_v + balance.series_ohm * current, _BEHIND_OHM * current))
