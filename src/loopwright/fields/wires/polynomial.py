"""The polynomial that carries port impedances over a band.

Open-port impedances vary slowly, whatever the capacitors will do later, so a few samples describe a band; admittances
do not, and the same samples of them serve hundreds of times worse.
"""

from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.ground.errors import OutsideModelError

__all__ = ["interpolate", "refuse_resonance_in_band", "sample_frequencies_hz"]

#: Rounding allowance at the ends of the band, as a fraction of the frequency.
END_ALLOWANCE = 1e-12

#: A sample that the polynomial through all others misses by this much of the largest impedance tells of a pole: of
#: three samples, which bend leaves off by a few per cent, and of more.
LARGEST_MISS_OF_THREE, LARGEST_MISS = 0.1, 0.01
#: A smaller miss does where the reactance falls as well, by this much of its largest change between two samples.
SMALL_MISS, LARGEST_FALL = 1e-3, 0.01


def sample_frequencies_hz(frequency_hz: float, *, band_fraction: float, frequency_count: int) -> NDArray[np.float64]:
    """Frequencies at which a band is sampled: its middle, its ends, and others where the polynomial wants them.

    Parameters
    ----------
    frequency_hz : float
        Middle of the band. [Hz]
    band_fraction : float
        The band reaches this fraction of the frequency to either side.
    frequency_count : int
        How many; odd.

    Returns
    -------
    ndarray, shape (frequency_count,)
        Rising frequencies, at the extrema of a Chebyshev polynomial. [Hz]

    Raises
    ------
    OutsideModelError
        If the count is even or the band reaches zero frequency.
    """
    if frequency_count < 1 or frequency_count % 2 == 0:
        raise OutsideModelError(f"frequency_count = {frequency_count} must be odd, so that f0 is one of the samples")
    if not 0 < band_fraction < 1:
        raise OutsideModelError(f"band_fraction = {band_fraction:g} must lie between 0 and 1")
    if frequency_count == 1:
        return np.array([frequency_hz], dtype=np.float64)
    place = -np.cos(pi * np.arange(frequency_count) / (frequency_count - 1))
    place[frequency_count // 2] = 0.0  # so that the middle is the given frequency to the last digit
    return np.asarray(frequency_hz * (1 + band_fraction * place))


def interpolate(
    frequencies_hz: NDArray[np.float64], samples: NDArray[np.complex128], frequency_hz: ArrayLike
) -> NDArray[np.complex128]:
    """Evaluate the polynomial through samples, by Lagrange's form.

    Parameters
    ----------
    frequencies_hz : ndarray, shape (F,)
        Sampled frequencies, rising. [Hz]
    samples : ndarray, shape (F, ...)
        Values there.
    frequency_hz : array_like, shape (K...)
        Where the values are wanted. [Hz]

    Returns
    -------
    ndarray, shape (K..., ...)
        Interpolated values.

    Raises
    ------
    OutsideModelError
        Outside the sampled band.
    """
    wanted = np.asarray(frequency_hz, dtype=np.float64)
    low, high = frequencies_hz[0] * (1 - END_ALLOWANCE), frequencies_hz[-1] * (1 + END_ALLOWANCE)
    if np.any((wanted < low) | (wanted > high)):
        raise OutsideModelError(
            f"the network was solved from {low / 1e6:.3f} to {high / 1e6:.3f} MHz; "
            "ask inside that band or solve a wider one"
        )
    weights = np.stack([_lagrange_weight(frequencies_hz, i, wanted) for i in range(len(frequencies_hz))], axis=-1)
    return np.asarray(np.tensordot(weights, samples, axes=1), dtype=np.complex128)


def _lagrange_weight(nodes: NDArray[np.float64], i: int, wanted: NDArray[np.float64]) -> NDArray[np.float64]:
    others = np.delete(nodes, i)
    return np.asarray(np.prod((wanted[..., None] - others) / (nodes[i] - others), axis=-1))


def refuse_resonance_in_band(frequencies_hz: NDArray[np.float64], impedance_ohm: NDArray[np.complex128]) -> None:
    """Refuse samples between which the open conductors have a resonance of their own, which no polynomial follows.

    Parameters
    ----------
    frequencies_hz : ndarray, shape (F,)
        Sampled frequencies, rising. [Hz]
    impedance_ohm : ndarray, shape (F, P, P)
        Port impedance there. [ohm]

    Raises
    ------
    OutsideModelError
        If one sample is not what the others say. Fewer than three tell nothing.

    Notes
    -----
    Away from poles the reactance matrix of conductors that lose little rises with frequency, every quadratic form of it
    (Foster's theorem); across a pole it falls.
    """
    inner = range(1, len(frequencies_hz) - 1)
    if not inner:
        return
    miss = max(_miss(frequencies_hz, impedance_ohm, number) for number in inner)
    rises = np.linalg.eigvalsh(np.diff(impedance_ohm, axis=0).imag)
    falls = bool(np.any(rises[:, 0] < -LARGEST_FALL * np.abs(rises).max(axis=1)))
    allowed = LARGEST_MISS_OF_THREE if len(frequencies_hz) == 3 else LARGEST_MISS
    if miss > allowed or (falls and miss > SMALL_MISS):
        low, high = frequencies_hz[0] / 1e6, frequencies_hz[-1] / 1e6
        raise OutsideModelError(
            f"the conductors with their gaps open have a resonance of their own in or near {low:.1f} to {high:.1f} "
            f"MHz: an impedance differs from what its neighbours in frequency say by {miss:.1g} times the largest. Two "
            "conductors that run close together with gaps in different places do that. Move them apart, turn one so "
            "that the gaps lie together, or take a smaller `computation.band_fraction`"
        )


def _miss(frequencies_hz: NDArray[np.float64], samples: NDArray[np.complex128], number: int) -> float:
    """How far one sample lies from the polynomial through all others, over its largest entry."""
    others = np.delete(np.arange(len(frequencies_hz)), number)
    told = interpolate(frequencies_hz[others], samples[others], frequencies_hz[number])
    return float(np.abs(told - samples[number]).max() / np.abs(samples[number]).max())
