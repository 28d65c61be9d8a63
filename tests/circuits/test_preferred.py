import numpy as np
import pytest

from loopwright.circuits.preferred import nearest_preferred, series_values
from loopwright.ground.errors import OutsideModelError


@pytest.mark.parametrize(("series", "count"), [("E12", 12), ("E24", 24), ("E48", 48), ("E96", 96)])
def test_a_series_has_as_many_values_as_its_name_says_about_evenly(series, count):
    values = np.array(series_values(series))
    assert len(values) == count
    ratios = np.append(values[1:], 10) / values
    assert ratios == pytest.approx(10 ** (1 / count), rel=0.05)


@pytest.mark.parametrize(
    ("value", "series", "nearest"),
    [(106.4, "E24", 110), (35e-12, "E24", 36e-12), (9.6, "E12", 10), (4.99e3, "E96", 4.99e3), (1.05, "E24", 1.1),
     (0.0153, "E24", 0.015)],
)  # fmt: skip
def test_the_nearest_is_taken_by_ratio(value, series, nearest):
    assert nearest_preferred(value, series) == pytest.approx(nearest, rel=1e-9)


def test_a_series_that_is_none_is_refused():
    with pytest.raises(OutsideModelError, match="E25"):
        series_values("E25")
