r"""Noise of an amplifier: as sources at its input, as waves, and as a figure for any source impedance.

The amplifier itself is then free of noise; a voltage e stands in series with its input and a current i across it, on
the side of the source. A source of impedance Z sees e + Z i beside its own noise.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.parts import NoiseParameters
from loopwright.ground.constants import BOLTZMANN_J_PER_K

__all__ = [
    "STANDARD_TEMPERATURE_K",
    "InputNoise",
    "WaveNoise",
    "input_noise",
    "noise_complaint",
    "noise_factor",
    "wave_noise",
]

Complexes = NDArray[np.complex128]
Floats = NDArray[np.float64]

#: Noise figures of amplifiers are told for sources at this temperature (IEEE standard definition). [K]
STANDARD_TEMPERATURE_K = 290.0
_4KT0_J = 4 * BOLTZMANN_J_PER_K * STANDARD_TEMPERATURE_K


@dataclass(frozen=True, slots=True, kw_only=True)
class InputNoise:
    """Sources at the input of an amplifier, one-sided and rms; shapes (...).

    Attributes
    ----------
    voltage_v2_per_hz : ndarray
        <e e*>. [V^2/Hz]
    current_a2_per_hz : ndarray
        <i i*>. [A^2/Hz]
    cross_w_per_hz : ndarray
        <e i*>, complex. [W/Hz]
    """

    voltage_v2_per_hz: Floats
    current_a2_per_hz: Floats
    cross_w_per_hz: Complexes


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveNoise:
    """Noise waves in front of an amplifier, as temperatures at a real reference; shapes (...).

    Attributes
    ----------
    towards_k : ndarray
        Of the wave that goes into the amplifier, <a a*> / k. [K]
    away_k : ndarray
        Of the wave that goes to the source, <b b*> / k. [K]
    cross_k : ndarray
        <a b*> / k, complex. [K]
    """

    towards_k: Floats
    away_k: Floats
    cross_k: Complexes


def _numbers(noise: NoiseParameters) -> tuple[Floats, Floats, Complexes]:
    """Excess of the least noise factor over one, noise resistance, best source."""
    excess = 10 ** (np.asarray(noise.least_noise_figure_db, dtype=np.float64) / 10) - 1
    return (
        excess,
        np.asarray(noise.noise_resistance_ohm, dtype=np.float64),
        np.asarray(noise.best_source_ohm, dtype=np.complex128),
    )


def noise_complaint(noise: NoiseParameters) -> str | None:
    """Say why no amplifier can have these noise parameters.

    Parameters
    ----------
    noise : NoiseParameters
        As given, for one amplifier.

    Returns
    -------
    str or None
        A sentence with the remedy; None where they hold together: Fmin >= 1, Rn > 0, a best source with resistance,
        and 4 Rn Re(1/Z_opt) >= Fmin - 1, without which e and i would be correlated by more than one.
    """
    excess, resistance_ohm = (float(value) for value in _numbers(noise)[:2])
    best_ohm = complex(_numbers(noise)[2])
    if excess < 0:
        return f"a noise figure of {noise.least_noise_figure_db:g} dB is below 0 dB: no amplifier removes noise"
    if not resistance_ohm > 0:
        return f"a noise resistance of {resistance_ohm:g} ohm must be greater than 0"
    if not best_ohm.real > 0:
        return f"the best source, {best_ohm:.4g} ohm, has no resistance"
    least_ohm = excess / (4 * (1 / best_ohm).real)
    if resistance_ohm < least_ohm * (1 - 1e-9):
        return (
            f"no amplifier has Fmin = {noise.least_noise_figure_db:g} dB, Rn = {resistance_ohm:g} ohm and a best "
            f"source of {best_ohm:.4g} ohm together: Rn must be at least (Fmin - 1) / (4 Re(1/Z_opt)) = "
            f"{least_ohm:.3g} ohm. Look whether Rn was given over 50 ohm, or Fmin as a factor"
        )
    return None


def noise_factor(noise: NoiseParameters, source_ohm: ArrayLike) -> Floats:
    r"""Noise factor of an amplifier behind a source.

    Parameters
    ----------
    noise : NoiseParameters
        Fields of shape (...) or numbers.
    source_ohm : array_like, shape (...)
        Impedance of the source, with resistance. [ohm]

    Returns
    -------
    ndarray, shape (...)
        Fmin + Rn |Y - Y_opt|^2 / Re Y, for a source at the standard temperature.

    References
    ----------
    H. Rothe, W. Dahlke, Theory of noisy fourpoles, Proc. IRE 44, 811-818, 1956 (from memory).
    """
    excess, resistance_ohm, best_ohm = _numbers(noise)
    y = 1 / np.asarray(source_ohm, dtype=np.complex128)
    return np.asarray(1 + excess + resistance_ohm * np.abs(y - 1 / best_ohm) ** 2 / y.real)


def input_noise(noise: NoiseParameters) -> InputNoise:
    """Noise sources at the input.

    Parameters
    ----------
    noise : NoiseParameters
        Fields of shape (...) or numbers.

    Returns
    -------
    InputNoise
        <e e*> = 4kT0 Rn, <i i*> = 4kT0 Rn |Y_opt|^2, <e i*> = 4kT0 ((Fmin - 1)/2 - Rn Y_opt*).

    References
    ----------
    Rothe and Dahlke 1956, as for the noise factor; H. A. Haus and others, Representation of noise in linear twoports,
    Proc. IRE 48, 69-74, 1960 (from memory).
    """
    excess, resistance_ohm, best_ohm = _numbers(noise)
    best_siemens = 1 / best_ohm
    return InputNoise(
        voltage_v2_per_hz=np.asarray(_4KT0_J * resistance_ohm),
        current_a2_per_hz=np.asarray(_4KT0_J * resistance_ohm * np.abs(best_siemens) ** 2),
        cross_w_per_hz=np.asarray(_4KT0_J * (excess / 2 - resistance_ohm * best_siemens.conj())),
    )


def wave_noise(noise: NoiseParameters, reference_ohm: float) -> WaveNoise:
    """Noise waves in front of an amplifier, got from its noise factor without a look at its sources.

    Parameters
    ----------
    noise : NoiseParameters
        Fields of shape (...) or numbers.
    reference_ohm : float
        Real reference of the waves. [ohm]

    Returns
    -------
    WaveNoise
        With t = 4 T0 Rn / (R |1 + G_opt|^2): Tmin + t |G_opt|^2, t - Tmin and -t G_opt.

    References
    ----------
    R. P. Meys, A wave approach to the noise properties of linear microwave devices, IEEE Trans. Microw. Theory Tech.
    26, 34-37, 1978 (from memory; the three terms are worked out here from the noise factor).
    """
    excess, resistance_ohm, best_ohm = _numbers(noise)
    best = (best_ohm - reference_ohm) / (best_ohm + reference_ohm)
    slope_k = 4 * STANDARD_TEMPERATURE_K * resistance_ohm / (reference_ohm * np.abs(1 + best) ** 2)
    least_k = STANDARD_TEMPERATURE_K * excess
    return WaveNoise(
        towards_k=np.asarray(least_k + slope_k * np.abs(best) ** 2),
        away_k=np.asarray(slope_k - least_k),
        cross_k=np.asarray(-slope_k * best),
    )
