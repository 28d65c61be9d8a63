"""The converter, against definitions of the units and against itself."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loopwright.ground.units import UnitTextError, engineering_text, example_text, quantity_name, si_value

UNITS = ("m", "m^2", "m^3", "s", "Hz", "T", "T/A", "A", "A/m", "V", "W", "ohm", "ohm/m", "H", "F", "S/m", "K")


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("80 mm", "m", 0.08),
        ("80mm", "m", 0.08),
        ("8 cm", "m", 0.08),
        ("35 um", "m", 35e-6),
        ("35 µm", "m", 35e-6),  # micro sign
        ("35 μm", "m", 35e-6),  # Greek mu
        ("3 inch", "m", 0.0762),  # 25.4 mm by definition
        ("-120 mm", "m", -0.12),
        ("−120 mm", "m", -0.12),  # the typographer's minus
        ("3 T", "T", 3.0),
        ("127.7 MHz", "Hz", 127.7e6),
        ("8 mm^3", "m^3", 8e-9),
        ("8 mm3", "m^3", 8e-9),
        ("8 mm³", "m^3", 8e-9),
        ("1 ml", "m^3", 1e-6),
        ("0.5 ohm", "ohm", 0.5),
        ("0.5 Ω", "ohm", 0.5),
        ("5.8e7 S/m", "S/m", 5.8e7),
        ("58 MS/m", "S/m", 5.8e7),
        ("20 degC", "K", 293.15),
        ("20 °C", "K", 293.15),
        ("68 degF", "K", 293.15),
        ("4 K", "K", 4.0),
        ("9 mA/m", "A/m", 9e-3),
        (".5 mm", "m", 5e-4),
    ],
)
def test_reads_what_engineers_write(text, unit, expected):
    assert si_value(text, unit) == expected


def test_different_spellings_of_one_length_are_one_number():
    assert len({si_value(text, "m") for text in ("9.7 cm", "97 mm", "0.097 m", "97000 um", "0.97 dm")}) == 1


@pytest.mark.parametrize(
    ("text", "unit", "found"),
    [
        ("80", "m", "no unit"),
        ("mm", "m", "'mm'"),
        ("", "m", "''"),
        ("5 kg", "m", "a mass"),
        ("8 mm", "m^3", "a length"),
        ("8 mm mm", "m", "an area"),
        ("8 mn", "m", "not a known unit"),
        ("127.7 mhz", "Hz", "not a known unit"),
        ("nan mm", "m", "not finite"),
        ("-inf mm", "m", "not finite"),
        ("1e400 mm", "m", "not finite"),
        ("8 mm; 1", "m", "not a unit"),
        ("8 mm (about)", "m", "not a unit"),
        ("20 delta_degC", "K", "not a unit"),
        ("8 Np^3", "m", "not a known unit"),  # logarithmic units have rules of their own
        ("8 dB", "W", "a plain number"),
        ("20 C", "K", "no temperature"),  # coulomb
    ],
)
def test_says_what_is_wrong(text, unit, found):
    with pytest.raises(UnitTextError) as refusal:
        si_value(text, unit)
    assert found in refusal.value.found
    assert example_text(unit) in refusal.value.remedy
    assert quantity_name(unit) in refusal.value.allowed


def test_a_decimal_comma_is_not_a_thousands_separator():
    with pytest.raises(UnitTextError, match="decimal point"):
        si_value("3,5 mm", "m")


@pytest.mark.parametrize("text", ["8e8 rad/s", "8e8 s^-1", "7000 rpm", "5 Bq"])
def test_only_hertz_is_a_frequency(text):
    with pytest.raises(UnitTextError):
        si_value(text, "Hz")


def test_a_tower_of_powers_is_refused_at_once():
    with pytest.raises(UnitTextError):
        si_value("8 m**9**9**9**9", "m")


def test_remedy_carries_the_callers_example():
    with pytest.raises(UnitTextError, match="35 um"):
        si_value("35", "m", example="35 um")


@pytest.mark.parametrize(
    ("value", "unit", "digits", "text"),
    [
        (0.08, "m", 4, "80 mm"),
        (0.408, "m", 4, "408 mm"),
        (1.2, "m", 4, "1.2 m"),
        (35e-6, "m", 4, "35 um"),
        (0.99999e-3, "m", 4, "1 mm"),
        (0.5874, "m", 2, "590 mm"),
        (-0.12, "m", 4, "-120 mm"),
        (127.729155e6, "Hz", 4, "127.7 MHz"),
        (127.729155e6, "Hz", 6, "127.729 MHz"),
        (310.15, "K", 4, "37 degC"),
        (4.0, "K", 4, "4 K"),
        (8e-9, "m^3", 4, "8 mm^3"),
        (5.8e7, "S/m", 4, "58 MS/m"),
        (0.5, "S/m", 4, "0.5 S/m"),
        (0.1, "ohm", 4, "0.1 ohm"),
        (178.8e-9, "H", 4, "178.8 nH"),
        (0.0, "m", 4, "0 mm"),
    ],
)
def test_writes_as_engineers_do(value, unit, digits, text):
    assert engineering_text(value, unit, digits=digits) == text


@pytest.mark.parametrize("unit", UNITS)
def test_examples_read(unit):
    assert si_value(example_text(unit), unit) > 0


@given(
    unit=st.sampled_from([unit for unit in UNITS if unit != "K"]),
    mantissa=st.floats(0.1, 10),
    exponent=st.integers(-12, 9),
    sign=st.sampled_from([-1, 1]),
)
def test_text_reads_back(unit, mantissa, exponent, sign):
    value = sign * mantissa * 10.0**exponent
    assert si_value(engineering_text(value, unit, digits=12), unit) == pytest.approx(value, rel=1e-11)


@given(value=st.floats(4.0, 400.0))
def test_temperature_reads_back(value):
    assert si_value(engineering_text(value, "K", digits=12), "K") == pytest.approx(value, abs=1e-8)


def finite_or_refused(text, unit):
    try:
        return math.isfinite(si_value(text, unit))
    except UnitTextError as refusal:
        return bool(refusal.remedy)


@given(text=st.text(max_size=40), unit=st.sampled_from(UNITS))
def test_any_text_is_read_or_refused(text, unit):
    assert finite_or_refused(text, unit)


SYMBOLS = ["mm", "T", "^3", "/", "*", " ", "in", "if", "lambda", "°C", "dB", "(", "-1", "e", "degF", "Np", "ppm", "bit"]


@given(
    number=st.sampled_from(["8", "-8", "1e3", ".5", "1e308"]),
    symbols=st.lists(st.sampled_from(SYMBOLS)),
    unit=st.sampled_from(UNITS),
)
def test_any_unit_is_read_or_refused(number, symbols, unit):
    assert finite_or_refused(number + " " + "".join(symbols), unit)
