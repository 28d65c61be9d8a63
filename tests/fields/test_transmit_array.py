"""An array alone in the transmit field: what its wires meet, and what flows while its gaps are open."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.constants import mu_0

from loopwright.fields.transmit import (
    ElectricField,
    UniformField,
    node_currents_a_per_t,
    open_array,
)
from loopwright.ground.errors import OutsideModelError
from transmit_arrays import F_HZ, LONG, WIRE, W, facing_x, node_impedance_ohm, pair, wired


@cache
def d80():
    """Loop of 80 mm on the axis, with so many gaps that its current is the same all round."""
    parts, network = wired([facing_x(0.04, 48)], 24)
    return network, open_array(parts, network, LONG)


def loop_current_a_per_t(total_ohm):
    """Currents of all nodes with the gaps closed so that the whole loop is resonant and has so many ohm."""
    network, array = d80()
    load_ohm = (total_ohm - network.loop_impedance_ohm[0, 0]) / 24 * np.eye(24)
    ports = -np.linalg.solve(network.at(F_HZ) + load_ohm, array.open_v_per_t)
    return node_currents_a_per_t(array, ports)


def test_emf_of_a_loop_of_80_mm_at_10_ut():
    """Peak omega B1+ A; as far as its corners reach the field falls by less than a part in ten thousand."""
    assert abs(d80()[1].node_emf_v_per_t.sum()) * 10e-6 == pytest.approx(40.344, rel=1e-3)


@pytest.mark.parametrize(("total_ohm", "current_a", "power_w"), [(5, 8.07, 162.8), (1000, 40.344e-3, 0.81381)])
def test_current_of_that_loop_resonant_and_blocked(total_ohm, current_a, power_w):
    current = np.abs(loop_current_a_per_t(total_ohm)).mean() * 10e-6
    assert current == pytest.approx(current_a, rel=1e-3)
    assert 0.5 * total_ohm * current**2 == pytest.approx(power_w, rel=1e-3)


@pytest.mark.parametrize("load_ohm", [5.0, 200.0, 5 - 31j])
def test_one_small_loop_falls_back_to_the_lumped_formula(load_ohm):
    """Omega B A / (R + jX), X of a ring of 20 mm from L = mu0 a (ln(8a/b) - 2).

    Behind a kilohm its own capacitance already counts for one per cent, which the formula lacks.
    """
    radius_m = 0.01
    parts, network = wired([facing_x(radius_m, 48)], 1)
    array = open_array(parts, network, LONG)
    found = node_currents_a_per_t(array, -array.open_v_per_t / (network.at(F_HZ)[0, 0] + load_ohm))
    inductance_h = mu_0 * radius_m * (np.log(8 * radius_m / (WIRE.diameter_m / 2)) - 2)
    expected = W * np.pi * radius_m**2 / abs(load_ohm + network.at(F_HZ)[0, 0].real + 1j * W * inductance_h)
    assert np.abs(found).mean() == pytest.approx(expected, rel=0.01)


def test_the_profile_of_a_short_resonator_is_in_the_emf():
    short = replace(LONG, length_m=0.3)
    polygon = facing_x(0.04, 48, centre_m=(0.0, 0.0, 0.15))
    parts, network = wired([polygon], 4)
    emf = open_array(parts, network, short).node_emf_v_per_t.sum()
    # flux of a(z) through the disc: chords of width 2 sqrt(a^2 - z^2)
    nodes, weights = np.polynomial.chebyshev.chebgauss(60)
    chord = 0.04 * np.sqrt(1 - nodes**2)
    flux = np.sum(weights * np.sqrt(1 - nodes**2) * 0.04 * 2 * chord * short.profile(0.15 + 0.04 * nodes))
    assert flux / (np.pi * 0.04**2) < 0.75
    assert abs(emf) == pytest.approx(W * flux, rel=1e-3)


@pytest.mark.parametrize("gauge", ElectricField)
def test_ports_and_open_part_together_are_the_whole_wires(gauge):
    """All nodes at once with loads in the gaps; the open part alone is what no load current passes."""
    parts, network, _, array = pair(gauge=gauge)
    load_ohm = np.diag([3.0, 40 - 50j, 1e4, -200j])
    gaps = np.zeros((len(array.node_emf_v_per_t), 4))
    gaps[network.port_node, np.arange(4)] = 1
    whole = np.linalg.solve(node_impedance_ohm(parts) + gaps @ load_ohm @ gaps.T, array.node_emf_v_per_t)
    ports = -np.linalg.solve(network.at(F_HZ) + load_ohm, array.open_v_per_t)
    assert ports == pytest.approx(whole[network.port_node], rel=1e-6)
    assert np.abs(node_currents_a_per_t(array, ports) - whole).max() < 1e-6 * np.abs(whole).max()
    assert np.abs(array.open_current_a_per_t).max() > 0.01 * np.abs(whole).max()
    assert np.abs(array.open_current_a_per_t[network.port_node]).max() < 1e-9 * np.abs(whole).max()


def test_wires_and_field_at_two_frequencies_are_refused():
    parts, network, *_ = pair()
    with pytest.raises(OutsideModelError, match=r"6\.4e\+07 Hz"):
        open_array(parts, network, UniformField(frequency_hz=64e6))
