"""Evidence of a run with elements of coaxial line, made up."""

from dataclasses import replace

from loopwright.circuits import CoaxialOutcome
from loopwright.circuits.coaxial.coaxial_coupling import PairCoupling, ResonatorCoupling
from loopwright.circuits.coaxial.coaxial_on_body import CoaxialFigures


def as_coaxial(evidence):
    """The same array made of coaxial line: the first element wants a capacitor at its terminal, the others coils."""
    network = evidence.network
    losses = dict(network.resistance_ohm)
    losses["terminal"], losses["line"] = losses.pop("capacitors"), losses.pop("other")
    figures = tuple(
        CoaxialFigures(
            self_resonance_hz=evidence.frequency_hz * (1.05 - 0.1 * (number > 0)),
            terminal_ohm=1 / complex(1e-3, -2e-3 if number == 0 else 2e-3),
            tuning_siemens=2e-3 if number == 0 else -2e-3,
            body_ohm=2.0,
            conductor_ohm=0.3,
            line_ohm=0.9,
            radiation_ohm=0.0,
            q_unloaded=100.0,
            q_loaded=50.0,
            noise_figure_db=1.0,
        )
        for number in range(len(evidence.element_names))
    )
    coupled = ResonatorCoupling(coefficient=0.021, mutual_ohm=0.1 + 4.2j, resistive=0.3, slope_ohm=200.0)
    pair = PairCoupling(pair=(0, 1), distance_m=0.06, coaxial=coupled, lumped=replace(coupled, coefficient=0.025))
    return replace(
        evidence,
        network=replace(network, gap_capacitance_f=None, resistance_ohm=losses),
        coaxial=CoaxialOutcome(figures=figures, pairs=(pair,), limits=("The jacket is left out.",)),
        capacitors=None,
        circuit=None,
    )
