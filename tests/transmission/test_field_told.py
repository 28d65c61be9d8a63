"""How the field is told: its scale, its sense, its electric field; and the curves of diodes that follow it."""

from math import pi

import numpy as np
import pytest

from loopwright.brief.records.transmit import (
    BirdcageRequest,
    PeakLevel,
    PulsesLevel,
    RectanglePulse,
    RmsLevel,
    SarLevel,
)
from loopwright.fields.rotating import Precession
from loopwright.transmit.field_words import gauge_words, level_words, sense_words
from transmission.array_on_ball import PIN_ONLY, TRAPS, once


def test_the_scale_is_told_by_what_the_brief_sets():
    pulse = RectanglePulse(name="hard", duration_s=1e-3, count=3, flip_angle_rad=pi / 2)
    told = {
        RmsLevel(b1_rms_t=3e-6, peak_b1_t=2e-5): "B1+rms and peak",
        PeakLevel(peak_b1_t=2e-5, duty=0.04): "duty of 0.04",
        SarLevel(sar_w_per_kg=2.0, peak_b1_t=2e-5): "2 W/kg",
        PulsesLevel(pulses=(pulse,), repetition_time_s=0.5): "3 pulses in every 500 ms",
    }
    for level, words in told.items():
        assert words in level_words(level)


def test_sense_and_electric_field_are_those_of_the_source():
    assert "counter" in sense_words(Precession.COUNTERCLOCKWISE)
    assert "counter" not in sense_words(Precession.CLOCKWISE)
    found = once(TRAPS)
    assert found.sense == sense_words(Precession.CLOCKWISE)
    assert found.gauge.startswith("in the E_z form")
    assert "birdcage" in gauge_words(BirdcageRequest.model_construct())


def test_curves_go_from_below_any_onset_to_the_peak_and_meet_the_onsets_between():
    found = once(TRAPS)
    assert [one.condition for one in found.onset_curves] == ["plugged in", "unplugged"]
    for curve in found.onset_curves:
        own = [one for one in found.diodes if one.condition == curve.condition]
        fields_t, mean = np.array(curve.b1_plus_t), np.array(curve.mean_b1)
        assert len(fields_t) == 20
        assert np.all(np.diff(fields_t) > 0)
        assert fields_t[-1] == pytest.approx(found.exposure.peak_b1_plus_t)
        assert fields_t[0] < min(one.acts_t for one in found.diodes)
        assert mean[-1] == pytest.approx(own[0].b1_at_peak, abs=1e-6)
        reach = abs(own[0].b1_below - own[0].b1_at_peak)
        assert mean[0] == pytest.approx(own[0].b1_below, abs=0.05 * reach)
        for one in own:
            if np.isfinite(one.acts_t):
                between = np.interp(np.log(one.acts_t), np.log(fields_t), mean)
                assert between == pytest.approx(one.b1_at_onset, abs=0.1 * reach)
    assert once(PIN_ONLY).onset_curves == ()
