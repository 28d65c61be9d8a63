"""Numbers as the dossier prints them: in the engineer's unit, and never finer than they are known."""

from dataclasses import dataclass
from math import floor, isfinite, log10

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.units import engineering_text

__all__ = [
    "DISPLAY_UNITS",
    "DisplayUnit",
    "display_unit",
    "printed",
    "printed_as_given",
    "printed_in_steps",
    "printed_position",
    "printed_range",
    "printed_to",
    "printed_with_uncertainty",
]

_MINUS = "\N{MINUS SIGN}"


@dataclass(frozen=True, slots=True)
class DisplayUnit:
    """The unit on paper, and how many of it make one SI unit."""

    symbol: str
    per_si: float


#: From the SI unit of a record to the unit on paper; one fixed choice each, so that two dossiers compare at a glance.
DISPLAY_UNITS = {
    "1": DisplayUnit("", 1.0),
    "F": DisplayUnit("pF", 1e12),
    "H": DisplayUnit("nH", 1e9),
    "Hz": DisplayUnit("MHz", 1e-6),
    "K": DisplayUnit("K", 1.0),
    "S/m": DisplayUnit("S/m", 1.0),
    "T": DisplayUnit("T", 1.0),
    "T/A": DisplayUnit("µT/A", 1e6),
    "T A^-1 ohm^-1/2": DisplayUnit("µT/(A √Ω)", 1e6),
    "kg": DisplayUnit("g", 1e3),
    "kg/m^2": DisplayUnit("g/cm²", 0.1),
    "kg/m^3": DisplayUnit("kg/m³", 1.0),
    "Pa": DisplayUnit("Pa", 1.0),
    "a": DisplayUnit("years", 1.0),
    "dB": DisplayUnit("dB", 1.0),
    "degC": DisplayUnit("°C", 1.0),
    "m": DisplayUnit("mm", 1e3),
    "m^-3": DisplayUnit("m⁻³", 1.0),
    "m^2": DisplayUnit("cm²", 1e4),
    "m^3": DisplayUnit("cm³", 1e6),
    "ohm": DisplayUnit("Ω", 1.0),
    "ohm/m": DisplayUnit("Ω/m", 1.0),
}

#: Below the first number (SI) a single figure is printed in the second unit: a bandwidth is no carrier frequency.
_BELOW = {
    "Hz": (1e5, DisplayUnit("Hz", 1.0)),
    "T": (1e-3, DisplayUnit("µT", 1e6)),
    "m": (1e-4, DisplayUnit("µm", 1e6)),
    "m^3": (1e-7, DisplayUnit("mm³", 1e9)),
}


def display_unit(si_unit: str) -> DisplayUnit:
    """Return the unit on paper; a unit without an entry is printed as it is.

    >>> display_unit("H")
    DisplayUnit(symbol='nH', per_si=1000000000.0)
    """
    return DISPLAY_UNITS.get(si_unit, DisplayUnit(si_unit, 1.0))


def _unit_for(value: float, si_unit: str) -> DisplayUnit:
    bound, smaller = _BELOW.get(si_unit, (0.0, DisplayUnit("", 1.0)))
    return smaller if 0 < abs(value) < bound else display_unit(si_unit)


def printed(value: float, si_unit: str = "1", *, digits: int = 3) -> str:
    """Print a value whose uncertainty is not known, with so many significant digits, in the unit on paper.

    >>> printed(178.84e-9, "H")
    '179 nH'
    >>> printed(0.71913, "S/m", digits=2)
    '0.72 S/m'
    >>> printed(200.0, "Hz")
    '200 Hz'
    """
    unit = _unit_for(value, si_unit)
    return _joined(_significant(value * unit.per_si, digits), unit.symbol)


def printed_as_given(value: float, si_unit: str = "1") -> str:
    """Print a value that somebody chose, as that person would write it.

    >>> printed_as_given(0.08, "m"), printed_as_given(123.2e6, "Hz")
    ('80 mm', '123.2 MHz')
    """
    number, _, symbol = printed(value, si_unit, digits=6).partition(" ")
    return _joined(number.rstrip("0").rstrip(".") if "." in number else number, symbol)


def printed_in_steps(value: float, si_unit: str, *, digits: int = 4) -> str:
    """Print a value in the step of its unit that suits its size, for currents, voltages and times that span many.

    >>> printed_in_steps(20e-6, "T"), printed_in_steps(0.0717, "A", digits=2)
    ('20 µT', '72 mA')
    """
    return engineering_text(value, si_unit, digits=digits).replace(" u", " µ")


def printed_to(value: float, decimals: int) -> str:
    """Print a number to so many decimals, and never a negative zero.

    >>> printed_to(-5.3e-15, 1), printed_to(-59.94, 1)
    ('0.0', '−59.9')
    """
    return _signed(round(value, decimals) + 0.0, decimals)


def printed_with_uncertainty(value: float, uncertainty: float, si_unit: str = "1") -> str:
    """Print a value and its uncertainty, both to the digit at which the uncertainty begins.

    >>> printed_with_uncertainty(8.4176, 0.2315, "ohm")
    '8.4 ± 0.2 Ω'
    >>> printed_with_uncertainty(8.4176, 0.1315, "ohm")
    '8.42 ± 0.13 Ω'
    """
    unit = _unit_for(value, si_unit)
    v, u = value * unit.per_si, abs(uncertainty) * unit.per_si
    if not (isfinite(v) and isfinite(u)) or u == 0:
        return f"{_joined(_significant(v, 3), '')} ± {_joined(_significant(u, 1), unit.symbol)}"
    place = floor(log10(u))
    if u / 10**place < 2:  # a leading 1 keeps a second digit, or rounding would change it by half
        place -= 1
    decimals = max(0, -place)
    return _joined(f"{_signed(round(v, -place), decimals)} ± {_signed(round(u, -place), decimals)}", unit.symbol)


def printed_position(at_m: tuple[float, float, float]) -> str:
    """Print a place in the body frame [m], to the millimetre.

    >>> printed_position((0.012, -0.0301, 0.0))
    'x 12, y −30, z 0 mm'
    """
    x, y, z = (printed_to(1e3 * along, 0) for along in at_m)
    return f"x {x}, y {y}, z {z} mm"


def printed_range(values: NDArray[np.floating], si_unit: str = "1", *, digits: int = 3) -> str:
    """Print the median of several values, and their least and largest in brackets where they differ in print.

    >>> printed_range(np.array([1.0, 2.0, 4.0]), "ohm")
    '2.00 Ω (1.00 to 4.00)'
    >>> printed_range(np.array([216.3, 216.4]))
    '216'
    """
    unit = display_unit(si_unit)
    finite = values[np.isfinite(values)] * unit.per_si
    if finite.size == 0:
        return "not known"
    low, middle, high = (_significant(float(v), digits) for v in (finite.min(), np.median(finite), finite.max()))
    told = _joined(middle, unit.symbol)
    return told if low == high else f"{told} ({low} to {high})"


def _significant(value: float, digits: int) -> str:
    """Print to so many significant digits, without an exponent where a reader would not want one."""
    if not isfinite(value):
        return "∞" if value == float("inf") else "not known"
    if value == 0:
        return "0"
    place = floor(log10(abs(value)))
    value = round(value, digits - 1 - place)
    place = floor(log10(abs(value)))  # 9.996 to three digits is 10.0
    if place < -3 or place > 5:
        mantissa = _signed(value / 10**place, digits - 1)
        return f"{mantissa} × 10{_superscript(place)}"
    return _signed(value, max(0, digits - 1 - place))


def _signed(value: float, decimals: int) -> str:
    return f"{value:.{decimals}f}".replace("-", _MINUS)


def _superscript(exponent: int) -> str:
    return str(exponent).translate(str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"))


def _joined(number: str, symbol: str) -> str:
    return f"{number} {symbol}" if symbol else number
