"""The same image with and without circuits and receivers."""

from dataclasses import replace

import numpy as np
import pytest
from test_prediction import ELEMENTS, SCANNER, asked, fields_on, sphere

from circuits.made_array import WARM, network_of, reply_of, tuned
from circuits.ready_circuits import two_traps
from circuits.ring_model import rings
from loopwright.brief.records import SphereRegion
from loopwright.circuits.array_ports import array_ports
from loopwright.circuits.parts import NoiseParameters, Preamplifier
from loopwright.circuits.receivers.receiving import receive
from loopwright.circuits.states import RECEIVING
from loopwright.ground.constants import BOLTZMANN_J_PER_K
from loopwright.ground.errors import OutsideModelError
from loopwright.imaging import circuit_cost, predict

__all__ = ["sphere"]

AMPLIFIER = NoiseParameters(least_noise_figure_db=0.5, noise_resistance_ohm=5.0, best_source_ohm=60 + 10j)
NETWORK = network_of(rings(elements=ELEMENTS, gaps=4, nodes=8, coupling=0.05))


@pytest.fixture(scope="module")
def reply(sphere):
    return replace(reply_of(NETWORK), grid=sphere.grid, magnetic_field_t_per_a=fields_on(sphere))


def received(reply, receiver):
    circuits = [replace(two_traps(), receiver=receiver)] * ELEMENTS
    return receive(array_ports(NETWORK, reply, WARM), circuits, [RECEIVING] * ELEMENTS, network=NETWORK, reply=reply)


def image(array, reply, body, **changes):
    return predict(asked(**changes), SCANNER, array=array, reply=reply, body=body)


@pytest.fixture(scope="module")
def ideal(reply, sphere):
    return image(tuned(elements=ELEMENTS), reply, sphere)


def test_a_voxel_by_hand(reply, sphere, ideal):
    array = received(reply, Preamplifier(input_ohm=2 + 0j, noise=AMPLIFIER))
    quality = image(array, reply, sphere)
    cost = circuit_cost(ideal, quality)
    at = (7, 4, 6)
    b = reply.magnetic_field_t_per_a[(slice(None), slice(None), *at)].astype(complex)
    s = array.loop_current.T @ (b[:, 0] + 1j * b[:, 1]) / 2
    noise_ohm = array.total_v2_per_hz / (4 * BOLTZMANN_J_PER_K * 310.0)
    by_hand = np.sqrt((s.conj() @ np.linalg.solve(noise_ohm, s)).real)
    assert cost.kept[at] == pytest.approx(by_hand / ideal.sensitivity_t_per_a_sqrt_ohm[at], rel=1e-9)
    assert quality.noise_forms_differ < 1e-7
    region = ideal.region_mask
    assert cost.kept[cost.worst_at] == cost.kept[region].min() == cost.kept_in_region.minimum
    assert cost.median_db == pytest.approx(-20 * np.log10(np.median(cost.kept[region])))


def test_the_input_impedance_alone_changes_no_image(reply, sphere):
    low, high = (image(received(reply, Preamplifier(input_ohm=z)), reply, sphere) for z in (1.5 + 0j, 60 - 20j))
    cost = circuit_cost(low, high)
    np.testing.assert_allclose(cost.kept[low.body_mask], 1, rtol=1e-8)
    for _, kept in cost.kept_accelerated_in_region:
        assert (kept.minimum, kept.maximum) == (pytest.approx(1, rel=1e-7), pytest.approx(1, rel=1e-7))
    # Root sum of squares goes by the scale of each channel, and coupling is in it.
    squares = cost.kept_by_sum_of_squares_in_region
    assert abs(squares.median - 1) > 1e-3


def test_noisier_receivers_cost_more_everywhere(reply, sphere, ideal):
    noisier = replace(AMPLIFIER, least_noise_figure_db=1.0, noise_resistance_ohm=10.0)
    kept = [
        circuit_cost(ideal, image(received(reply, Preamplifier(input_ohm=2 + 0j, noise=noise)), reply, sphere)).kept
        for noise in (None, AMPLIFIER, noisier)
    ]
    inside = ideal.body_mask
    assert np.all(kept[0][inside] > kept[1][inside])
    assert np.all(kept[1][inside] > kept[2][inside])


def test_images_of_two_regions_are_not_compared(reply, sphere, ideal):
    ball = SphereRegion(centre_m=(0.0, 0, 0), radius_m=0.03, least_depth_m=0.0)
    other = image(tuned(elements=ELEMENTS), reply, sphere, region=ball)
    with pytest.raises(OutsideModelError, match="same voxels"):
        circuit_cost(ideal, other)
