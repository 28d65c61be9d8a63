"""Analytic slopes of parts against central differences."""

from dataclasses import replace

import numpy as np
import pytest

from loopwright.circuits.main_values import scaled
from loopwright.circuits.part_admittance import admittance_siemens, line_admittance_siemens
from loopwright.circuits.part_slopes import admittance_slopes_siemens, line_slopes_siemens
from loopwright.circuits.parts import Capacitor, Inductor, Line, OffGap, Resistor

F = 127.7e6
STEP = 1e-5
PARTS = [
    Resistor(resistance_ohm=0.4, inductance_h=0.8e-9),
    Capacitor(capacitance_f=33e-12, quality_factor=400, series_resistance_ohm=0.05),
    Inductor(inductance_h=52e-9, quality_factor=120, self_resonance_hz=900e6),
    Inductor(inductance_h=900e-9, quality_factor=80, self_resonance_hz=130e6),
    OffGap(resistance_ohm=5e3, capacitance_f=0.3e-12),
]


def central(of):
    return (of(1 + STEP) - of(1 - STEP)) / (2 * STEP)


@pytest.mark.parametrize("part", PARTS, ids=lambda part: type(part).__name__)
def test_slopes_of_parts_are_the_differences(part):
    by_value, by_frequency = admittance_slopes_siemens(part, F)
    assert by_value == pytest.approx(central(lambda k: admittance_siemens(scaled(part, k), F)), rel=1e-7)
    assert by_frequency == pytest.approx(central(lambda k: admittance_siemens(part, F * k)), rel=1e-7, abs=1e-13)


def test_slopes_of_a_line_are_the_differences():
    line = Line(length_m=0.21, characteristic_ohm=50, velocity_factor=0.7, loss_db_per_m=0.4)
    by_length, by_frequency = line_slopes_siemens(line, F)
    for at in (0, 1):
        longer = central(lambda k, at=at: line_admittance_siemens(replace(line, length_m=line.length_m * k), F)[at])
        faster = central(lambda k, at=at: line_admittance_siemens(line, F * k)[at])
        assert by_length[at] == pytest.approx(longer, rel=1e-7)
        assert by_frequency[at] == pytest.approx(faster, rel=1e-7)
    assert not np.isclose(by_length[0], by_frequency[0], rtol=1e-9)
