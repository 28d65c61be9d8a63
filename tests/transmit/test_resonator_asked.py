"""Where the resonator of a brief stands, and which array it takes."""

import pytest

from brief.base_brief import brief_with
from loopwright.ground.errors import OutsideModelError
from loopwright.transmit.asked import middle_of_resonator_m
from transmit.worn_lies import ball, designed


def transmitting(**keys):
    return brief_with(circuit={"wiring": "capacitive match"}, transmit=keys).transmit


def test_left_out_it_is_that_of_the_body_across_and_of_the_array_along():
    elements = designed().dressed.layout.elements
    x, y, z = middle_of_resonator_m(transmitting(), ball(), elements)
    heights = [corner for element in elements for corner in element.vertices_m[:, 2]]
    assert (x, y) == pytest.approx((0.0, 0.0), abs=1e-12)
    assert z == pytest.approx((min(heights) + max(heights)) / 2)
    assert middle_of_resonator_m(transmitting(middle=["0 mm", "5 mm", "40 mm"]), ball(), elements) == (0, 0.005, 0.04)


def test_an_array_that_reaches_through_the_conductors_is_refused():
    """The body of 50 mm is within, its loops 8 mm off the skin and more are not; beside the axis they pass sooner."""
    elements = designed().dressed.layout.elements
    tight = transmitting().model_copy(
        update={"resonator": transmitting().resonator.model_copy(update={"radius_m": 0.055})}
    )
    with pytest.raises(OutsideModelError, match="conductors lie at 55 mm"):
        middle_of_resonator_m(tight, ball(), elements)
    with pytest.raises(OutsideModelError, match="reaches 3"):
        middle_of_resonator_m(transmitting().model_copy(update={"middle_m": (0.25, -0.2, 0.0)}), ball(), elements)
