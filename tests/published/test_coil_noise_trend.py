"""Noise of a small wire coil against the field.

A. Kumar, W. A. Edelstein, P. A. Bottomley, Noise figure limits for circular loop MR coils, Magn. Reson. Med. 61, 1201
(2009), abstract: 3 cm wire loops have noise figures of 3, 1.9, 0.8, 0.2 and 0.1 dB at 1, 1.5, 3, 7 and 9.4 T; computed
and measured agree within 10 %. Loss of wire goes with the root of the frequency and loss of the sample with its square,
so their ratio goes as B0^-1.5 while the sample is small against a wave.

The inputs of the sample are not in the abstract. These were written down before the first run, and not touched since:
copper wire of 1.6 mm, 3 mm from its surface to the sample, 60 and 0.6 S/m at every field, a slab of 100 x 50 x 100 mm,
voxels of 3 mm, no capacitors and no joints, one temperature.
"""

import numpy as np
import pytest

from loopwright.bodies import Tissue, layered_slab, voxelise
from loopwright.conductors import RoundWire, resistance_ohm_per_m
from loopwright.fields import body_reply
from loopwright.ground.progress import Forgetful, Silent
from loopwright.layouts import circle_outline_m

FIELDS_T = np.array([1.0, 1.5, 3.0])
PUBLISHED_DB = np.array([3.0, 1.9, 0.8])
WIRE = RoundWire(diameter_m=1.6e-3, conductivity_s_per_m=5.8e7)
SAMPLE = Tissue(name="sample", eps_r=60.0, sigma_s_per_m=0.6)


def resistances_ohm(field_t):
    """Of the wire, and of the sample beside it."""
    frequency_hz = 42.576e6 * field_t
    solid = layered_slab((0.1, 0.05, 0.1), tissue_names=("sample",))
    body = voxelise(solid, spacing_m=3e-3, tissues=(SAMPLE,), frequency_hz=frequency_hz)
    flat = circle_outline_m(0.03, segments=24)
    loop = np.stack([flat[:, 0], np.full(24, -0.025 - 3e-3 - 0.8e-3), flat[:, 1]], axis=1)
    reply = body_reply(body, [loop], relative_residual=1e-4, progress=Silent(), store=Forgetful())
    return np.pi * 0.03 * resistance_ohm_per_m(WIRE, frequency_hz), reply.noise_resistance_ohm[0, 0].real


@pytest.fixture(scope="module")
def ratio():
    """Resistance of the wire over that of the sample, at each field."""
    found = np.array([resistances_ohm(field_t) for field_t in FIELDS_T])
    return found[:, 0] / found[:, 1]


def test_wire_over_sample_falls_with_the_field_to_minus_three_halves(ratio):
    exponent = np.polyfit(np.log(FIELDS_T), np.log(ratio), 1)[0]
    assert exponent == pytest.approx(-1.5, abs=0.15)


def test_noise_figures_up_to_3_t_are_those_that_were_published(ratio):
    assert 10 * np.log10(1 + ratio) == pytest.approx(PUBLISHED_DB, abs=0.15)
