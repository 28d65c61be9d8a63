"""The receiving array once more, worked out with waves: another way to the same covariance.

The array sends noise waves n and reflects by S; each receiver reflects by G and has waves a into it and b out of it. So
v = S (G v + b) + n + a goes into the receivers.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.receivers.amplifier_noise import wave_noise
from loopwright.circuits.states import ElementState, Plug
from loopwright.circuits.tuned.matching import noise_wave_matrix, scattering
from loopwright.circuits.tuned.noise import wave_covariance_w
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.constants import BOLTZMANN_J_PER_K

__all__ = ["received_waves"]

Complexes = NDArray[np.complex128]


def received_waves(
    source_ohm: Complexes,
    *,
    open_noise_v2_per_hz: Complexes,
    circuits: Sequence[ElementCircuit],
    states: Sequence[ElementState],
    reference_ohm: float,
) -> tuple[Complexes, Complexes]:
    """Noise waves into the receivers.

    Parameters
    ----------
    source_ohm : ndarray, shape (C, C)
        Impedance between the channels, all receivers away. [ohm]
    open_noise_v2_per_hz : ndarray, shape (C, C)
        Covariance of the noise voltages there, receivers away. [V^2/Hz]
    circuits : sequence of ElementCircuit
        One for each channel.
    states : sequence of ElementState
        One for each channel.
    reference_ohm : float
        Real reference of the waves. [ohm]

    Returns
    -------
    covariance_w_per_hz : ndarray, shape (C, C)
        Of the waves into the receivers. [W/Hz]
    wave_per_voltage : ndarray, shape (C, C)
        Those waves per voltage across the receivers. [ohm^-1/2]

    References
    ----------
    S. W. Wedge, D. B. Rutledge, Wave techniques for noise modeling and measurement, IEEE Trans. Microw. Theory Tech.
    40, 2004-2012, 1992 (abstract read).
    """
    reflection = np.array([_reflection(c, s, reference_ohm) for c, s in zip(circuits, states, strict=True)])
    towards, away, cross = _receiver_waves_w_per_hz(circuits, states, reference_ohm)
    s = scattering(source_ohm, reference_ohm)
    made = wave_covariance_w(open_noise_v2_per_hz, noise_wave_matrix(source_ohm, reference_ohm))
    made = made + np.diag(towards) + (s * away) @ s.conj().T
    crossed = np.diag(cross) @ s.conj().T
    through = np.linalg.inv(np.eye(len(s)) - s * reflection)
    covariance = through @ (made + crossed + crossed.conj().T) @ through.conj().T
    return covariance, np.diag(1 / (np.sqrt(reference_ohm) * (1 + reflection)))


def _reflection(circuit: ElementCircuit, state: ElementState, reference_ohm: float) -> complex:
    if state.plug is Plug.OUT:
        return 1.0 + 0.0j
    z = complex(circuit.receiver.input_ohm)
    return (z - reference_ohm) / (z + reference_ohm)


def _receiver_waves_w_per_hz(
    circuits: Sequence[ElementCircuit], states: Sequence[ElementState], reference_ohm: float
) -> tuple[Complexes, Complexes, Complexes]:
    found = np.zeros((3, len(circuits)), dtype=np.complex128)
    for channel, (circuit, state) in enumerate(zip(circuits, states, strict=True)):
        if state.plug is Plug.IN and circuit.receiver.noise is not None:
            waves = wave_noise(circuit.receiver.noise, reference_ohm)
            found[:, channel] = waves.towards_k, waves.away_k, waves.cross_k
    towards, away, cross = BOLTZMANN_J_PER_K * found
    return towards, away, cross
