"""What somebody measured wins over formulas, for every kind of conductor; inks by name; what limits."""

import dataclasses

import pytest
from cross_section_solution import strip_resistance_ohm_per_m as by_solution

from loopwright.brief.metals import INKS
from loopwright.conductors import (
    ElastomerStrip,
    FlatStrip,
    LiquidMetalTube,
    PrintedStrip,
    RoundWire,
    Thread,
    computed_resistance_ohm_per_m,
    resistance_ohm_per_m,
    what_limits,
)
from loopwright.ground.errors import OutsideModelError

KINDS = (
    RoundWire(diameter_m=1e-3, conductivity_s_per_m=5.8e7),
    FlatStrip(width_m=5e-3, thickness_m=35e-6, conductivity_s_per_m=5.8e7),
    PrintedStrip(width_m=5e-3, thickness_m=20e-6, conductivity_s_per_m=8e6),
    LiquidMetalTube(bore_m=1e-3, wall_m=0.2e-3, conductivity_s_per_m=3.4e6),
    ElastomerStrip(
        rest_width_m=5e-3, rest_thickness_m=1e-4, rest_conductivity_s_per_m=7e4, stretch=0.2, resistance_ratio=1.44
    ),
    Thread(outer_diameter_m=0.5e-3, thread_ohm_per_m=20.0, length_ratio=1.1),
)


@pytest.mark.parametrize("section", KINDS, ids=lambda section: type(section).__name__)
def test_a_measured_resistance_wins(section):
    measured = dataclasses.replace(section, measured_ohm_per_m=1.2345)
    assert resistance_ohm_per_m(measured, 127.7e6) == 1.2345
    assert computed_resistance_ohm_per_m(measured, 127.7e6) == resistance_ohm_per_m(section, 127.7e6)
    assert resistance_ohm_per_m(section, 127.7e6) != 1.2345
    with pytest.raises(OutsideModelError, match="measured_ohm_per_m"):
        dataclasses.replace(section, measured_ohm_per_m=-1.0)


@pytest.mark.parametrize("ink", list(INKS))
@pytest.mark.parametrize("thickness_m", [10e-6, 25e-6, 50e-6])
@pytest.mark.parametrize("frequency_hz", [63.9e6, 127.7e6, 298e6])
def test_named_inks_against_the_solved_cross_section(ink, thickness_m, frequency_hz):
    sigma = INKS[ink].value
    print_ = PrintedStrip(width_m=4e-3, thickness_m=thickness_m, conductivity_s_per_m=sigma)
    solved = by_solution(4e-3, thickness_m, sigma, frequency_hz)
    assert resistance_ohm_per_m(print_, frequency_hz) == pytest.approx(solved, rel=0.04)


@pytest.mark.parametrize(
    ("thickness_m", "words"),
    [(5e-6, "limited by its thickness: "), (50e-6, "between"), (120e-6, "by the skin effect: ")],
)
def test_a_print_says_what_limits_it(thickness_m, words):
    """Flake ink of 2 MS/m has a skin depth of 31.5 um at 3 T."""
    print_ = PrintedStrip(width_m=5e-3, thickness_m=thickness_m, conductivity_s_per_m=2e6)
    assert words in what_limits(print_, 127.7e6)


def test_thickness_limited_means_that_metal_helps_and_skin_limited_that_it_does_not():
    def halved(thickness_m):
        thin, thick = (
            PrintedStrip(width_m=8e-3, thickness_m=t, conductivity_s_per_m=2e6) for t in (thickness_m, 2 * thickness_m)
        )
        return resistance_ohm_per_m(thick, 127.7e6) / resistance_ohm_per_m(thin, 127.7e6)

    assert halved(5e-6) < 0.6
    assert halved(120e-6) > 0.95
