"""Networks survive Touchstone: what is read back is what was written."""

import numpy as np
import pytest

from loopwright.formats.touchstone import REFERENCE_OHM, read_touchstone, touchstone_text


def network(ports):
    draw = np.random.default_rng(ports)
    frequencies = np.linspace(121e6, 125e6, 5)
    z = draw.standard_normal((5, ports, ports)) + 1j * draw.standard_normal((5, ports, ports))
    return frequencies, 60 * np.eye(ports) + 5 * (z + z.transpose(0, 2, 1))


def scattering(z):
    """S = (Z - Z0)(Z + Z0)^-1 for equal real reference impedances, written without any network library."""
    one = REFERENCE_OHM * np.eye(z.shape[-1])
    return (z - one) @ np.linalg.inv(z + one)


def text_of(ports, **kept):
    frequencies, z = network(ports)
    names = tuple(f"E{n}" for n in range(1, ports + 1))
    return touchstone_text(frequencies_hz=frequencies, impedance_ohm=z, port_names=names, tool_version="9.8.7", **kept)


@pytest.mark.parametrize("ports", [1, 2, 3, 7, 16])
def test_what_is_read_back_is_what_was_written(ports):
    frequencies, z = network(ports)
    found_frequencies, found = read_touchstone(text_of(ports), ports=ports)
    np.testing.assert_array_equal(found_frequencies, frequencies)
    np.testing.assert_allclose(found, scattering(z), rtol=0, atol=1e-13)


def test_an_unsymmetric_network_keeps_its_direction():
    """Two-port files alone are written column by column; a slip would swap S12 and S21."""
    frequencies, z = network(2)
    z[:, 0, 1] += 7.0
    text = touchstone_text(frequencies_hz=frequencies, impedance_ohm=z, port_names=("A", "B"), tool_version="1")
    first = [float(word) for word in text.splitlines()[-len(frequencies)].split()]
    s = scattering(z)[0]
    assert first[3:5] == pytest.approx([s[1, 0].real, s[1, 0].imag], abs=1e-12)
    np.testing.assert_allclose(read_touchstone(text, ports=2)[1], scattering(z), atol=1e-13)


def test_the_heading_tells_format_ports_and_version():
    lines = text_of(3, remarks=("before matching",)).splitlines()
    comments = [line for line in lines if line.startswith("!")]
    assert comments[0] == "! loopwright 9.8.7"
    assert "! before matching" in comments
    assert comments[-3:] == ["! port 1 = E1", "! port 2 = E2", "! port 3 = E3"]
    option = next(line for line in lines if line.startswith("#")).split()
    assert [word.lower() for word in option[1:5]] == ["hz", "s", "ri", "r"]
    assert float(option[5]) == REFERENCE_OHM
