"""Noise at the receivers of an array in a state of its circuits, by what makes it.

All covariances are <u_i u_j*> of the voltages across the receivers, one-sided and rms, of shape (..., C, C) [V^2/Hz],
C channels. Dividing all of them, and the signals, by whatever follows a receiver changes no signal-to-noise ratio.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.array_circuit import ArrayState
from loopwright.circuits.node_voltages import PartPattern, part_patterns, voltages_per_injection_ohm
from loopwright.circuits.receivers.amplifier_noise import InputNoise, input_noise, noise_complaint
from loopwright.circuits.states import ElementState, Plug
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.constants import BOLTZMANN_J_PER_K
from loopwright.ground.errors import OutsideModelError

__all__ = [
    "conductor_noise_v2_per_hz",
    "from_input_noise_v2_per_hz",
    "part_noise_v2_per_hz",
    "receiver_noises",
    "seen_figure_db",
]

Complexes = NDArray[np.complex128]
Floats = NDArray[np.float64]


def conductor_noise_v2_per_hz(state: ArrayState, weighted_resistance_k_ohm: Complexes) -> Complexes:
    """Noise of conductors and body.

    Parameters
    ----------
    state : ArrayState
        State of the array.
    weighted_resistance_k_ohm : ndarray, shape (P, P)
        Temperature times resistance between the open gaps, in the order of the noise covariance. [K ohm]

    Returns
    -------
    ndarray, shape (..., C, C)
        4k X^T (sum T R) X*. [V^2/Hz]
    """
    x = state.port_current
    return np.asarray(4 * BOLTZMANN_J_PER_K * np.swapaxes(x, -1, -2) @ weighted_resistance_k_ohm @ x.conj())


def part_noise_v2_per_hz(state: ArrayState, *, temperature_k: float) -> dict[str, Complexes]:
    """Noise of the parts, those of one name in all elements together.

    Parameters
    ----------
    state : ArrayState
        State of the array.
    temperature_k : float
        Of all parts. [K]

    Returns
    -------
    dict of str to ndarray, shape (..., C, C)
        4kT V^T G V* with V the voltages across the part per current into the channels, G what it conducts. [V^2/Hz]

    References
    ----------
    R. Q. Twiss, Nyquist's and Thevenin's theorems generalized for nonreciprocal linear networks, J. Appl. Phys. 26,
    599-602, 1955 (from memory).
    """
    found: dict[str, Complexes] = {}
    for part in part_patterns(state, voltages_per_injection_ohm(state)):
        found[part.name] = found.get(part.name, 0) + 4 * BOLTZMANN_J_PER_K * temperature_k * _at_channels(part)
    return found


def _at_channels(part: PartPattern) -> Complexes:
    # Currents <j_k j_l*> go with G_kl; every element's part makes its own.
    return np.asarray(
        np.einsum(
            "...ekc,...ekl,...eld->...cd", part.voltage, part.conductance_siemens, part.voltage.conj(), optimize=True
        )
    )


def receiver_noises(circuits: Sequence[ElementCircuit], states: Sequence[ElementState]) -> InputNoise:
    """Noise of the receivers that are plugged in.

    Parameters
    ----------
    circuits : sequence of ElementCircuit
        One for each element.
    states : sequence of ElementState
        One for each element.

    Returns
    -------
    InputNoise
        Of shape (C,); nothing where the plug is out or no noise is known.

    Raises
    ------
    OutsideModelError
        If noise parameters contradict each other.
    """
    voltage, current, cross = (np.zeros(len(circuits), dtype=np.complex128) for _ in range(3))
    for channel, (circuit, state) in enumerate(zip(circuits, states, strict=True)):
        if state.plug is Plug.IN and circuit.receiver.noise is not None:
            complaint = noise_complaint(circuit.receiver.noise)
            if complaint:
                raise OutsideModelError(f"receiver {channel + 1}: {complaint}")
            one = input_noise(circuit.receiver.noise)
            voltage[channel], current[channel] = one.voltage_v2_per_hz, one.current_a2_per_hz
            cross[channel] = one.cross_w_per_hz
    return InputNoise(voltage_v2_per_hz=voltage.real, current_a2_per_hz=current.real, cross_w_per_hz=cross)


def from_input_noise_v2_per_hz(state: ArrayState, noise: InputNoise) -> Complexes:
    """Noise of the receivers, each also through the array into all others.

    Parameters
    ----------
    state : ArrayState
        State of the array, receivers in place.
    noise : InputNoise
        Of each receiver, shape (C,); different receivers are not correlated.

    Returns
    -------
    ndarray, shape (..., C, C)
        Covariance of (1 - ZY) e + Z i, Z what all receivers in place see and Y their admittances. [V^2/Hz]
    """
    per_current = state.channel_ohm
    per_voltage = np.eye(per_current.shape[-1]) - per_current * state.receiver_siemens[..., None, :]

    def spread(left: Complexes, value: ArrayLike, right: Complexes) -> Complexes:
        return (left * np.asarray(value)[..., None, :]) @ np.swapaxes(right, -1, -2).conj()

    crossed = spread(per_voltage, noise.cross_w_per_hz, per_current)
    return np.asarray(
        spread(per_voltage, noise.voltage_v2_per_hz, per_voltage)
        + spread(per_current, noise.current_a2_per_hz, per_current)
        + crossed
        + np.swapaxes(crossed, -1, -2).conj()
    )


def seen_figure_db(state: ArrayState, noise: InputNoise, *, temperature_k: float) -> Floats:
    """Noise figure of each receiver alone, behind what it sees of the array.

    Parameters
    ----------
    state : ArrayState
        State of the array.
    noise : InputNoise
        Of each receiver, shape (C,).
    temperature_k : float
        To which the source's noise is referred; noise figures are defined at 290 K. [K]

    Returns
    -------
    ndarray, shape (..., C)
        1 + <|e + Z i|^2> / (4kT Re Z), Z with all other receivers in place. [dB]
    """
    z = state.seen_ohm
    own = noise.voltage_v2_per_hz + np.abs(z) ** 2 * noise.current_a2_per_hz
    own = own + 2 * (z.conj() * noise.cross_w_per_hz).real
    return np.asarray(10 * np.log10(1 + own / (4 * BOLTZMANN_J_PER_K * temperature_k * z.real)))
