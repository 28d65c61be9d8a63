"""Arrays in front of noisy receivers, for the tests of noise: made up, small, with every kind of part."""

from dataclasses import replace

import numpy as np
from ready_circuits import random_ports_ohm, two_traps
from test_array_circuit import F, amplifier_on_the_loop, at_the_end_of_a_line

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.parts import NoiseParameters, Preamplifier
from loopwright.circuits.states import RECEIVING

__all__ = ["F", "hermitian_part", "noisy", "random_array", "random_noise", "with_inputs"]


def random_noise(rng):
    """Noise parameters that an amplifier can have."""
    excess = rng.uniform(0.05, 0.4)
    best = rng.uniform(10, 200) + 1j * rng.uniform(-80, 80)
    least_ohm = excess / (4 * (1 / best).real)
    return NoiseParameters(
        least_noise_figure_db=10 * np.log10(1 + excess),
        noise_resistance_ohm=least_ohm * rng.uniform(1.05, 4),
        best_source_ohm=best,
    )


def noisy(circuit, rng):
    receiver = Preamplifier(input_ohm=rng.uniform(1, 80) + 1j * rng.uniform(-40, 40), noise=random_noise(rng))
    return replace(circuit, receiver=receiver)


def random_array(rng, count):
    choice = (two_traps, amplifier_on_the_loop, at_the_end_of_a_line)
    circuits = [noisy(choice[n](), rng) for n in rng.integers(0, 3, count)]
    return circuits, [RECEIVING] * count, random_ports_ohm(rng, sum(circuit.gap_count for circuit in circuits))


def with_inputs(circuits, input_ohm):
    return [
        replace(circuit, receiver=replace(circuit.receiver, input_ohm=z))
        for circuit, z in zip(circuits, input_ohm, strict=True)
    ]


def hermitian_part(matrix):
    return (matrix + matrix.conj().T) / 2


def solved(port_ohm, circuits, states, **more):
    return array_state(port_ohm, circuits, states, frequency_hz=F, **more)
