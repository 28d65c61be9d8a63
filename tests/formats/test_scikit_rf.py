import numpy as np
import pytest

from loopwright.formats.scikit_rf import channels_network, element_network, gaps_network
from wired_rings import wired


def test_channels_have_the_impedances_of_the_sweep():
    outcome = wired()
    network = channels_network(outcome)
    assert network.nports == 3
    assert network.z == pytest.approx(outcome.sweep.channel_ohm, rel=1e-6, abs=1e-6)
    assert network.is_reciprocal(tol=1e-8)
    assert network.is_passive()


def test_an_element_is_matched_at_the_frequency_of_the_run():
    outcome = wired()
    network = element_network(outcome, 1)
    assert abs(network.s[len(network) // 2, 0, 0]) < 2e-3
    assert np.abs(network.s[:, 0, 0]).max() > 0.3


def test_circuits_put_on_the_gaps_by_hand_give_the_channels():
    """Load all gaps but the first of each element in scikit-rf and compare: capacitors only, one gap is the channel."""
    outcome = wired("amplifier on the loop with high input impedance", gaps=2)
    gaps = gaps_network(outcome)
    f0 = outcome.ports.frequency_hz
    z = gaps.z[len(gaps) // 2]
    assert gaps.f[len(gaps) // 2] == pytest.approx(f0)
    w = 2 * np.pi * f0
    y = np.linalg.inv(z)
    for element, circuit in enumerate(outcome.circuits):
        for gap, name in enumerate(("C match", "C tune 2")):
            part = circuit.part(name)
            y[2 * element + gap, 2 * element + gap] += 1 / ((1 / part.quality_factor - 1j) / (w * part.capacitance_f))
    by_hand = np.linalg.inv(y)[::2, ::2]
    assert channels_network(outcome).z[len(outcome.sweep.frequencies_hz) // 2] == pytest.approx(by_hand, rel=1e-6)
