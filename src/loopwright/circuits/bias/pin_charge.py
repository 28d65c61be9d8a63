r"""The charge in a PIN diode: what resistance it makes, what it holds against, and how long it takes to go.

A forward current I stores :math:`Q = I\tau` in the undoped layer; the radio-frequency current only moves that charge to
and fro. From this one balance follow the resistance, the largest radio-frequency current that does not run the layer
empty, and the time it takes to empty it on purpose.

References
----------
G. Hiller and R. H. Caverly, Distortion in p-i-n diode control circuits, IEEE Trans. Microwave Theory Tech. 35,
492-501 (1987): charge balance, from memory. R. H. Caverly and G. Hiller, Establishing the minimum reverse bias for a
p-i-n diode in a high-power switch, IEEE Trans. Microwave Theory Tech. 38, 1938-1943 (1990): abstract read.
"""

from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = [
    "forward_resistance_of_layer_ohm",
    "held_current_a",
    "lowest_frequency_hz",
    "recovery_time_s",
    "reverse_voltage_needed_v",
]

Floats = NDArray[np.float64]

#: Sum of the mobilities of electrons and holes in lightly doped silicon. [m^2/(V s)]
_MOBILITIES = 0.18
#: One carrier's mobility at low field, and the speed at which it saturates; both from the formula cited below. [SI]
_CARRIER_MOBILITY, _SATURATED_M_PER_S = 0.071, 1.0e5
#: Frequency times width squared below which carriers cross the layer within a period. [m^2/s]
_CROSSING_M2_PER_S = 1.3e-3


def forward_resistance_of_layer_ohm(
    current_a: ArrayLike, *, layer_m: ArrayLike, carrier_lifetime_s: ArrayLike
) -> Floats:
    """Radio-frequency resistance that the stored charge gives the undoped layer.

    Parameters
    ----------
    current_a : array_like, shape (...)
        Forward current. [A]
    layer_m : array_like, shape (...)
        Width of the layer. [m]
    carrier_lifetime_s : array_like, shape (...)
        Lifetime. [s]

    Returns
    -------
    ndarray, shape (...)
        W^2 / ((mu_n + mu_p) I tau), without contacts and leads, which a measured resistance holds. [ohm]

    Notes
    -----
    mu_n + mu_p = 0.18 m^2/(V s), lightly doped silicon near room temperature (from memory). Holds above
    :func:`lowest_frequency_hz`.
    """
    charge_c = np.asarray(current_a, dtype=np.float64) * np.asarray(carrier_lifetime_s)
    return np.asarray(np.asarray(layer_m) ** 2 / (_MOBILITIES * charge_c))


def held_current_a(
    forward_current_a: ArrayLike, *, carrier_lifetime_s: ArrayLike, frequency_hz: ArrayLike, reserve: float = 1.0
) -> Floats:
    """Largest radio-frequency current under which a forward bias keeps the diode conducting.

    Parameters
    ----------
    forward_current_a : array_like, shape (...)
        Bias current. [A]
    carrier_lifetime_s : array_like, shape (...)
        Lifetime. [s]
    frequency_hz : array_like, shape (...)
        Frequency. [Hz]
    reserve : float
        How many times the charge of a half-wave the bias shall store.

    Returns
    -------
    ndarray, shape (...)
        Peak. The bias stores I tau; a half-wave of amplitude A carries 2 A / omega, so A = pi f I tau / reserve. [A]

    Notes
    -----
    Beyond it the layer would be emptied within a half-wave and the diode would rectify and heat. The charge balance is
    from the reference above (from memory); the reserve that a design keeps is the engineer's: the balance says where
    conduction ends, not where it is linear. Without recombination within a period, that is for f tau >> 1.
    """
    charge_c = np.asarray(forward_current_a, dtype=np.float64) * np.asarray(carrier_lifetime_s)
    return np.asarray(pi * np.asarray(frequency_hz) * charge_c / reserve)


def lowest_frequency_hz(layer_m: ArrayLike, *, carrier_lifetime_s: ArrayLike) -> Floats:
    """Frequency well above which a PIN diode is a resistor that the bias sets.

    Parameters
    ----------
    layer_m : array_like, shape (...)
        Width of the undoped layer. [m]
    carrier_lifetime_s : array_like, shape (...)
        Lifetime. [s]

    Returns
    -------
    ndarray, shape (...)
        The greater of 1 / (2 pi tau), below which charge recombines within a period, and 1300 MHz over the square of
        the width in micrometres, below which carriers cross the layer within one (rule of the trade, from memory).
        [Hz]
    """
    recombining_hz = 1 / (2 * pi * np.asarray(carrier_lifetime_s, dtype=np.float64))
    return np.maximum(recombining_hz, _CROSSING_M2_PER_S / np.asarray(layer_m) ** 2)


def reverse_voltage_needed_v(rf_voltage_v: ArrayLike, *, layer_m: ArrayLike, frequency_hz: ArrayLike) -> Floats:
    r"""Least reverse bias that keeps a diode off under a continuous radio-frequency voltage.

    Parameters
    ----------
    rf_voltage_v : array_like, shape (...)
        Peak voltage across the diode, above zero. [V]
    layer_m : array_like, shape (...)
        Width of the undoped layer. [m]
    frequency_hz : array_like, shape (...)
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (...)
        :math:`\hat V / \sqrt{1 + (\pi f W / v)^2}`, never more than the peak. [V]

    Notes
    -----
    Caverly and Hiller show that the bias needed equals the voltage that the diode would make of the radio-frequency
    voltage by itself (abstract read). Their expression is given from memory: v is the speed of carriers in the field
    V / W, ``2 mu E / (1 + sqrt(1 + (2 mu E / v_s)^2))``, with mu = 0.071 m^2/(V s) and v_s = 1e5 m/s, the values that
    its printed coefficients amount to. Take it as a guide, and the peak voltage as the bound that needs no model.
    """
    voltage, width = np.asarray(rf_voltage_v, dtype=np.float64), np.asarray(layer_m)
    drift = 2 * _CARRIER_MOBILITY * voltage / width
    speed = drift / (1 + np.sqrt(1 + (drift / _SATURATED_M_PER_S) ** 2))
    return np.asarray(voltage / np.hypot(1, pi * np.asarray(frequency_hz) * width / speed))


def recovery_time_s(
    forward_current_a: ArrayLike, *, reverse_current_a: ArrayLike, carrier_lifetime_s: ArrayLike
) -> Floats:
    """Time from the switching of the driver to a diode without charge.

    Parameters
    ----------
    forward_current_a, reverse_current_a : array_like, shape (...)
        Current before the switching, and the current that the driver then draws the other way. [A]
    carrier_lifetime_s : array_like, shape (...)
        Lifetime. [s]

    Returns
    -------
    ndarray, shape (...)
        tau ln(1 + IF / IR), from dQ/dt = -Q / tau - IR. [s]

    Notes
    -----
    The form printed at ISMRM 2019, abstract 1559 (read), where less forward and more reverse current brought tuning
    below 1 us. The reverse current is taken as constant while charge lasts; chokes and the driver's own delay add.
    """
    ratio = np.asarray(forward_current_a, dtype=np.float64) / np.asarray(reverse_current_a)
    return np.asarray(np.asarray(carrier_lifetime_s) * np.log1p(ratio))
