import pytest
from cross_section_solution import strip_resistance_ohm_per_m as by_solution
from hypothesis import given
from hypothesis import strategies as st

from loopwright.conductors import (
    ElastomerStrip,
    conducting_area_m2,
    direct_resistance_ohm_per_m,
    equivalent_radius_m,
    incompressible_resistance_ratio,
    limits,
    outline_width_m,
    resistance_ohm_per_m,
    tabled_resistance_ratio,
)
from loopwright.ground.errors import OutsideModelError

STRETCHES = st.floats(0, 3)
TABLE = {"stretches": (0.1, 0.3), "ratios": (1.4, 3.0)}


def strip(stretch, ratio=None):
    return ElastomerStrip(
        rest_width_m=5e-3,
        rest_thickness_m=100e-6,
        rest_conductivity_s_per_m=7.4e4,
        stretch=stretch,
        resistance_ratio=float(incompressible_resistance_ratio(stretch)) if ratio is None else ratio,
    )


@given(stretch=STRETCHES)
def test_rubber_keeps_its_volume_and_its_conductivity(stretch):
    """A piece longer by 1 + e has (1 + e)^2 the resistance, a metre of it as worn 1 + e."""
    worn, rest = strip(stretch), strip(0.0)
    assert (1 + stretch) * conducting_area_m2(worn) == pytest.approx(conducting_area_m2(rest), rel=1e-12)
    assert worn.conductivity_s_per_m == pytest.approx(rest.conductivity_s_per_m, rel=1e-12)
    found = direct_resistance_ohm_per_m(worn) * (1 + stretch) / direct_resistance_ohm_per_m(rest)
    assert found == pytest.approx((1 + stretch) ** 2, rel=1e-12)


@given(stretch=STRETCHES, ratio=st.floats(0.5, 1000))
def test_a_piece_has_the_ratio_that_was_measured(stretch, ratio):
    worn, rest = strip(stretch, ratio), strip(0.0)
    found = direct_resistance_ohm_per_m(worn) * (1 + stretch) / direct_resistance_ohm_per_m(rest)
    assert found == pytest.approx(ratio, rel=1e-12)


def test_a_stretched_strip_is_narrower_and_a_thinner_wire():
    worn = strip(0.44)
    assert outline_width_m(worn) == pytest.approx(5e-3 / 1.2)
    assert equivalent_radius_m(worn) == pytest.approx(5e-3 / 4.8)


@pytest.mark.parametrize("stretch", [0.0, 0.3, 1.0])
@pytest.mark.parametrize("frequency_hz", [63.9e6, 127.7e6, 298e6])
def test_loss_against_the_solved_cross_section(stretch, frequency_hz):
    worn = strip(stretch)
    solved = by_solution(worn.width_m, worn.thickness_m, worn.conductivity_s_per_m, frequency_hz)
    assert resistance_ohm_per_m(worn, frequency_hz) == pytest.approx(solved, rel=0.04)


def test_a_table_is_read_by_straight_lines_from_rest():
    found = [tabled_resistance_ratio(e, **TABLE) for e in (0.0, 0.05, 0.1, 0.2, 0.3)]
    assert found == pytest.approx([1.0, 1.2, 1.4, 2.2, 3.0])


@pytest.mark.parametrize("stretch", [-0.1, 0.31])
def test_a_table_is_not_continued(stretch):
    with pytest.raises(OutsideModelError, match="outside what was measured"):
        tabled_resistance_ratio(stretch, **TABLE)


def test_a_stretched_strip_says_that_it_creeps():
    assert limits(strip(0.0), 127.7e6) == ()
    assert "creeps" in limits(strip(0.3), 127.7e6)[-1]


@pytest.mark.parametrize("change", [{"stretch": -0.1}, {"resistance_ratio": 0.0}, {"rest_width_m": 50e-6}])
def test_impossible_strips_are_refused(change):
    shape = {
        "rest_width_m": 5e-3,
        "rest_thickness_m": 1e-4,
        "rest_conductivity_s_per_m": 1e4,
        "stretch": 0.1,
        "resistance_ratio": 1.2,
    }
    with pytest.raises(OutsideModelError):
        ElastomerStrip(**{**shape, **change})
