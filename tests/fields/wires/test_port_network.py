import numpy as np
import pytest
import skrf
from scipy.constants import pi
from scipy.optimize import brentq
from skrf.network import connect

from loopwright.conductors import FlatStrip, RoundWire
from loopwright.fields.wires import solve_network, wire_limits
from loopwright.fields.wires.bundling import mesh_wires
from loopwright.fields.wires.impedance import gap_ports, lossless_impedance_ohm, mass_matrix_m, mean_loop_currents
from loopwright.ground.errors import OutsideModelError
from wire_arrays import COPPER, dressed
from wire_cases import equal_area_polygon, square

F = 127.74e6
STRIP = FlatStrip(width_m=5e-3, thickness_m=35e-6, conductivity_s_per_m=COPPER)


def pair(spacing=0.75, *, segments=24, height_m=1e-3, **keywords):
    rings = [
        equal_area_polygon(0.04, segments),
        equal_area_polygon(0.04, segments, centre_m=(0.08 * spacing, 0, height_m)),
    ]
    return dressed(rings, **keywords)


def solve(array, frequency_hz=F, frequency_count=1):
    return solve_network(array, frequency_hz, band_fraction=0.04, frequency_count=frequency_count)


def test_names_and_places_of_ports():
    network = solve(pair(gaps=2))
    assert network.port_names == ("E01.gap1", "E01.gap2", "E02.gap1", "E02.gap2")
    assert network.port_element.tolist() == [0, 0, 1, 1]
    assert network.port_node.tolist() == [0, 12, 24, 36]
    assert network.node_element.tolist() == 24 * [0] + 24 * [1]
    assert network.frequencies_hz.tolist() == [F]


def test_strip_loop_at_3_t():
    """80 mm, 5 mm x 35 um copper, 48 segments: 0.178 + j143.5 ohm, 178.8 nH, measured on an independent prototype."""
    network = solve(dressed([equal_area_polygon(0.04, 48)], section=STRIP), 127.7e6)
    assert network.loop_impedance_ohm[0, 0].real == pytest.approx(0.178, rel=0.01)
    assert 1e9 * network.loop_inductance_h[0, 0] == pytest.approx(178.8, rel=2e-3)
    # The condition number of the 4-port was 87 there.
    assert np.linalg.cond(network.impedance_ohm[0]) == pytest.approx(87, abs=2)


def test_wire_loop_resistance_is_that_of_the_straight_wire():
    network = solve(dressed([equal_area_polygon(0.04, 48)]))
    perimeter_m = 48 * np.linalg.norm(np.diff(equal_area_polygon(0.04, 48)[:2], axis=0))
    assert network.loss_matrix_ohm.sum() == pytest.approx(perimeter_m * 0.9442, rel=3e-4)
    assert perimeter_m == pytest.approx(pi * 0.08, rel=1.1e-3)


UNSEGMENTED_NH = [  # one gap, X / omega at 1, 63.9, 127.7, 298 MHz, 48 segments: the prototype's figures
    (0.08, 0.5e-3, (224.3, 227.0, 235.7, 308.0)),
    (0.10, 1.0e-3, (250.8, 255.9, 272.6, 459.0)),
]


@pytest.mark.parametrize(("diameter_m", "radius_m", "expected_nh"), UNSEGMENTED_NH)
def test_unsegmented_loop_is_no_lumped_inductor_at_7_t(diameter_m, radius_m, expected_nh):
    wire = RoundWire(diameter_m=2 * radius_m, conductivity_s_per_m=COPPER)
    array = dressed([equal_area_polygon(diameter_m / 2, 48)], section=wire, gaps=1)
    frequencies_hz = (1e6, 63.9e6, 127.7e6, 298e6)
    found = [solve(array, f).impedance_ohm[0, 0, 0].imag / (2 * pi * f) * 1e9 for f in frequencies_hz]
    assert found == pytest.approx(expected_nh, rel=1e-3)


def test_low_frequency_keeps_the_inductance():
    """The plain rooftop form loses digits as 1/f^2: 1e-7 at 100 kHz; the loop mode loses none."""
    array = dressed([equal_area_polygon(0.04, 48)], gaps=1)
    static = solve(array, 1.0).loop_inductance_h[0, 0]
    for frequency_hz, tolerance in ((1e6, 2e-5), (1e5, 2e-6), (1e4, 2e-4)):
        network = solve(array, frequency_hz)
        port_h = network.impedance_ohm[0, 0, 0].imag / (2 * pi * frequency_hz)
        assert network.loop_inductance_h[0, 0] == pytest.approx(static, rel=1e-5)
        assert port_h == pytest.approx(static, rel=tolerance)


def test_ports_carry_the_current_they_are_given():
    network = solve(pair())
    at_ports = network.node_current[network.port_node]
    np.testing.assert_allclose(at_ports, np.eye(8), atol=1e-10)


def test_mean_loop_current_of_equal_segments_is_the_mean_over_nodes():
    network = solve(pair())
    by_node = network.node_current.reshape(2, 24, 8).mean(axis=1)
    np.testing.assert_allclose(network.mean_loop_current, by_node, atol=1e-13)
    triangle = mesh_wires(dressed([np.array([[0.0, 0, 0], [3e-2, 0, 0], [3e-2, 4e-2, 0]])], gaps=1))
    weighted = mean_loop_currents(triangle, np.array([[1.0], [0.0], [0.0]], dtype=complex))
    assert weighted[0, 0] == pytest.approx((3 + 5) / 2 / 12)  # sides 3, 4, 5: the rooftop stands on 3 and 5
    # Unit current through all four gaps of a ring is nearly the uniform current.
    ring = network.mean_loop_current[0, :4].sum()
    assert abs(ring - 1) < 0.02


def test_loads_on_the_ports_equal_loads_in_the_wires():
    """Capacitors put into the integral equation itself, or onto the reduced network: same port, same current."""
    array = pair(section=STRIP)
    mesh, network = mesh_wires(array), solve(array)
    load = 1 / (2j * pi * F * 27e-12) + 0.03
    lossless, _ = lossless_impedance_ohm(mesh, F)
    loaded = lossless + network.loss_matrix_ohm
    closed, driven = network.port_node[1:], network.port_node[:1]
    loaded[closed, closed] += load
    in_wires = gap_ports(loaded, driven)
    z = network.impedance_ohm[0]
    inner = np.linalg.solve(z[1:, 1:] + load * np.eye(7), z[1:, 0])
    currents = np.concatenate([[1], -inner])
    assert z[0] @ currents == pytest.approx(in_wires.impedance_ohm[0, 0], rel=1e-11)
    np.testing.assert_allclose(network.node_current @ currents, in_wires.node_current[:, 0], atol=1e-11)


def test_closing_gaps_agrees_with_scikit_rf():
    """Three capacitors on a four-gap loop, by our own algebra and by cascading S-parameters."""
    network = solve(dressed([equal_area_polygon(0.04, 24)], section=STRIP), frequency_count=5)
    f = network.frequencies_hz
    array = skrf.Network(frequency=skrf.Frequency.from_f(f, unit="Hz"), z=network.impedance_ohm, z0=50)
    load = 1 / (2j * pi * f * 27e-12)
    one_port = skrf.Network(frequency=array.frequency, z=load[:, None, None], z0=50)
    closed = array
    for _ in range(3):
        closed = connect(closed, closed.nports - 1, one_port, 0)
    z = network.impedance_ohm
    inner = np.linalg.solve(z[:, 1:, 1:] + load[:, None, None] * np.eye(3), z[:, 1:, :1])
    ours = z[:, 0, 0] - (z[:, :1, 1:] @ inner)[:, 0, 0]
    np.testing.assert_allclose(closed.z[:, 0, 0], ours, rtol=1e-8)


def test_interpolation_over_the_band():
    array = pair(section=STRIP)
    network = solve(array, frequency_count=5)
    for fraction in (-0.037, 0.011, 0.029):
        exact = solve(array, F * (1 + fraction)).impedance_ohm[0]
        assert np.abs(network.at(F * (1 + fraction)) - exact).max() < 3e-7 * np.abs(exact).max()


def test_segments_of_the_pair_have_converged():
    """24 against 96 segments: 0.3 % of the loop reactance and 0.1 ohm of the mutual one, as the prototype saw."""
    coarse, fine = solve(pair(0.7)).loop_impedance_ohm, solve(pair(0.7, segments=96)).loop_impedance_ohm
    assert coarse[0, 0].imag == pytest.approx(fine[0, 0].imag, rel=1e-3)
    assert coarse[0, 1].imag == pytest.approx(fine[0, 1].imag, abs=0.3)


def port_of_resonant_pair(spacing, segments, frequency_hz):
    """Mutual impedance of two loops with four gaps, three of them closed by the capacitor that makes each resonant."""
    z = solve(pair(spacing, segments=segments, height_m=0.2e-3), frequency_hz).impedance_ohm[0]
    ports, rest = [0, 4], [1, 2, 3, 5, 6, 7]

    def closed(capacitance_f):
        load = 1 / (2j * pi * frequency_hz * capacitance_f)
        inner = np.linalg.solve(z[np.ix_(rest, rest)] + load * np.eye(6), z[np.ix_(rest, ports)])
        return z[np.ix_(ports, ports)] - z[np.ix_(ports, rest)] @ inner, load

    def detuning(capacitance_f):
        reduced, load = closed(capacitance_f)
        return (reduced[0, 0] + load).imag

    return closed(brentq(detuning, 2e-12, 300e-12, xtol=1e-18))[0][0, 1]


@pytest.mark.long
@pytest.mark.parametrize(("frequency_hz", "radiation_ohm"), [(63.9e6, 0.0016), (127.7e6, 0.026)])
def test_full_wave_overlap_without_mutual_reactance(frequency_hz, radiation_ohm):
    """0.758 diameters, and what is left is the radiation resistance of the loop: fully correlated in free space."""
    zero = brentq(lambda s: port_of_resonant_pair(s, 48, frequency_hz).imag, 0.74, 0.78, xtol=1e-4)
    assert zero == pytest.approx(0.7583, abs=0.003)
    assert port_of_resonant_pair(zero, 48, frequency_hz).real == pytest.approx(radiation_ohm, rel=0.05)


def test_limits_name_short_segments_and_close_runs():
    usual = pair(0.76, section=STRIP)
    assert wire_limits(usual, F) == ()
    (short,) = wire_limits(pair(0.76, segments=96, section=STRIP), F)
    assert "conductor radii" in short
    squares = [square(0.08, 4), square(0.08, 4, centre_m=(0.076, 0, 1e-3))]
    close, thick = wire_limits(dressed(squares, section=STRIP), F)
    assert thick.startswith("The strip is 6.0 skin depths thick.")
    assert close.startswith("E01 and E02 run beside or over another element")
    (long,) = wire_limits(dressed([equal_area_polygon(0.3, 24)]), 298e6)
    assert "wavelength" in long


@pytest.mark.parametrize("gaps", [(), (0, 0), (24,), (-1,)])
def test_gaps_that_are_not_there_are_refused(gaps):
    with pytest.raises(OutsideModelError, match="E01: gap_nodes"):
        solve(dressed([equal_area_polygon(0.04, 24)], gaps=gaps))


def test_mass_matrix_integrates_products_of_rooftops():
    """Linear current from 0 to 1 and back on a triangle: its square integrates to a third of the two sides it is on."""
    array = dressed([np.array([[0.0, 0, 0], [3e-2, 0, 0], [0, 4e-2, 0]])], gaps=1)
    mass = mass_matrix_m(mesh_wires(array))
    assert mass[0, 0] == pytest.approx((3e-2 + 4e-2) / 3)
    assert mass.sum() == pytest.approx(12e-2)
    assert mass[0, 1] == pytest.approx(3e-2 / 6)
