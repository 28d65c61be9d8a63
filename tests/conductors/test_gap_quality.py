"""The loss of capacitors in the gaps goes with their value, and reaches the tuned array."""

import numpy as np
import pytest

from brief.base_brief import brief_with
from circuits.made_array import WARM, dressed, network_of, reply_of
from circuits.ring_model import rings
from loopwright.circuits import tune
from loopwright.conductors import GapCapacitors, printed_gap, with_gap_qualities
from loopwright.conductors.printing import printed_step_f
from loopwright.ground.errors import OutsideModelError
from printed_cases import PRINTED

F0_HZ = 123.2e6


def capacitors(**keys):
    return GapCapacitors(request=brief_with(capacitors=keys).capacitors, frequency_hz=F0_HZ)


def test_a_printed_capacitor_has_the_quality_and_the_step_of_its_own_print():
    printed = capacitors(**PRINTED)
    for capacitance_f in (20e-12, 60e-12):
        gap = printed_gap(printed.request, capacitance_f, F0_HZ)
        assert printed.quality(capacitance_f) == gap.quality_factor
        assert printed.step_f(capacitance_f) == pytest.approx(gap.step * capacitance_f, rel=1e-9, abs=0)
        assert printed_step_f(printed.request, capacitance_f) >= printed.request.finest_step * capacitance_f
    assert printed.quality(20e-12) != printed.quality(60e-12)


def test_a_series_resistance_is_a_quality_that_falls_with_the_value():
    """Q = 1 / (w C R) at the frequency at which R was measured."""
    lumped = capacitors(kind="lumped", esr="0.1 ohm")
    assert lumped.quality(20e-12) == pytest.approx(1 / (2 * np.pi * F0_HZ * 20e-12 * 0.1))
    assert lumped.quality(40e-12) == pytest.approx(lumped.quality(20e-12) / 2)
    assert lumped.step_f(20e-12) is None
    assert capacitors(kind="lumped", q="800").quality(20e-12) == pytest.approx(800)


def test_what_cannot_be_printed_keeps_the_quality_of_the_conductor():
    printed, plain = capacitors(**PRINTED), dressed(2, 4)
    found = with_gap_qualities(plain, printed, [20e-12, 30e-9])
    assert found.capacitor_qualities.tolist() == [printed.quality(20e-12), plain.capacitor_q]
    assert plain.capacitor_qualities.tolist() == [plain.capacitor_q] * 2
    with pytest.raises(OutsideModelError, match="3 qualities of capacitors for 2 elements"):
        with_gap_qualities(plain, printed, [20e-12] * 3)


def test_equal_qualities_tune_as_one_quality_does():
    network = network_of(rings(elements=3, gaps=4, nodes=8, coupling=0.05))
    reply, lossy = reply_of(network), dressed(3, 4, capacitor_q=150.0)
    same = with_gap_qualities(dressed(3, 4), capacitors(kind="lumped", q="150"), [20e-12] * 3)
    one, other = (tune(network, reply, dressed=which, temperatures=WARM) for which in (lossy, same))
    assert one.impedance_ohm == pytest.approx(other.impedance_ohm, rel=1e-12)
    assert [e.capacitor_q for e in other.elements] == [150.0] * 3


def test_the_job_tunes_once_more_with_the_loss_of_the_values_found():
    network = network_of(rings(elements=3, gaps=4, nodes=8, coupling=0.05))
    reply, array = reply_of(network), dressed(3, 4)
    told = brief_with(capacitors={"kind": "lumped", "esr": "0.3 ohm"}).capacitors
    plain, lossy = (tune(network, reply, dressed=array, temperatures=WARM, capacitors=which) for which in (None, told))
    w = 2 * np.pi * network.frequency_hz
    for was, now in zip(plain.elements, lossy.elements, strict=True):
        assert now.capacitor_q == pytest.approx(1 / (w * was.capacitance_f * 0.3), rel=1e-9)
        # Four capacitors, each of 0.3 ohm, in series with the current of the loop.
        assert now.capacitor_ohm == pytest.approx(1.2, rel=0.1)
        assert now.noise_figure_db > was.noise_figure_db
        assert now.capacitance_f == pytest.approx(was.capacitance_f, rel=1e-3)
