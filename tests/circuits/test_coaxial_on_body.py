from dataclasses import replace

import numpy as np
import pytest
from coaxial_cases import cable

from loopwright.circuits import NoiseTemperatures
from loopwright.circuits.array_ports import array_ports
from loopwright.circuits.coaxial.coaxial_coupling import moved
from loopwright.circuits.coaxial.coaxial_element import circular_coaxial_element, cut_ends
from loopwright.circuits.coaxial.coaxial_layout import dressed_coaxial
from loopwright.circuits.coaxial.coaxial_on_body import coaxial_on_body
from loopwright.circuits.coaxial.coaxial_resonance import open_terminal, self_resonance
from loopwright.circuits.parts import Capacitor
from loopwright.circuits.wiring import Branch
from loopwright.conductors import resistance_ohm_per_m
from loopwright.fields.wires import solve_network

WARM = NoiseTemperatures(body_temperature_k=310.0, coil_temperature_k=293.0)
F = 127.74e6


def on_body(elements, *, body_ohm=0.0, reactance_ohm=0.0):
    """Elements on an invented body that adds the same resistance and reactance to every gap."""
    network = solve_network(dressed_coaxial(elements), F, band_fraction=0.1, frequency_count=5)
    ports = array_ports(network, None, WARM)
    unit = np.eye(len(network.port_element))
    return network, replace(
        ports,
        impedance_ohm=ports.impedance_ohm + (body_ohm + 1j * reactance_ohm) * unit,
        resistances=replace(ports.resistances, body_ohm=body_ohm * unit.astype(complex)),
    )


def test_in_air_it_is_the_element_alone():
    element = circular_coaxial_element(cable(loss_db_per_m=0.4), 0.084)
    network, ports = on_body([element])
    (figures,) = coaxial_on_body(network, ports, [element])
    alone = self_resonance(element)
    assert figures.self_resonance_hz == pytest.approx(alone.frequency_hz, rel=1e-5)
    assert figures.q_unloaded == figures.q_loaded
    # Radiation is left out of the one and in the other.
    all_ohm = figures.conductor_ohm + figures.line_ohm + figures.radiation_ohm
    share = figures.radiation_ohm / all_ohm
    assert alone.quality_factor == pytest.approx(figures.q_unloaded * (1 - share), rel=0.02)
    assert figures.noise_figure_db == np.inf
    length_m = element.length_m
    wire_ohm = length_m * resistance_ohm_per_m(dressed_coaxial([element]).cross_section, F)
    assert figures.conductor_ohm == pytest.approx(wire_ohm, rel=0.02)
    assert figures.radiation_ohm > 0


def test_line_without_loss_loses_nothing():
    element = circular_coaxial_element(cable(), 0.084)
    (figures,) = coaxial_on_body(*on_body([element]), [element])
    assert abs(figures.line_ohm) < 1e-8 * figures.conductor_ohm


def test_body_loss_is_found_again_and_lowers_q():
    element = circular_coaxial_element(cable(loss_db_per_m=0.4), 0.084)
    network, ports = on_body([element], body_ohm=8.0)
    (figures,) = coaxial_on_body(network, ports, [element])
    assert figures.body_ohm == pytest.approx(8.0 / abs(network.mean_loop_current[0, 0]) ** 2, rel=1e-9)
    coil_ohm = figures.conductor_ohm + figures.line_ohm
    assert figures.q_unloaded / figures.q_loaded == pytest.approx(1 + figures.body_ohm / coil_ohm, rel=1e-9)
    expected_db = 10 * np.log10(1 + 293 * coil_ohm / (310 * figures.body_ohm))
    assert figures.noise_figure_db == pytest.approx(expected_db, rel=1e-9)


def test_a_body_that_takes_inductance_away_raises_the_resonance():
    element = circular_coaxial_element(cable(), 0.084)
    bare, loaded = (
        coaxial_on_body(*on_body([element], reactance_ohm=x), [element])[0].self_resonance_hz for x in (0.0, -4.0)
    )
    assert 1.005 < loaded / bare < 1.02


def test_the_tuning_susceptance_makes_it_resonant():
    element = circular_coaxial_element(cable(loss_db_per_m=0.4), 0.078)
    network, ports = on_body([element], body_ohm=5.0)
    (figures,) = coaxial_on_body(network, ports, [element])
    capacitance_f = figures.tuning_capacitance_f(F)
    assert figures.self_resonance_hz > F
    assert 0 < capacitance_f < 10e-12
    across = (Branch(name="C", part=Capacitor(capacitance_f=capacitance_f), between=cut_ends(1)),)
    tuned = open_terminal(element, ports.at(F), F, across).seen_ohm[0]
    assert abs(tuned.imag) < 1e-9 * tuned.real


def test_elements_are_told_one_by_one():
    element = circular_coaxial_element(cable(loss_db_per_m=0.4), 0.084, pairs=2)
    both = [element, moved(element, (0.3, 0.0, 0.0))]
    figures = coaxial_on_body(*on_body(both, body_ohm=3.0), both)
    (alone,) = coaxial_on_body(*on_body([element], body_ohm=3.0), [element])
    for one in figures:
        assert one.q_loaded == pytest.approx(alone.q_loaded, rel=0.01)
