"""What no array can beat: the best combination of all sources of a shell, unaccelerated and accelerated.

The modes of a source shell are one large array without conductor loss. Its optimum combination bounds that of every
array whose fields they span, and with their whitened sensitivities in place of the array's the same SENSE formula tells
the ultimate accelerated SNR (Wiesinger, Boesiger, Pruessmann 2004; Ohliger, Grant, Sodickson 2003).
"""

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cholesky, solve_triangular

from loopwright.fields.source_reply import SourceReply
from loopwright.imaging.reception import reception_field_t_per_a

__all__ = ["FLOOR", "sound_modes"]

Complex = NDArray[np.complex128]

#: Least noise resistance of a combination of modes, each of unit noise resistance, that still counts.
FLOOR = 1e-5


def sound_modes(reply: SourceReply, *, reception_sign: int, modes: int, floor: float = FLOOR) -> tuple[Complex, Complex]:
    """Sensitivities of independent channels of unit noise resistance."""
    first = np.arange(modes)
    loops = np.arange(reply.modes, len(reply.noise_resistance_ohm))
    size = 1 / np.sqrt(np.diag(reply.noise_resistance_ohm).real)
    noise = reply.noise_resistance_ohm * size[:, None] * size[None, :]
    signal = reception_field_t_per_a(reply.transverse_field_t, reception_sign=reception_sign) * size[:, None]
    white, left_noise, left_signal = _apart_from(noise, signal, loops, first)
    values, vectors = np.linalg.eigh((left_noise + left_noise.conj().T) / 2)
    kept = values > floor
    rest = (vectors[:, kept].conj().T @ left_signal) / np.sqrt(values[kept])[:, None]
    return white, rest


def _apart_from(
    noise: Complex, signal: Complex, loops: NDArray[np.intp], modes: NDArray[np.intp]
) -> tuple[Complex, Complex, Complex]:
    """Whitened loops, and what the modes have beyond them."""
    if not len(loops):
        return signal[loops], noise[np.ix_(modes, modes)], signal[modes]
    factor = cholesky(noise[np.ix_(loops, loops)], lower=True)
    white = solve_triangular(factor, signal[loops], lower=True)
    shared = solve_triangular(factor, noise[np.ix_(loops, modes)], lower=True)
    return white, noise[np.ix_(modes, modes)] - shared.conj().T @ shared, signal[modes] - shared.conj().T @ white
