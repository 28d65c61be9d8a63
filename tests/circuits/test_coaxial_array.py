"""The tuned array of coaxial elements, against the receiving circuits and against each element alone."""

from dataclasses import replace

import numpy as np
import pytest
from coaxial_cases import cable

from loopwright.bodies import VoxelGrid
from loopwright.circuits import NoiseTemperatures, array_ports, tune
from loopwright.circuits.coaxial.coaxial_coupling import moved, pair_coupling
from loopwright.circuits.coaxial.coaxial_element import (
    circular_coaxial_element,
    coaxial_circuit,
    cut_ends,
    terminal_tuning,
)
from loopwright.circuits.coaxial.coaxial_layout import dressed_coaxial, elements_of
from loopwright.circuits.coaxial.coaxial_on_body import coaxial_on_body
from loopwright.circuits.coaxial.coaxial_resonance import open_terminal
from loopwright.circuits.part_admittance import admittance_siemens
from loopwright.circuits.parts import Capacitor, Inductor, Preamplifier
from loopwright.circuits.receivers.receiving import receive
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.wiring import Branch
from loopwright.fields.body import BodyReply, Excitation
from loopwright.fields.wires import solve_network
from loopwright.ground.errors import OutsideModelError

WARM = NoiseTemperatures(body_temperature_k=310.0, coil_temperature_k=293.0)
F = 127.74e6


def body_of(network, loss_ohm, mutual_ohm):
    """Invented body that loop currents reach: it takes up loss_ohm of each and shares mutual_ohm between them."""
    loops = len(network.mean_loop_current)
    noise = np.full((loops, loops), mutual_ohm) + np.diag(np.full(loops, loss_ohm - mutual_ohm))
    return BodyReply(
        frequency_hz=network.frequency_hz,
        grid=VoxelGrid(origin_m=(0.0, 0.0, 0.0), spacing_m=0.01, shape=(1, 1, 1)),
        excitation=Excitation.LOOP_MODE,
        source_per_port_current=network.mean_loop_current,
        impedance_ohm=(1 + 0.1j) * noise,
        noise_resistance_ohm=noise.astype(complex),
        magnetic_field_t_per_a=np.zeros((loops, 3, 1, 1, 1), np.complex64),
        products=np.ones(loops, dtype=int),
        relative_residuals=np.zeros(loops),
        unknowns=0,
    )


def pair(*, pairs=1, diameter_m=0.08, tuning_q=200.0, loss_db_per_m=0.4):
    element = circular_coaxial_element(cable(loss_db_per_m=loss_db_per_m), diameter_m, pairs=pairs, segments=24)
    dressed = replace(dressed_coaxial([element, moved(element, (0.062, 0.0, 2.5e-3))]), capacitor_q=tuning_q)
    network = solve_network(dressed, F, band_fraction=0.04, frequency_count=5)
    return dressed, network, body_of(network, 1.5, 0.4)


@pytest.fixture(scope="module")
def tuned():
    dressed, network, reply = pair()
    return dressed, network, reply, tune(network, reply, dressed=dressed, temperatures=WARM)


def optimum(signals, noise):
    """Square of the best SNR of each signal."""
    return np.einsum("ci,ci->i", signals.conj(), np.linalg.solve(noise, signals)).real


def test_the_mechanisms_add_up(tuned):
    """Lines by their voltages and currents, everything else by the currents outside: together Re Z."""
    array = tuned[3]
    assert array.unassigned_resistance < 1e-10
    assert np.all(np.linalg.eigvalsh(array.resistances.other_ohm) > 0)
    same = NoiseTemperatures(body_temperature_k=300.0, coil_temperature_k=300.0)
    dressed, network, reply, _ = tuned
    one = tune(network, reply, dressed=dressed, temperatures=same)
    total = one.resistances.total_ohm - one.resistances.radiation_ohm
    np.testing.assert_allclose(one.weighted_resistance_k_ohm, 300 * total, atol=1e-12)


@pytest.mark.parametrize(("pairs", "diameter_m"), [(1, 0.08), (2, 0.17)])
def test_snr_is_that_of_terminals_behind_preamplifiers_without_noise(pairs, diameter_m):
    """Parts, lines, body and conductors, each by its own noise in the receiving circuits; any input impedance."""
    dressed, network, reply = pair(pairs=pairs, diameter_m=diameter_m)
    array = tune(network, reply, dressed=dressed, temperatures=WARM)
    ports = array_ports(network, reply, WARM)
    circuits = []
    for number, element in enumerate(elements_of(dressed)):
        own = np.flatnonzero(network.port_element == number)
        seen = open_terminal(element, ports.at(F)[np.ix_(own, own)], F).seen_ohm[0]
        part = terminal_tuning(1 / seen, frequency_hz=F, quality_factor=dressed.capacitor_q)
        across = (Branch(name="tuning", part=part, between=cut_ends(1)),)
        circuits.append(coaxial_circuit(element, F, Preamplifier(input_ohm=7.0 + 30.0j), across=across))
    received = receive(ports, circuits, [RECEIVING] * 2, network=network, reply=reply)
    rng = np.random.default_rng(3)
    emf = rng.normal(size=(2 * pairs, 5)) + 1j * rng.normal(size=(2 * pairs, 5))
    here = optimum(array.port_current.T @ emf, array.weighted_resistance_k_ohm)
    there = optimum(received.port_current.T @ emf, received.weighted_resistance_k_ohm)
    np.testing.assert_allclose(here, there, rtol=1e-9)


def test_what_the_line_loses_is_in_the_noise():
    """With a line without loss and an ideal part, nothing but shield and body makes noise."""
    dressed, network, reply = pair(tuning_q=np.inf, loss_db_per_m=0.0)
    array = tune(network, reply, dressed=dressed, temperatures=WARM)
    assert np.abs(array.resistances.other_ohm).max() < 1e-9
    assert np.abs(array.resistances.capacitor_ohm).max() == 0
    lossy = tune(network, reply, dressed=replace(dressed, cable=cable(loss_db_per_m=0.4)), temperatures=WARM)
    assert lossy.elements[0].noise_figure_db > array.elements[0].noise_figure_db + 1


def test_figures_are_those_of_each_element_alone(tuned):
    """One ampere round the loop; losses as of each alone, though the other terminal is shorted and not its gap open."""
    dressed, network, reply, array = tuned
    np.testing.assert_allclose(np.diagonal(array.loop_current), 1.0, atol=0.02)
    alone = coaxial_on_body(network, array_ports(network, reply, WARM), elements_of(dressed))
    for one, figures in zip(array.elements, alone, strict=True):
        assert one.other_ohm == pytest.approx(figures.line_ohm, rel=5e-3)
        assert one.conductor_ohm == pytest.approx(figures.conductor_ohm, rel=5e-3)
        assert one.body_ohm == pytest.approx(figures.body_ohm, rel=0.02)
        assert one.capacitance_f == pytest.approx(figures.tuning_capacitance_f(F), rel=1e-4, abs=0)


def test_one_element_alone_is_resonant_at_its_port():
    element = circular_coaxial_element(cable(loss_db_per_m=0.4), 0.08, segments=24)
    dressed = replace(dressed_coaxial([element]), capacitor_q=200.0)
    network = solve_network(dressed, F, band_fraction=0.04, frequency_count=5)
    array = tune(network, body_of(network, 1.5, 1.5), dressed=dressed, temperatures=WARM)
    (z,) = array.impedance_ohm.ravel()
    assert abs(z.imag) < 1e-9 * z.real
    # Q is that of the slope of the sweep: f dX/df / 2R at resonance, radiation counted.
    step_hz = np.diff(array.sweep_frequencies_hz)[0]
    slope = np.gradient(array.sweep_impedance_ohm[:, 0, 0].imag, step_hz)[50]
    assert array.elements[0].q_loaded_with_radiation == pytest.approx(F * slope / (2 * z.real), rel=2e-3)
    # The same amount from a susceptance at the terminal and from the resistance of body and coil.
    assert array.sweep_impedance_ohm[50, 0, 0] == pytest.approx(z, rel=1e-9)


@pytest.mark.parametrize(("diameter_m", "kind"), [(0.07, Capacitor), (0.1, Inductor)])
def test_small_elements_want_a_capacitor_and_large_ones_an_inductor(diameter_m, kind):
    dressed, network, reply = pair(diameter_m=diameter_m)
    array = tune(network, reply, dressed=dressed, temperatures=WARM)
    assert (array.elements[0].capacitance_f > 0) == (kind is Capacitor)
    part = terminal_tuning(complex(1e-4, -0.003 if kind is Capacitor else 0.003), frequency_hz=F, quality_factor=40.0)
    assert isinstance(part, kind)
    tuned_siemens = complex(admittance_siemens(part, F))
    assert abs(tuned_siemens.imag) == pytest.approx(0.003, rel=1e-12)
    assert tuned_siemens.real == pytest.approx(0.003 / 40, rel=1e-12)


def test_coupling_is_that_of_the_two_resonators(tuned):
    """k in air from first gaps and from terminals behind quarter-wave lines."""
    dressed, network, _, _ = tuned
    air = body_of(network, 0.0, 0.0)
    array = tune(network, air, dressed=replace(dressed, capacitor_q=np.inf), temperatures=WARM)
    found = pair_coupling(elements_of(dressed), (0, 1), F)
    assert array.coupling[0, 1] == pytest.approx(found.coaxial.coefficient, abs=2e-3)
    assert found.distance_m == pytest.approx(np.hypot(0.062, 2.5e-3))
    assert found.lumped.slope_ohm < found.coaxial.slope_ohm


def test_other_conductors_have_no_coaxial_elements(tuned):
    with pytest.raises(OutsideModelError, match="only a layout of coaxial cable"):
        elements_of(replace(tuned[0], cable=None))
