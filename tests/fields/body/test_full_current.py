"""Full current against the loop mode: limits, any state from one solution, dielectric loading, which serves where."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.constants import epsilon_0
from scipy.special import k0

from body_cases import column, gel, voxel_sphere
from exact.cases import layered_case, uniform_case
from loopwright import circuits
from loopwright.conductors import RoundWire
from loopwright.fields import Excitation, array_sources, chosen_excitation, reply_to_sources
from loopwright.fields.body.loop_mode import (
    longest_way_m,
    loop_mode_holds,
    missed_at_most,
    missed_resistance,
)
from loopwright.fields.wires import solve_network
from loopwright.ground.progress import Forgetful, Silent
from wire_arrays import dressed
from wire_cases import equal_area_polygon

WARM = circuits.NoiseTemperatures(body_temperature_k=310.0, coil_temperature_k=293.0)
COPPER = 5.8e7


def reply(body, sources, relative_residual=1e-4):
    return reply_to_sources(body, sources, relative_residual=relative_residual, progress=Silent(), store=Forgetful())


def one_loop(radius_m, height_m, gaps, frequency_hz, *, segments=24, diameter_m=2e-3, skin_m=5e-3):
    parts = dressed(
        [equal_area_polygon(radius_m, segments, centre_m=(0, 0, height_m))],
        gaps=gaps,
        section=RoundWire(diameter_m=diameter_m, conductivity_s_per_m=COPPER),
    )
    parts = replace(parts, layout=replace(parts.layout, least_skin_distance_m=skin_m))
    return parts, solve_network(parts, frequency_hz, band_fraction=0.04, frequency_count=3)


def with_uniform(sources):
    """Two sources of one loop: its mean current alone, and what all gaps driven alike add to it."""
    alike = sources.node_current[:, :1]
    mean = np.full_like(alike, alike.mean())
    return replace(sources, node_current=np.hstack([mean, alike - mean]), source_per_port_current=np.eye(2))


@pytest.fixture(scope="module")
def beside_sphere():
    """Loop of 30 mm with three gaps beside a ball; body, wires, and both replies."""
    body = voxel_sphere(uniform_case(), voxel_m=0.02, frequency_hz=127.74e6)
    parts, network = one_loop(0.03, 0.12, 3, 127.74e6)
    return body, parts, network, {e: reply(body, array_sources(e, parts, network)) for e in Excitation}


def test_a_uniform_current_on_wires_is_the_loop_mode(beside_sphere):
    body, parts, network, replies = beside_sphere
    loop = replies[Excitation.LOOP_MODE]
    found = reply(body, with_uniform(array_sources(Excitation.FULL_CURRENT, parts, network)))
    scale = network.node_current.sum(axis=1).mean()
    assert found.impedance_ohm[0, 0] == pytest.approx(scale**2 * loop.impedance_ohm[0, 0], rel=1e-5)
    field = scale * loop.magnetic_field_t_per_a[0]
    assert np.linalg.norm(found.magnetic_field_t_per_a[0] - field) < 1e-4 * np.linalg.norm(field)


def test_any_state_is_a_recombination_of_the_sources(beside_sphere):
    """Currents of an arbitrary state, solved as a source of its own."""
    body, parts, network, replies = beside_sphere
    full = replies[Excitation.FULL_CURRENT]
    ports = np.array([[1.0], [0.3 - 0.2j], [-0.5j]])
    sources = array_sources(Excitation.FULL_CURRENT, parts, network)
    assert sources.node_current @ sources.source_per_port_current == pytest.approx(network.node_current)
    own = reply(body, replace(sources, node_current=network.node_current @ ports, source_per_port_current=np.eye(1)))
    amplitude = full.source_per_port_current @ ports
    assert (amplitude.T @ full.impedance_ohm @ amplitude)[0, 0] == pytest.approx(own.impedance_ohm[0, 0], rel=1e-3)
    absorbed = (amplitude.T @ full.noise_resistance_ohm @ amplitude.conj())[0, 0]
    assert absorbed == pytest.approx(own.noise_resistance_ohm[0, 0], rel=1e-3)
    field = np.tensordot(amplitude[:, 0], full.magnetic_field_t_per_a, axes=1)
    error = np.linalg.norm(field - own.magnetic_field_t_per_a[0])
    assert error < 1e-3 * np.linalg.norm(field)


def test_reciprocal_and_passive(beside_sphere):
    full = beside_sphere[3][Excitation.FULL_CURRENT]
    assert full.asymmetry < 1e-3
    assert np.linalg.eigvalsh(full.noise_resistance_ohm)[0] > 0


GAPS = np.array([2, 4, 8])
PLASTIC = gel(4, 0.5 * 2 * np.pi * 10e6 * epsilon_0)  # weakly lossy: eps_r = 4 - 0.5j at 10 MHz


def loadings_of(radius_m, distance_m, wire_m, *, body_m, height_m, voxel_m):
    """What charges add beside a disc, by number of gaps: the two sources of `with_uniform`, per ampere of the mean."""
    body = column(body_m, height_m, voxel_m=voxel_m, tissue=PLASTIC, frequency_hz=10e6)
    found = []
    for gaps in GAPS:
        wire = {"segments": 48, "diameter_m": 2 * wire_m}
        parts, network = one_loop(radius_m, height_m / 2 + distance_m, int(gaps), 10e6, **wire)
        found.append(reply(body, with_uniform(array_sources(Excitation.FULL_CURRENT, parts, network)), 1e-3))
        assert abs(network.node_current.sum(axis=1).mean()) == pytest.approx(1, rel=5e-3)
    return found


def reactance_and_loss(loadings):
    """Of the charges alone, each by gaps. [ohm]"""
    reactance = np.array([one.impedance_ohm[1, 1].imag for one in loadings])
    return reactance, np.array([one.noise_resistance_ohm[1, 1].real for one in loadings])


def thin_wire_law(radius_m, distance_m, wire_m):
    """Reactance of the charges by gaps, up to a factor: a straight wire before a half space.

    The voltage along it is a saw with n teeth of height 1/n. Its m-th wave holds the charge V_m / K0(m n r/a), and
    the image at twice the distance acts back by K0(2 m n d/a), a = radius of the loop. 1/n^2 holds where the
    logarithm of the first and that of the second balance; at larger n d/a the second falls as exp(-2 n d/a).
    """
    m = np.arange(1, 60)
    wave = np.outer(GAPS, m) / radius_m
    return np.sum(k0(2 * distance_m * wave) / (m * k0(wire_m * wave)) ** 2, axis=1) / GAPS**2


@pytest.fixture(scope="module")
def loadings():
    """Loop of 0.3 m, 4 mm wire, its axis 4 mm off a disc."""
    return loadings_of(0.3, 4e-3, 2e-3, body_m=0.36, height_m=0.04, voxel_m=0.01)


def test_dielectric_loading_falls_with_the_square_of_the_gaps(loadings):
    """Shift of the resonance, -X/(2 w L), and loss."""
    for value in reactance_and_loss(loadings):
        assert np.all(value > 0)  # more capacitance between the gaps: the resonance moves down
        assert value * GAPS**2 == pytest.approx(np.mean(value * GAPS**2), rel=0.1)


@pytest.mark.long
def test_dielectric_loading_falls_with_the_square_of_the_gaps_on_a_finer_grid():
    fine = loadings_of(0.3, 5e-3, 1.5e-3, body_m=0.36, height_m=0.04, voxel_m=5e-3)
    for value in reactance_and_loss(fine):
        assert value * GAPS**2 == pytest.approx(np.mean(value * GAPS**2), rel=0.1)


def test_beside_small_loops_it_falls_faster_as_charges_hide_each_other():
    """Loop of 80 mm, 10 mm off, where n d/a is 0.25 to 1: exponents -2.7 and -3.5, as the thin wire has it."""
    case = (0.08, 0.01, 1e-3)
    loads = loadings_of(*case, body_m=0.11, height_m=0.04, voxel_m=5e-3)
    law = thin_wire_law(*case)
    for value, within in zip(reactance_and_loss(loads), (0.2, 0.35), strict=True):
        exponent = np.log2(value[1:] / value[:-1])
        assert np.all(exponent < -2.5)
        assert exponent == pytest.approx(np.log2(law[1:] / law[:-1]), abs=within)


@pytest.mark.parametrize("gaps", [2, 4])
def test_charges_take_no_part_of_the_eddy_currents_power(gaps):
    """By symmetry; and on the grid only because the field of charges is a gradient on the grid."""
    body = column(0.18, 0.08, voxel_m=0.01, tissue=gel(10, 0.02), frequency_hz=32e6)
    parts, network = one_loop(0.15, 0.043, gaps, 32e6, segments=48, diameter_m=4e-3)
    r = reply(body, with_uniform(array_sources(Excitation.FULL_CURRENT, parts, network)), 1e-3).noise_resistance_ohm
    assert abs(r[0, 1]) < 1e-4 * r[0, 0].real


def test_the_tuned_element_moves_down_by_less_than_a_per_cent():
    body = column(0.07, 0.06, voxel_m=0.01, tissue=gel(60, 0.6), frequency_hz=127.74e6)
    figures = {}
    for gaps in (2, 4):
        parts, network = one_loop(0.04, 0.04, gaps, 127.74e6)
        for e in Excitation:
            tuned = circuits.tune(
                network, reply(body, array_sources(e, parts, network)), dressed=parts, temperatures=WARM
            )
            figures[gaps, e] = tuned.elements[0]
    moved = [
        figures[n, Excitation.FULL_CURRENT].frequency_shift_hz - figures[n, Excitation.LOOP_MODE].frequency_shift_hz
        for n in (2, 4)
    ]
    assert 0 < 3 * moved[1] < moved[0] < 0.01 * 127.74e6  # positive: the resonance without body lies higher


@pytest.mark.parametrize("megahertz", [64, 128, 298])
@pytest.mark.parametrize(("layers", "gaps"), [("muscle", 2), ("mf", 8)])
def test_loop_mode_is_good_to_one_per_cent_where_the_tool_says_so(layers, gaps, megahertz):
    frequency_hz = {64: 63.87e6, 128: 127.74e6, 298: 298.03e6}[megahertz]
    sphere = layered_case("mf", megahertz)
    if layers == "muscle":
        sphere = type(sphere)((0.1,), sphere.eps_r[:1], sphere.sigma_s_per_m[:1])
    body = voxel_sphere(sphere, voxel_m=0.01, frequency_hz=frequency_hz)
    parts, network = one_loop(0.03, np.sqrt(0.105**2 - 0.03**2), gaps, frequency_hz)
    assert loop_mode_holds(parts, body)
    assert chosen_excitation("automatic", parts, body) is Excitation.LOOP_MODE
    r = reply(body, with_uniform(array_sources(Excitation.FULL_CURRENT, parts, network)), 1e-3).noise_resistance_ohm
    added = (r.sum().real - r[0, 0].real) / r[0, 0].real
    assert 0 < added < missed_resistance(body, gaps=gaps, skin_distance_m=5e-3) <= 0.01


def test_loop_mode_is_not_trusted_where_it_misses():
    """Two gaps beside fat alone: a fifth of the resistance comes from charges."""
    sphere = layered_case("mf", 128)
    fat = type(sphere)((0.1,), sphere.eps_r[1:], sphere.sigma_s_per_m[1:])
    body = voxel_sphere(fat, voxel_m=0.02, frequency_hz=127.74e6)
    parts, _ = one_loop(0.04, 0.103, 2, 127.74e6)
    assert not loop_mode_holds(parts, body)
    assert chosen_excitation("automatic", parts, body) is Excitation.FULL_CURRENT
    assert chosen_excitation("loop mode", parts, body) is Excitation.LOOP_MODE
    near = replace(parts, layout=replace(parts.layout, least_skin_distance_m=3e-3))
    assert not loop_mode_holds(near, body)
    assert np.isinf(missed_at_most(near, body))


def test_longest_way_between_gaps():
    square = np.array([[0.0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]])
    assert longest_way_m(square, (3, 0)) == pytest.approx(3)
    assert longest_way_m(square, (1,)) == pytest.approx(4)
