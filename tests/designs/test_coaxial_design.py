"""Coaxial line among the conductors of a comparison: the same loops, with the line's noise beside the body's."""

import numpy as np
import pytest

from loopwright.brief import read_designs
from loopwright.comparison import compare_designs
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent
from small_comparison import SMALL


def test_a_coaxial_line_keeps_of_the_snr_what_its_noise_leaves():
    """The field of an ampere round the loop is a wire's, so SNR goes with the root of the body's share of the noise."""
    wire, line = "{kind: round wire, wire_diameter: 1.7 mm}", "{kind: coaxial line, cable: 50 ohm 1.7 mm fluoropolymer}"
    conductors = f"conductor: [{wire}, {line}]"
    text = SMALL.replace("size: [40 mm, 80 mm, 220 mm]", conductors).replace("gaps: 4", "gaps: 2")
    found = compare_designs(read_designs(text, "small.yaml"), Means(progress=Silent(), store=Forgetful())).comparison
    wire, coaxial = (result.figures for result in found.results)
    assert found.results[1].planned.choices == (("conductor", "coaxial line 50 ohm 1.7 mm fluoropolymer"),)
    assert coaxial.conductor_mass_kg is None
    left = np.sqrt((1 - coaxial.coil_noise_share_mean) / (1 - wire.coil_noise_share_mean))
    assert left < 0.8
    for here, there in zip(coaxial.depths, wire.depths, strict=True):
        assert here.median / there.median == pytest.approx(left, rel=0.02)
