"""Middle sizes by sex and age.

Boys at birth between the rows of the table: the size at birth of the INTERGROWTH project, read in a public copy of its
tables (28, 32, 36 and 38 weeks; length in cm, mass in kg, head circumference in cm).
"""

import numpy as np
import pytest

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.growth import middle_sizes, years_after_term
from loopwright.ground.sources import Flag


@pytest.mark.parametrize(
    ("weeks", "length_cm", "mass_kg", "head_cm"),
    [(28, 37.3, 1.07, 25.9), (32, 42.4, 1.74, 29.4), (36, 47.0, 2.69, 32.5), (38, 48.6, 3.08, 33.5)],
)
def test_boys_between_the_rows_have_the_published_sizes_at_birth(weeks, length_cm, mass_kg, head_cm):
    found = middle_sizes("male", age_years=years_after_term(weeks))
    assert found["length"].value == pytest.approx(length_cm / 100, rel=0.01)
    assert found["head circumference"].value == pytest.approx(head_cm / 100, rel=0.012)
    # 34 and 40 weeks are six weeks apart, in which mass grows by half.
    assert found["mass"].value == pytest.approx(mass_kg, rel=0.04)


@pytest.mark.parametrize("sex", ["female", "male"])
def test_nobody_shrinks(sex):
    ages = np.concatenate([np.linspace(years_after_term(26), 0, 15), np.linspace(0.05, 25, 60)])
    sizes = [middle_sizes(sex, age_years=age) for age in ages]
    for name in sizes[0]:
        assert np.all(np.diff([size[name].value for size in sizes]) > -1e-12), name


def test_a_row_keeps_its_flags_and_what_lies_between_is_no_better_than_its_neighbours():
    year = middle_sizes("male", age_years=1)
    assert year["length"].value == pytest.approx(0.757)
    assert year["length"].source.flag is Flag.READ
    assert year["thigh circumference"].source.flag is Flag.MEMORY
    between = middle_sizes("male", age_years=2)
    assert between["length"].source.flag is Flag.COMPUTED
    assert between["thigh circumference"].source.flag is Flag.MEMORY
    assert middle_sizes("male", age_years=17)["length"].source.flag is Flag.MEMORY


def test_preterm_girls_are_boys_times_girls_over_boys_at_term():
    girls, boys = (middle_sizes(sex, age_years=years_after_term(30)) for sex in ("female", "male"))
    term = [middle_sizes(sex, age_years=0.0) for sex in ("female", "male")]
    for name in ("length", "mass", "head circumference"):
        ratio = term[0][name].value / term[1][name].value
        assert girls[name].value / boys[name].value == pytest.approx(ratio, rel=0.005)
        assert girls[name].source.flag is Flag.COMPUTED
        assert boys[name].source.flag is Flag.READ


def test_the_grown_up_stay_as_they_are():
    grown, old = (middle_sizes("female", age_years=age) for age in (20, 80))
    assert {name: size.value for name, size in grown.items()} == {name: size.value for name, size in old.items()}


def test_before_26_weeks_and_for_others_there_is_no_table():
    with pytest.raises(OutsideModelError, match="the table begins"):
        middle_sizes("male", age_years=years_after_term(25))
    with pytest.raises(OutsideModelError, match="female and male"):
        middle_sizes("none", age_years=5)
