"""Would the measurements before a scan notice a fault: signal or noise of a channel far from what they were?"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.faults.cases import ArrayCase
from loopwright.circuits.receivers.receiver_noise import (
    conductor_noise_v2_per_hz,
    from_input_noise_v2_per_hz,
    part_noise_v2_per_hz,
    receiver_noises,
)
from loopwright.circuits.states import RECEIVING, AmplifierOff, CableBroken, ElementState, Plug, channel_siemens
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.sources import Flag, Source
from loopwright.transmit.finding import Finding, Told

__all__ = [
    "CHANGES_SOURCE",
    "NOTICED_NOISE",
    "NOTICED_SIGNAL_DB",
    "ReceivedChannels",
    "by_prescan",
    "received_channels",
]

Floats = NDArray[np.float64]

#: Change of a channel's signal for the same B1- that a prescan is taken to notice. [dB]
NOTICED_SIGNAL_DB = 3.0
#: Relative change of the standard deviation of a channel's noise that it is taken to notice.
NOTICED_NOISE = 0.2
#: Least change of a signal that is told; a channel may fall silent. [1]
_SILENT = 1e-6
#: Channels that hear less than this share of the loudest, such as loops that look along the magnet, are not compared by
#: signal: next to nothing changes by any factor.
_LEAST_HEARD = 0.01
#: Where both come from.
CHANGES_SOURCE = Source(
    key="",
    where="half of the power of a channel gone; noise more than a fifth off; scanners look at what their makers chose",
    flag=Flag.COMMON_PRACTICE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceivedChannels:
    """What the channels show while the array receives.

    Attributes
    ----------
    signal_v_per_t : ndarray, shape (C,)
        Size of the voltage at each amplifier for the same B1- everywhere, peak. [V/T]
    noise_v : ndarray, shape (C,)
        Standard deviation of its noise in 1 Hz, rms. [V]
    dead : tuple of int
        Channels whose amplifier gets no supply or no signal.
    """

    signal_v_per_t: Floats
    noise_v: Floats
    dead: tuple[int, ...]


def received_channels(
    ports: ArrayPorts, circuits: Sequence[ElementCircuit], case: ArrayCase, *, received_open_v_per_t: ArrayLike
) -> ReceivedChannels:
    """Receive with the faults of a case, everything else as it should be.

    Parameters
    ----------
    ports : ArrayPorts
        The gaps, body included.
    circuits : sequence of ElementCircuit
        One for each element.
    case : ArrayCase
        Its faults count; its diodes are those of reception.
    received_open_v_per_t : array_like, shape (P,)
        Voltages across the open gaps in a field that is nothing but B1-, the same everywhere, peak. [V/T]

    Returns
    -------
    ReceivedChannels

    Notes
    -----
    The noise of a bad contact itself is left out.
    """
    states = [
        RECEIVING.with_faults(*state.faults) if element in case.failed else RECEIVING
        for element, state in enumerate(case.states)
    ]
    solved = array_state(ports.at_operation_ohm, circuits, states, frequency_hz=ports.frequency_hz)
    noise = conductor_noise_v2_per_hz(solved, ports.weighted_resistance_k_ohm)
    noise = noise + sum(part_noise_v2_per_hz(solved, temperature_k=ports.temperatures.coil_temperature_k).values())
    noise = noise + from_input_noise_v2_per_hz(solved, receiver_noises(circuits, states))
    reaching = np.array([_reaching(c, state) for c, state in zip(circuits, states, strict=True)])
    return ReceivedChannels(
        signal_v_per_t=np.abs(reaching * (np.asarray(received_open_v_per_t) @ solved.port_current)),
        noise_v=np.abs(reaching) * np.sqrt(np.diagonal(noise).real),
        dead=tuple(
            channel
            for channel, state in enumerate(states)
            if any(isinstance(fault, AmplifierOff | CableBroken) for fault in state.faults)
        ),
    )


def _reaching(circuit: ElementCircuit, state: ElementState) -> complex:
    """Share of the channel's voltage that stands across the input of the amplifier, behind a bad contact."""
    return complex(circuit.receiver.input_ohm * channel_siemens(circuit.receiver, state))


def by_prescan(case: ArrayCase, *, sound: ReceivedChannels, found: ReceivedChannels, names: Sequence[str]) -> Finding:
    """Ask whether a prescan notices a fault.

    Parameters
    ----------
    case : ArrayCase
        With the fault.
    sound, found : ReceivedChannels
        Without it, and with it.
    names : sequence of str
        Of the elements, a channel each.

    Returns
    -------
    Finding
        Noticed where signal or noise of some channel changes by more than ``NOTICED_SIGNAL_DB`` or ``NOTICED_NOISE``.
    """
    if not case.failed and any(state.plug is Plug.OUT for state in case.states):
        return Finding(told=Told.UNKNOWN, words="nothing is received from an array that is not plugged in")
    if found.dead:
        named = ", ".join(names[channel] for channel in found.dead)
        return Finding(told=Told.NOTICED, words=f"no signal from {named}")
    heard = sound.signal_v_per_t > _LEAST_HEARD * sound.signal_v_per_t.max()
    change = np.divide(found.signal_v_per_t, sound.signal_v_per_t, out=np.ones(len(heard)), where=heard)
    signal_db = 20 * np.log10(np.maximum(change, _SILENT))
    noise = found.noise_v / sound.noise_v - 1
    loud, off = int(np.abs(noise).argmax()), int(np.abs(signal_db).argmax())
    words = f"signal of {names[off]} {signal_db[off]:+.1f} dB, noise of {names[loud]} {100 * noise[loud]:+.0f} %"
    noticed = abs(signal_db[off]) > NOTICED_SIGNAL_DB or abs(noise[loud]) > NOTICED_NOISE
    return Finding(told=Told.NOTICED if noticed else Told.NOT_NOTICED, words=words)
