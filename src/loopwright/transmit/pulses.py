"""Pulses of a sequence: what their shapes make of peak amplitude, flip angle and mean power.

A shape is b(t/T), one at its peak. Over the duration T it has the amplitude integral <b> and the power integral <b^2>:
a pulse of peak amplitude B1+ tips by gamma B1+ <b> T, and its mean power is <b^2> of that at the peak.
"""

from dataclasses import dataclass
from math import cos, pi

import numpy as np
from scipy.integrate import quad
from scipy.special import sici

from loopwright.ground.errors import OutsideModelError

__all__ = ["RECTANGLE", "PulseShape", "flip_angle_rad", "peak_b1_plus_t", "windowed_sinc"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PulseShape:
    """Means of a shape over its duration.

    Attributes
    ----------
    amplitude : float
        Mean of the amplitude over its peak, negative lobes taken off. [1]
    power : float
        Mean of its square. [1]
    """

    amplitude: float
    power: float


#: Constant amplitude.
RECTANGLE = PulseShape(amplitude=1.0, power=1.0)


def windowed_sinc(time_bandwidth: float) -> PulseShape:
    """Shape of a sinc under a Hann window.

    Parameters
    ----------
    time_bandwidth : float
        Duration times bandwidth n: sin(pi n t/T)/(pi n t/T) from -T/2 to T/2. [1]

    Returns
    -------
    PulseShape
        The mean amplitude in closed form by sine integrals, the mean power by adaptive quadrature, to 1e-10.

    Raises
    ------
    OutsideModelError
        If it is not positive.
    """
    n = time_bandwidth
    if not n > 0:
        raise OutsideModelError(f"time_bandwidth = {n:g} must be above 0")
    # sinc times 1/2 + cos(2 pi t/T)/2: the cosine moves the sine's frequency up and down by two half cycles.
    middle, up, down = (float(sici(pi * m / 2)[0]) for m in (n, n + 2, n - 2))
    power, _ = quad(lambda u: (np.sinc(n * u) * (1 + cos(2 * pi * u)) / 2) ** 2, 0, 0.5, epsabs=1e-12, limit=500)
    return PulseShape(amplitude=(middle + 0.5 * (up + down)) / (pi * n), power=2 * float(power))


def flip_angle_rad(peak_t: float, *, shape: PulseShape, duration_s: float, gyromagnetic_ratio_hz_per_t: float) -> float:
    """Flip angle of a pulse on resonance.

    Parameters
    ----------
    peak_t : float
        Largest amplitude of B1+. [T]
    shape : PulseShape
        Of its envelope.
    duration_s : float
        Of the pulse. [s]
    gyromagnetic_ratio_hz_per_t : float
        Over 2 pi; its sign does not matter. [Hz/T]

    Returns
    -------
    float
        Exact for spins on resonance, relaxation aside. [rad]
    """
    return 2 * pi * abs(gyromagnetic_ratio_hz_per_t) * peak_t * shape.amplitude * duration_s


def peak_b1_plus_t(
    angle_rad: float, *, shape: PulseShape, duration_s: float, gyromagnetic_ratio_hz_per_t: float
) -> float:
    """Largest amplitude of B1+ of a pulse that tips by an angle; the reverse of :func:`flip_angle_rad`.

    Parameters
    ----------
    angle_rad : float
        Flip angle on resonance. [rad]
    shape : PulseShape
        Of its envelope.
    duration_s : float
        Of the pulse. [s]
    gyromagnetic_ratio_hz_per_t : float
        Over 2 pi; its sign does not matter. [Hz/T]

    Returns
    -------
    float
        [T]
    """
    return angle_rad / flip_angle_rad(
        1.0, shape=shape, duration_s=duration_s, gyromagnetic_ratio_hz_per_t=gyromagnetic_ratio_hz_per_t
    )
