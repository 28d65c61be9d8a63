"""The array as it receives: its circuits and receivers in place, its noise by what makes it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eigh

from loopwright.circuits.array_circuit import ArrayState, array_state
from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.receivers.amplifier_noise import STANDARD_TEMPERATURE_K, InputNoise
from loopwright.circuits.receivers.receiver_noise import (
    conductor_noise_v2_per_hz,
    from_input_noise_v2_per_hz,
    part_noise_v2_per_hz,
    receiver_noises,
    seen_figure_db,
)
from loopwright.circuits.receivers.receiving_waves import received_waves
from loopwright.circuits.states import ElementState, Plug
from loopwright.circuits.tuned.noise import (
    NoiseTemperatures,
    RadiationInNoise,
    RadiationOutsideNoise,
    noise_correlation,
)
from loopwright.circuits.wiring import ElementCircuit
from loopwright.fields.body import BodyReply
from loopwright.fields.wires import PortNetwork
from loopwright.ground.constants import BOLTZMANN_J_PER_K

__all__ = ["BODY", "CONDUCTORS", "RADIATION", "RECEIVERS", "ReceivingArray", "kept_snr", "receive"]

Complexes = NDArray[np.complex128]
Floats = NDArray[np.float64]

#: Names of the origins of noise that are no parts.
BODY, CONDUCTORS, RADIATION, RECEIVERS = "body", "conductors", "radiation", "receivers"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceivingArray:
    """The array on a body, received through its circuits; all per current (peak) put into a channel.

    By reciprocity, port_current transposed is what a voltage induced in an open gap leaves across a receiver, and the
    field per current into a channel is the signal there.

    Attributes
    ----------
    state : ArrayState
    temperatures : NoiseTemperatures
    node_current : ndarray, shape (N, C)
        Conductor currents, without the body's back-action on their spread. [A/A]
    loop_current : ndarray, shape (E, C)
        Mean current of each loop. [A/A]
    body_source_current : ndarray, shape (S, C)
        Amplitude of each source that the body was solved for. [A/A]
    noise_v2_per_hz : dict of str to ndarray, shape (C, C)
        Covariance of the voltages across the receivers by origin: body, conductors, radiation where it makes noise,
        every part by its name, receivers. One-sided, rms. [V^2/Hz]
    wave_noise_w_per_hz, wave_matrix : ndarray, shape (C, C)
        Covariance of the waves into the receivers, worked out with waves throughout, and those waves per voltage.
        [W/Hz], [ohm^-1/2]
    own_figure_db : ndarray, shape (C,)
        Noise figure of each receiver alone behind what it sees, source at 290 K. [dB]
    notes : tuple of str
    """

    state: ArrayState
    temperatures: NoiseTemperatures
    node_current: Complexes
    loop_current: Complexes
    body_source_current: Complexes
    noise_v2_per_hz: dict[str, Complexes]
    wave_noise_w_per_hz: Complexes
    wave_matrix: Complexes
    own_figure_db: Floats
    notes: tuple[str, ...]

    def _sum(self, names: Sequence[str]) -> Complexes:
        return np.asarray(sum(self.noise_v2_per_hz[name] for name in names), dtype=np.complex128)

    @property
    def port_current(self) -> Complexes:
        """Currents into the conductors at the gaps, (P, C). [A/A]"""
        return self.state.port_current

    @property
    def total_v2_per_hz(self) -> Complexes:
        """Covariance of all noise. [V^2/Hz]"""
        return self._sum(list(self.noise_v2_per_hz))

    @property
    def without_receivers_v2_per_hz(self) -> Complexes:
        """Covariance of all noise but that of the receivers. [V^2/Hz]"""
        return self._sum([name for name in self.noise_v2_per_hz if name != RECEIVERS])

    @property
    def bare_v2_per_hz(self) -> Complexes:
        """Covariance of the noise of body and conductors, and of radiation where it makes noise. [V^2/Hz]"""
        return self._sum([name for name in (BODY, CONDUCTORS, RADIATION) if name in self.noise_v2_per_hz])

    @property
    def weighted_resistance_k_ohm(self) -> Complexes:
        """Covariance of all noise over 4k. [K ohm]"""
        return self.total_v2_per_hz / (4 * BOLTZMANN_J_PER_K)

    @property
    def channel_figure_db(self) -> Floats:
        """Array noise figure of each channel: all its noise over that of the body alone. [dB]"""
        return _ratio_db(self.total_v2_per_hz, self.noise_v2_per_hz[BODY])

    @property
    def receivers_figure_db(self) -> Floats:
        """All noise of each channel over its noise without any receiver's, its own and those coupled in. [dB]"""
        return _ratio_db(self.total_v2_per_hz, self.without_receivers_v2_per_hz)

    @property
    def kept_snr(self) -> tuple[float, float]:
        """Least and most SNR that the best combination keeps of what body and conductors alone would leave."""
        return kept_snr(self.total_v2_per_hz, self.bare_v2_per_hz)

    @property
    def correlation(self) -> Complexes:
        """Noise correlation, receivers included, (C, C)."""
        return noise_correlation(self.total_v2_per_hz)

    @property
    def correlation_without_receivers(self) -> Complexes:
        """Noise correlation of all but the receivers' noise, (C, C)."""
        return noise_correlation(self.without_receivers_v2_per_hz)

    @property
    def forms_differ(self) -> float:
        """Largest relative difference of the covariance between voltages and waves: a check of the arithmetic."""
        waves = self.wave_matrix @ self.total_v2_per_hz @ self.wave_matrix.conj().T
        return float(np.max(np.abs(waves - self.wave_noise_w_per_hz)) / np.max(np.abs(waves)))


def _ratio_db(whole: Complexes, part: Complexes) -> Floats:
    with np.errstate(divide="ignore"):
        return np.asarray(10 * np.log10(np.diagonal(whole).real / np.diagonal(part).real), dtype=np.float64)


def kept_snr(noise: Complexes, ideal_noise: Complexes) -> tuple[float, float]:
    """SNR of the best combination over that with less noise, for the signals that lose most and least.

    Parameters
    ----------
    noise, ideal_noise : ndarray, shape (C, C)
        Covariances of one and the same signals.

    Returns
    -------
    (float, float)
        Square roots of the least and greatest s^H N^-1 s / s^H N_ideal^-1 s over all signals s.
    """
    share = eigh(ideal_noise, noise, eigvals_only=True)
    return float(np.sqrt(max(share[0], 0))), float(np.sqrt(share[-1]))


def receive(
    ports: ArrayPorts,
    circuits: Sequence[ElementCircuit],
    states: Sequence[ElementState],
    *,
    network: PortNetwork,
    reply: BodyReply,
    reference_ohm: float = 50.0,
) -> ReceivingArray:
    """Receive with an array through its circuits.

    Parameters
    ----------
    ports : ArrayPorts
        The open gaps, body included.
    circuits : sequence of ElementCircuit
        One for each element.
    states : sequence of ElementState
        One for each element; plugs that are out make channels of open ends, without receiver noise.
    network : PortNetwork
        The conductors that the ports are of.
    reply : BodyReply
        What the body does to them.
    reference_ohm : float
        Of the waves. [ohm]

    Returns
    -------
    ReceivingArray

    Raises
    ------
    OutsideModelError
        If the circuits do not fit the ports, or noise parameters contradict each other.
    """
    f, unplugged = ports.frequency_hz, np.zeros(len(circuits))
    state = array_state(ports.at_operation_ohm, circuits, states, frequency_hz=f)
    openly = array_state(ports.at_operation_ohm, circuits, states, frequency_hz=f, receiver_siemens=unplugged)
    noise = receiver_noises(circuits, states)
    open_noise = sum(_without_receivers(openly, ports).values())
    waves, per_voltage = received_waves(
        openly.channel_ohm,
        open_noise_v2_per_hz=np.asarray(open_noise),
        circuits=circuits,
        states=states,
        reference_ohm=reference_ohm,
    )
    x = state.port_current
    return ReceivingArray(
        state=state,
        temperatures=ports.temperatures,
        node_current=network.node_current @ x,
        loop_current=network.mean_loop_current @ x,
        body_source_current=reply.source_per_port_current @ x,
        noise_v2_per_hz=_without_receivers(state, ports) | {RECEIVERS: from_input_noise_v2_per_hz(state, noise)},
        wave_noise_w_per_hz=waves,
        wave_matrix=per_voltage,
        own_figure_db=seen_figure_db(state, noise, temperature_k=STANDARD_TEMPERATURE_K),
        notes=_notes(circuits, states, noise),
    )


def _without_receivers(state: ArrayState, ports: ArrayPorts) -> dict[str, Complexes]:
    coil_k, split = ports.temperatures.coil_temperature_k, ports.resistances
    weighted = {BODY: ports.temperatures.body_temperature_k * split.body_ohm, CONDUCTORS: coil_k * split.conductor_ohm}
    match ports.temperatures.radiation:
        case RadiationInNoise(wall_temperature_k=wall_k):
            weighted[RADIATION] = wall_k * split.radiation_ohm
        case RadiationOutsideNoise():
            pass
    found = {name: conductor_noise_v2_per_hz(state, value) for name, value in weighted.items()}
    return found | part_noise_v2_per_hz(state, temperature_k=coil_k)


def _notes(circuits: Sequence[ElementCircuit], states: Sequence[ElementState], noise: InputNoise) -> tuple[str, ...]:
    silent = [
        str(channel + 1)
        for channel, (circuit, state) in enumerate(zip(circuits, states, strict=True))
        if state.plug is Plug.IN and circuit.receiver.noise is None
    ]
    notes = ["Noise of what follows a preamplifier is not counted: it is small while the gain is high."]
    if silent:
        notes.append(f"Receivers {', '.join(silent)}: no noise parameters were given, so they make no noise here.")
    if np.any(noise.voltage_v2_per_hz):
        notes.append("Noise parameters are taken as those at the operating frequency; measure them there.")
    return tuple(notes)
