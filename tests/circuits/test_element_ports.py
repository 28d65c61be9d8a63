"""Closing gaps is circuit algebra: checked against the textbook inverse, a circuit library and one hand case."""

import numpy as np
import pytest
import skrf
from skrf.circuit import Circuit
from skrf.network import a2s, z2s

from circuits.ring_model import rings
from loopwright.circuits.tuned.capacitors import capacitor_impedance_ohm
from loopwright.circuits.tuned.element_ports import body_port_impedance_ohm, close_gaps, first_ports, gap_loads_ohm
from loopwright.circuits.tuned.matching import scattering
from loopwright.ground.errors import OutsideModelError

FREQUENCY_HZ = 123.2e6


def _closed_case(gaps=3):
    model = rings(gaps=gaps, nodes=12)
    ports_ohm, _ = model.ports(FREQUENCY_HZ)
    capacitor = capacitor_impedance_ohm([20e-12, 21e-12, 22e-12], quality_factor=800, frequency_hz=FREQUENCY_HZ)
    loads = gap_loads_ohm(capacitor, port_element=model.port_element, other_series_resistance_ohm=0.1)
    return model, ports_ohm, loads


def test_capacitor_has_its_reactance_and_its_q():
    z = capacitor_impedance_ohm([10e-12, 20e-12], quality_factor=500, frequency_hz=100e6)
    assert z.imag == pytest.approx([-159.154943, -79.5774715], rel=1e-8)
    assert -z.imag / z.real == pytest.approx([500, 500])
    assert z.real[0] == pytest.approx(0.318309886)


def test_schur_complement_is_the_inverse_of_the_block_of_the_inverse():
    model, ports_ohm, loads = _closed_case()
    closed = close_gaps(ports_ohm, loads, port_element=model.port_element)
    admittance = np.linalg.inv(ports_ohm + np.diag(loads))
    kept = first_ports(model.port_element)
    expected = np.linalg.inv(admittance[np.ix_(kept, kept)])
    np.testing.assert_allclose(closed.impedance_ohm, expected, rtol=1e-11, atol=1e-9)
    np.testing.assert_allclose(closed.impedance_ohm, closed.impedance_ohm.T, atol=1e-9)


def test_gap_currents_leave_no_voltage_in_closed_gaps():
    model, ports_ohm, loads = _closed_case()
    closed = close_gaps(ports_ohm, loads, port_element=model.port_element)
    voltage = (ports_ohm + np.diag(loads)) @ closed.port_current
    kept = first_ports(model.port_element)
    np.testing.assert_allclose(closed.port_current[kept], np.eye(3), atol=0)
    np.testing.assert_allclose(voltage[kept], closed.impedance_ohm, atol=1e-10)
    np.testing.assert_allclose(np.delete(voltage, kept, axis=0), 0, atol=1e-10)


def test_batched_over_frequency_equals_one_by_one():
    model, ports_ohm, loads = _closed_case()
    stack = np.stack([ports_ohm, 1.1 * ports_ohm])
    both = close_gaps(stack, np.stack([loads, loads]), port_element=model.port_element)
    alone = close_gaps(stack[1], loads, port_element=model.port_element)
    np.testing.assert_allclose(both.impedance_ohm[1], alone.impedance_ohm, rtol=1e-12)


def test_one_gap_is_a_series_circuit():
    model = rings(gaps=1)
    ports_ohm, _ = model.ports(FREQUENCY_HZ)
    closed = close_gaps(ports_ohm, np.full(3, 1 - 5j), port_element=model.port_element)
    np.testing.assert_allclose(closed.impedance_ohm, ports_ohm + (1 - 5j) * np.eye(3), rtol=1e-13)


def test_closed_rings_are_refused():
    with pytest.raises(OutsideModelError, match="at least one gap"):
        first_ports([0, 0, 2, 2])


def test_the_body_joins_without_conjugate():
    u = np.array([[1.0, 0.9 + 0.1j, 0.01], [0.02j, 0, 1.0]])
    z = np.array([[2 + 1j, 0.5], [0.5, 3 + 2j]])
    by_hand = sum(u[e, :, None] * z[e, f] * u[f] for e in range(2) for f in range(2))
    np.testing.assert_allclose(body_port_impedance_ohm(z, u), by_hand, rtol=1e-14)


def test_scattering_agrees_with_a_circuit_library():
    """The port network as a multiport, capacitors to ground in closed gaps and in series in first gaps."""
    model, ports_ohm, loads = _closed_case()
    kept = first_ports(model.port_element)
    ours = close_gaps(ports_ohm, loads, port_element=model.port_element)
    frequency = skrf.Frequency(FREQUENCY_HZ, FREQUENCY_HZ, 1, unit="hz")
    ports = len(loads)
    multiport = skrf.Network(frequency=frequency, s=z2s(ports_ohm[None], 50), z0=50, name="array")
    line = skrf.media.DefinedGammaZ0(frequency, z0=50)
    connections = []
    for p in range(ports):
        if p in kept:
            series = skrf.Network(
                frequency=frequency, s=a2s(np.array([[[1, loads[p]], [0, 1]]]), 50), z0=50, name=f"series {p}"
            )
            connections.append([(multiport, p), (series, 0)])
            connections.append([(series, 1), (Circuit.Port(frequency, name=f"element {p}", z0=50), 0)])
        else:
            reflection = (loads[p] - 50) / (loads[p] + 50)
            connections.append([(multiport, p), (line.load(reflection, name=f"gap {p}"), 0)])
    theirs = Circuit(connections).network.s[0]
    np.testing.assert_allclose(scattering(ours.impedance_ohm, 50.0), theirs, atol=1e-11)
