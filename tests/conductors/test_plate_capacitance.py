"""The fringe of two plates on a film, against moment-method solutions that share nothing with the formula."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.constants import epsilon_0

from loopwright.conductors import film_share, fringed_capacitance_f, strip_capacitance_f_per_m
from loopwright.ground.errors import OutsideModelError
from plate_solutions import squares_f, strips_f_per_m

FILM_M = 50e-6


#: Most that the expansion may lack, by widths: on films, and in air, whose fringe is the larger part.
ON_FILM, IN_AIR = {5: 5e-3, 10: 2e-3, 30: 3e-4, 100: 1e-4}, {5: 1.2e-2, 10: 4e-3, 30: 7e-4, 100: 1e-4}


@pytest.mark.parametrize("widths", [5, 10, 30, 100])
@pytest.mark.parametrize(("eps_r", "most"), [(1.0, IN_AIR), (2.1, ON_FILM), (3.4, ON_FILM)])
def test_strips_agree_with_the_moment_method(eps_r, most, widths):
    found = strip_capacitance_f_per_m(widths * FILM_M, FILM_M, eps_r=eps_r)
    coarse, fine = (
        strips_f_per_m(width_m=widths * FILM_M, film_m=FILM_M, eps_r=eps_r, count=count) for count in (80, 160)
    )
    limit = fine + (fine - coarse) / 3  # the charge at the edge makes the solution converge as the square of the cells
    assert abs(fine / coarse - 1) < 2e-4
    assert 0 < 1 - float(found) / limit < most[widths]


@pytest.mark.parametrize("eps_r", [2.1, 3.4])
def test_the_error_falls_faster_than_the_fringe(eps_r):
    """What the expansion leaves out is of the next order in film over width."""

    def off(widths):
        solved = strips_f_per_m(width_m=widths * FILM_M, film_m=FILM_M, eps_r=eps_r, count=160)
        return abs(float(strip_capacitance_f_per_m(widths * FILM_M, FILM_M, eps_r=eps_r)) / solved - 1)

    assert off(40) < off(10) / 3


def test_without_film_it_is_palmers_formula():
    """Palmer 1937: eps w/d [1 + d/(pi w) (1 + ln(2 pi w/d))]; Wheeler's constants hold three digits."""
    ratio = np.array([5.0, 20.0, 100.0])
    palmer = epsilon_0 * ratio * (1 + (1 + np.log(2 * np.pi * ratio)) / (np.pi * ratio))
    assert strip_capacitance_f_per_m(ratio * FILM_M, FILM_M, eps_r=1.0) == pytest.approx(palmer, abs=1e-3 * epsilon_0)


@pytest.mark.parametrize("ratio", [0.05, 0.1])
def test_squares_lack_only_their_corners(ratio):
    """Four corners add about 3 eps0 d in air, which the expansion leaves out; edges and outer faces are in it."""
    coarse, fine = (squares_f(side_m=1.0, apart_m=ratio, count=count) for count in (24, 34))
    found = float(fringed_capacitance_f(1.0, 1.0, ratio, eps_r=1.0))
    assert abs(fine - coarse) < 0.75 * epsilon_0 * ratio
    assert 2 < (fine - found) / (epsilon_0 * ratio) < 3.5


def test_a_square_on_thin_air_agrees_with_the_moment_method():
    coarse, fine = (squares_f(side_m=1.0, apart_m=0.02, count=count) for count in (28, 36))
    assert fine == pytest.approx(coarse, rel=1e-3, abs=0)
    assert float(fringed_capacitance_f(1.0, 1.0, 0.02, eps_r=1.0)) == pytest.approx(fine, rel=1e-3, abs=0)


@pytest.mark.parametrize("margin", [0.5, 1, 2, 5, 20])
def test_an_oversize_plate_adds_what_the_moment_method_says(margin):
    """Per metre, as the difference of two long plates."""
    wide, long = 100 * FILM_M, 1.0
    two = (
        fringed_capacitance_f(wide, length, FILM_M, eps_r=3.2, margin_m=margin * FILM_M) for length in (long, 2 * long)
    )
    found = -np.subtract(*map(float, two)) / long
    solved = strips_f_per_m(width_m=wide, film_m=FILM_M, eps_r=3.2, count=120, margin_m=margin * FILM_M)
    equal = float(strip_capacitance_f_per_m(wide, FILM_M, eps_r=3.2))
    assert found - equal == pytest.approx(solved - equal, rel=0.15, abs=0)
    assert found == pytest.approx(solved, rel=1e-3, abs=0)


# A film of exactly a fifth of a side would be in or out of the formula's range by rounding, once it is scaled.
@given(
    w=st.floats(1e-3, 2e-2),
    l=st.floats(1e-3, 2e-2),
    d=st.floats(1e-5, 1.99e-4),
    k=st.floats(1, 10),
    s=st.floats(0.2, 5),
)
def test_plates_scale_and_know_no_first_side(w, l, d, k, s):
    one = fringed_capacitance_f(w, l, d, eps_r=k)
    assert fringed_capacitance_f(l, w, d, eps_r=k) == pytest.approx(one, rel=1e-12, abs=0)
    assert fringed_capacitance_f(s * w, s * l, s * d, eps_r=k) == pytest.approx(s * one, rel=1e-12, abs=0)
    assert one > epsilon_0 * k * w * l / d


def test_a_long_plate_is_a_strip():
    wide = 40 * FILM_M
    one, two = (float(fringed_capacitance_f(wide, length, FILM_M, eps_r=3.0)) for length in (1.0, 2.0))
    assert two - one == pytest.approx(float(strip_capacitance_f_per_m(wide, FILM_M, eps_r=3.0)), rel=1e-6, abs=0)


@pytest.mark.parametrize("margin_m", [0.0, 1e-4])
def test_the_share_of_the_film_is_the_slope(margin_m):
    plate = {"width_m": 2e-3, "length_m": 5e-3, "film_m": FILM_M, "margin_m": margin_m}
    step = 1e-5
    up, down = (float(fringed_capacitance_f(**plate, eps_r=3 * (1 + one))) for one in (step, -step))
    slope = (np.log(up) - np.log(down)) / (2 * step)
    assert film_share(**plate, eps_r=3.0) == pytest.approx(slope, rel=1e-6)
    assert film_share(**plate, eps_r=3.0) < 1


@pytest.mark.parametrize(
    ("film", "eps_r", "printed"),
    [
        ("PET", 3.1, (110, 55, 37, 22)),
        ("PEEK", 3.2, (113, 57, 38, 23)),
        ("polyimide", 3.4, (120, 60, 40, 24)),
        ("PTFE", 2.1, (74, 37, 25, 15)),
        ("PP", 2.25, (80, 40, 27, 16)),
    ],
)
def test_a_square_centimetre_has_what_the_trade_counts_on(film, eps_r, printed):
    """Common practice without fringe, two digits: pF per square centimetre at 25, 50, 75 and 125 um."""
    for film_m, picofarad in zip((25e-6, 50e-6, 75e-6, 125e-6), printed, strict=True):
        bare = 1e12 * epsilon_0 * eps_r * 1e-4 / film_m
        assert bare == pytest.approx(picofarad, abs=0.6 if picofarad < 100 else 1), film
        whole = 1e12 * float(fringed_capacitance_f(0.01, 0.01, film_m, eps_r=eps_r))
        assert 1 < whole / bare < 1.06, film


@pytest.mark.parametrize(
    "change", [{"film_m": 1e-3}, {"margin_m": -1e-4}, {"eps_r": 0.9}, {"width_m": 1e-5}, {"width_m": -1e-3}]
)
def test_what_the_formula_cannot_tell_is_refused(change):
    plate = {"width_m": 3e-3, "length_m": 5e-3, "film_m": FILM_M, "eps_r": 3.0, "margin_m": 0.0} | change
    with pytest.raises(OutsideModelError, match="Use larger plates"):
        fringed_capacitance_f(**plate)
