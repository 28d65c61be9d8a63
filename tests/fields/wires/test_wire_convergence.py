import numpy as np
import pytest

from loopwright.fields.wires.impedance import lossless_impedance_ohm
from wire_cases import equal_area_polygon, loop_mode_impedance_ohm, mesh

RADIUS_M, WIRE_RADIUS_M = 0.04, 1e-3


def modal_impedance_ohm(segments, frequency_hz, m):
    """Impedance of the current cos(m phi), over its mean square."""
    impedance, _ = lossless_impedance_ohm(mesh([equal_area_polygon(RADIUS_M, segments)], WIRE_RADIUS_M), frequency_hz)
    current = np.cos(2 * np.pi * m * np.arange(segments) / segments)
    return current @ impedance @ current / np.mean(current**2)


class TestModesOfOneRing:
    """Against the Fourier-series theory of the circular loop, which shares nothing but the reduced kernel."""

    EXPECTED_ORDER = 2.0
    FREQUENCY_HZ = 298.03e6

    @pytest.mark.parametrize("m", [1, 2, 3])
    def test_order(self, m):
        exact = loop_mode_impedance_ohm(RADIUS_M, WIRE_RADIUS_M, self.FREQUENCY_HZ, m)
        segments = np.array([24, 48, 96])
        errors = [abs(modal_impedance_ohm(n, self.FREQUENCY_HZ, m) / exact - 1) for n in segments]
        orders = -np.diff(np.log(errors)) / np.log(2)
        assert orders == pytest.approx(self.EXPECTED_ORDER, abs=0.15)
        # Measured before this was written: 1.1, 4.2 and 8.9 % with 24 segments.
        assert errors[0] == pytest.approx([0.011, 0.042, 0.089][m - 1], rel=0.05)

    @pytest.mark.parametrize("frequency_hz", [1e6, 63.87e6, 127.74e6, 298.03e6])
    def test_uniform_current(self, frequency_hz):
        exact = loop_mode_impedance_ohm(RADIUS_M, WIRE_RADIUS_M, frequency_hz, 0)
        found = modal_impedance_ohm(48, frequency_hz, 0)
        assert found.imag == pytest.approx(exact.imag, rel=5e-5)
        assert found.real == pytest.approx(exact.real, rel=5e-4)
