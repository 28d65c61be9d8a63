import numpy as np
import pytest

from loopwright.brief.records import BoxRegion, SphereRegion, WholeBodyRegion
from loopwright.imaging.magnetisation import water_magnetisation_a_per_m
from loopwright.imaging.reception import reception_field_t_per_a, recombined
from loopwright.imaging.region import box_mask, region_mask, sphere_mask


def test_reception_takes_the_component_of_its_sign_without_conjugate():
    field = np.array([[[1 + 2j], [3 - 1j], [9.0]]], dtype=np.complex64)
    assert reception_field_t_per_a(field, reception_sign=1)[0, 0] == pytest.approx(((1 + 2j) + 1j * (3 - 1j)) / 2)
    assert reception_field_t_per_a(field, reception_sign=-1)[0, 0] == pytest.approx(((1 + 2j) - 1j * (3 - 1j)) / 2)
    with pytest.raises(ValueError, match="0"):
        reception_field_t_per_a(field, reception_sign=0)


def test_fields_combine_as_currents_do():
    fields = np.arange(12, dtype=complex).reshape(2, 2, 3)
    currents = np.array([[1.0, 0.1j], [0.2, 1.0]])  # loop (row) per port (column)
    found = recombined(fields, currents)
    np.testing.assert_allclose(found[0], fields[0] + 0.2 * fields[1])
    np.testing.assert_allclose(found[1], 0.1j * fields[0] + fields[1])


def test_magnetisation_goes_with_field_over_temperature():
    one = water_magnetisation_a_per_m(3.0, temperature_k=310.15)
    assert water_magnetisation_a_per_m(-3.0, temperature_k=310.15) == one > 0
    assert water_magnetisation_a_per_m(6.0, temperature_k=310.15) == pytest.approx(2 * one)
    assert water_magnetisation_a_per_m(3.0, temperature_k=620.3) == pytest.approx(one / 2)


POINTS_M = np.array([[0.0, 0, 0], [0.02, 0, 0], [0, 0, 0.05], [0.02, 0.02, 0.02]])


def test_masks_hold_their_edges():
    assert sphere_mask(POINTS_M, centre_m=(0, 0, 0), radius_m=0.02).tolist() == [True, True, False, False]
    assert box_mask(POINTS_M, minimum_m=(0, 0, 0), maximum_m=(0.02, 0.02, 0.02)).tolist() == [True, True, False, True]


def test_regions_are_deep_enough():
    depth_m = np.array([0.03, 0.01, 0.005, -0.01])
    whole = WholeBodyRegion(least_depth_m=0.01)
    ball = SphereRegion(centre_m=(0, 0, 0), radius_m=0.06, least_depth_m=0.02)
    box = BoxRegion(min_m=(0, 0, 0), max_m=(0.02, 0.02, 0.06), least_depth_m=0.0)
    found = [region_mask(r, POINTS_M, depth_m=depth_m).tolist() for r in (whole, ball, box)]
    assert found == [[True, True, False, False], [True, False, False, False], [True, True, True, False]]
