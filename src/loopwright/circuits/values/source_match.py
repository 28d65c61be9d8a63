"""How well a receiver likes the source that it sees."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.parts import NoiseParameters, Preamplifier

__all__ = ["noise_figure_loss_db", "noise_figure_losses_db", "source_reflection"]


def source_reflection(seen_ohm: ArrayLike, wanted_ohm: ArrayLike) -> NDArray[np.complex128]:
    """Reflection of a source against the one that is wanted.

    Parameters
    ----------
    seen_ohm, wanted_ohm : array_like, shape (...)
        Impedance of the source that is there, and of the wanted one, real part positive. [ohm]

    Returns
    -------
    ndarray, shape (...)
        (Z - W) / (Z + W*): nothing at the wanted source, of size one where no power could come.

    References
    ----------
    K. Kurokawa, Power waves and the scattering matrix, IEEE Trans. Microw. Theory Tech. 13, 194-202, 1965 (from
    memory).
    """
    seen, wanted = np.asarray(seen_ohm, dtype=np.complex128), np.asarray(wanted_ohm, dtype=np.complex128)
    return np.asarray((seen - wanted) / (seen + wanted.conj()))


def noise_figure_loss_db(seen_ohm: ArrayLike, noise: NoiseParameters) -> NDArray[np.float64]:
    """By how much the noise figure of an amplifier at a source exceeds its best.

    Parameters
    ----------
    seen_ohm : array_like, shape (...)
        Impedance of the source. [ohm]
    noise : NoiseParameters
        Of the amplifier.

    Returns
    -------
    ndarray, shape (...)
        10 log10(1 + Rn |Ys - Yopt|^2 / (Gs Fmin)), the source at 290 K. [dB]

    References
    ----------
    H. Rothe, W. Dahlke, Theory of noisy fourpoles, Proc. IRE 44, 811-818, 1956 (from memory).
    """
    admittance = 1 / np.asarray(seen_ohm, dtype=np.complex128)
    away = np.abs(admittance - 1 / np.asarray(noise.best_source_ohm)) ** 2
    least = 10 ** (np.asarray(noise.least_noise_figure_db) / 10)
    # log1p, so that a perfect source costs nothing, not a rounding error of either sign.
    return np.asarray(10 / np.log(10) * np.log1p(noise.noise_resistance_ohm * away / admittance.real / least))


def noise_figure_losses_db(receivers: Iterable[Preamplifier], seen_ohm: ArrayLike) -> NDArray[np.float64]:
    """By how much each receiver's noise figure exceeds its best.

    Parameters
    ----------
    receivers : iterable of Preamplifier
        One per channel.
    seen_ohm : array_like, shape (..., C)
        What each of them sees. [ohm]

    Returns
    -------
    ndarray, shape (..., C)
        Not a number where nobody told the noise. [dB]
    """
    pairs = zip(receivers, np.moveaxis(np.asarray(seen_ohm), -1, 0), strict=True)
    losses = [np.full(z.shape, np.nan) if one.noise is None else noise_figure_loss_db(z, one.noise) for one, z in pairs]
    return np.stack(losses, axis=-1)
