"""Gaps of the made-up array as the circuits see them, and one lumped loop that can be worked out by hand."""

from functools import cache

import numpy as np

from circuits.made_array import FREQUENCY_HZ, WARM, network_of, reply_of
from circuits.ring_model import rings
from loopwright.circuits.array_ports import ArrayPorts, array_ports
from loopwright.circuits.tuned.resistances import Resistances


@cache
def made_ports(elements, *, coupling=0.3, gaps=4):
    network = network_of(rings(elements=elements, gaps=gaps, nodes=8, coupling=coupling))
    return array_ports(network, reply_of(network), WARM)


def lumped_ports(
    *, inductance_h, resistance_ohm, coupling_h=0.0, elements=1, gaps=2, frequency_hz=FREQUENCY_HZ, band=0.04
):
    """Loops of one current each: every gap sees the whole loop, so the N-port is of rank one but for a trace."""
    f = frequency_hz * (1 + band * np.array([-1.0, -0.5, 0.0, 0.5, 1.0]))
    inductance = np.full((elements, elements), coupling_h) + np.eye(elements) * (inductance_h - coupling_h)
    loops = 2j * np.pi * f[:, None, None] * inductance + resistance_ohm * np.eye(elements)
    # In series with gaps that each carry a far larger impedance across: one current round the loop.
    leak_ohm = 1e7
    ring = np.eye(gaps) - np.ones((gaps, gaps)) / gaps
    impedance = np.kron(loops, np.ones((gaps, gaps)) / gaps**2) + np.kron(np.eye(elements), leak_ohm * ring)
    size = elements * gaps
    real = impedance[2].real.astype(complex)
    none = np.zeros((size, size), dtype=complex)
    return ArrayPorts(
        frequency_hz=frequency_hz,
        frequencies_hz=f,
        impedance_ohm=impedance,
        port_element=np.repeat(np.arange(elements), gaps),
        resistances=Resistances(
            body_ohm=real, conductor_ohm=none, capacitor_ohm=none, other_ohm=none, radiation_ohm=none
        ),
        temperatures=WARM,
    )
