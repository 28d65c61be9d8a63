"""One invented element circuit and random reciprocal, passive networks, for the tests of circuits."""

import numpy as np

from loopwright.circuits.parts import CrossedDiodes, NoiseParameters, PinDiode, Preamplifier
from loopwright.circuits.ready import PartsKit, capacitive_match, trap_across

KIT = PartsKit(
    capacitor_q=1500,
    inductor_q=150,
    pin_diode=PinDiode(forward_resistance_ohm=0.35, reverse_resistance_ohm=5e3, reverse_capacitance_f=0.3e-12),
    crossed_diodes=CrossedDiodes(
        conducting_resistance_ohm=0.5, blocking_resistance_ohm=5e3, blocking_capacitance_f=0.3e-12
    ),
    receiver=Preamplifier(input_ohm=2 + 0j, noise=NoiseParameters(least_noise_figure_db=0.5, noise_resistance_ohm=5.0)),
)


def two_traps(*, match_f=59.9e-12, tune_f=29.65e-12, series_h=25.9e-9, kit=KIT):
    """Four gaps: match, crossed-diode trap, PIN trap, tune."""
    return capacitive_match(
        kit,
        gap_count=4,
        match_f=match_f,
        tune_f=tune_f,
        series_h=series_h,
        traps=(
            trap_across(2, kit, capacitance_f=30e-12, inductance_h=51.8e-9, diode=kit.crossed_diodes),
            trap_across(3, kit, capacitance_f=30e-12, inductance_h=51.8e-9, diode=kit.pin_diode),
        ),
    )


def random_ports_ohm(rng, ports, *, loss_ohm=2.0, reactance_ohm=30.0):
    """Reciprocal impedance whose real part is positive definite: inductive on the diagonal."""
    loss = rng.standard_normal((ports, ports))
    reactance = rng.standard_normal((ports, ports)) * reactance_ohm / 5
    real = loss @ loss.T / ports * loss_ohm + 0.1 * np.eye(ports)
    return real + 1j * ((reactance + reactance.T) / 2 + reactance_ohm * np.eye(ports))
