"""B1+ against that without the array: fields whose ratios are known in closed form."""

import numpy as np
import pytest

from loopwright.fields.rotating import Precession
from loopwright.ground.errors import OutsideModelError
from loopwright.transmit.b1 import b1_changes, b1_ratios

SENSE = Precession.CLOCKWISE
VOXELS = 1000
PLACES_M = np.stack([np.linspace(-0.1, 0.1, VOXELS), np.zeros(VOXELS), np.full(VOXELS, 0.02)], axis=1)


def turning(amplitude, sense=SENSE):
    """Field (voxels) whose B1+ of that sense is the amplitude and whose other component is none."""
    b1 = np.broadcast_to(np.asarray(amplitude, dtype=complex), (VOXELS,))
    return np.stack([b1, 1j * sense * b1, 0 * b1])


def changes(rows, amplitudes, without, sense=SENSE):
    return b1_changes(np.array(rows), np.array(amplitudes), without, sense=sense, places_m=PLACES_M)


@pytest.mark.parametrize("sense", Precession)
def test_no_current_changes_nothing(sense):
    without = turning(np.linspace(0.8, 1.2, VOXELS), sense)
    (told,) = changes([turning(3, sense), without], [[0, 1]], without, sense)
    assert told.as_driven.mean == pytest.approx(1)
    assert told.as_driven.deviation == pytest.approx(0, abs=1e-12)
    assert told.as_driven.lowest == pytest.approx(1)
    assert told.adjustment == pytest.approx(1)
    assert told.left_out == 0


def test_a_field_that_turns_the_other_way_changes_nothing():
    without = turning(1)
    (told,) = changes([turning(0.5, -SENSE), without], [[1, 1]], without)
    assert told.as_driven.mean == pytest.approx(1)
    assert told.as_driven.highest == pytest.approx(1)


def test_a_loop_in_quadrature_adds_in_squares_and_in_phase_straight():
    without = turning(1)
    in_phase, across = changes([turning(0.3), without], [[1, 1], [1j, 1]], without)
    assert in_phase.as_driven.mean == pytest.approx(1.3)
    assert across.as_driven.mean == pytest.approx(np.sqrt(1.09))


def test_a_linear_change_has_its_mean_deviation_percentiles_and_places():
    without = turning(2)
    rise = np.linspace(-0.4, 0.2, VOXELS)
    (told,) = changes([turning(2 * rise), without], [[1, 1]], without)
    driven = told.as_driven
    assert driven.mean == pytest.approx(0.9)
    assert driven.deviation == pytest.approx(0.6 / np.sqrt(12), rel=2e-3)
    assert driven.lowest_percent == pytest.approx(0.6 + 0.006)
    assert driven.highest_percent == pytest.approx(1.2 - 0.006)
    assert (driven.lowest, driven.highest) == pytest.approx((0.6, 1.2))
    assert driven.lowest_place_m == pytest.approx((-0.1, 0, 0.02))
    assert driven.highest_place_m == pytest.approx((0.1, 0, 0.02))
    assert driven.worst == driven.lowest
    assert driven.worst_place_m == driven.lowest_place_m


def test_the_scanner_brings_the_mean_of_the_field_back():
    before = np.linspace(0.5, 1.5, VOXELS)
    after = before * np.linspace(0.7, 1.0, VOXELS)
    without = turning(before)
    (told,) = changes([turning(after - before), without], [[1, 1]], without)
    assert told.adjustment == pytest.approx(before.mean() / after.mean())
    assert told.adjusted.lowest == pytest.approx(0.7 * told.adjustment)
    assert told.adjusted.highest == pytest.approx(told.adjustment)
    assert told.adjusted.worst == told.adjusted.lowest
    assert np.mean(before * b1_ratios(np.array([turning(after)]), np.ones((1, 1)), without, sense=SENSE)[0]) == (
        pytest.approx(after.mean())
    )


def test_voxels_with_next_to_no_field_are_left_out_and_counted():
    before = np.ones(VOXELS)
    before[:7] = 0.01
    without = turning(before)
    (told,) = changes([turning(0.05), without], [[1, 1]], without)
    assert told.left_out == 7
    assert told.as_driven.highest == pytest.approx(1.05)
    ratios = b1_ratios(np.array([turning(0.05), without]), np.ones((1, 2)), without, sense=SENSE)[0]
    assert np.isnan(ratios[:7]).all()
    np.testing.assert_allclose(ratios[7:], 1.05)


def test_many_cases_come_in_order_whatever_fits_at_once(monkeypatch):
    monkeypatch.setattr("loopwright.transmit.b1._HELD", 2 * VOXELS)
    without = turning(1)
    amplitudes = np.stack([np.arange(5) / 10, np.ones(5)], axis=1)
    told = b1_changes(np.array([turning(1), without]), amplitudes, without, sense=SENSE, places_m=PLACES_M)
    assert [case.as_driven.mean for case in told] == pytest.approx([1, 1.1, 1.2, 1.3, 1.4])
    ratios = b1_ratios(np.array([turning(1), without]), amplitudes, without, sense=SENSE)
    np.testing.assert_allclose(ratios, 1 + amplitudes[:, :1] * np.ones(VOXELS))


@pytest.mark.parametrize("voxels", [0, VOXELS])
def test_a_region_without_field_is_refused(voxels):
    without = np.zeros((3, voxels), dtype=complex)
    with pytest.raises(OutsideModelError, match="empty or has no transmit field"):
        b1_changes(without[None], np.ones((1, 1)), without, sense=SENSE, places_m=PLACES_M[:voxels])
