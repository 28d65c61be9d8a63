"""Diameters of wire, as a length or by American wire gauge."""

import re
from dataclasses import dataclass

from loopwright.brief.keys import Key, Unfit
from loopwright.brief.quantities import Quantity
from loopwright.brief.tree import Node, Scalar, described
from loopwright.ground.gauges import gauge_diameter_m
from loopwright.ground.units import engineering_text, si_value

__all__ = ["WireDiameter"]

_GAUGE = re.compile(r"(?:AWG ?)?([0-9]{1,2})(?: ?AWG)?", re.IGNORECASE | re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class WireDiameter(Key):
    """A diameter between two bounds, or the gauge of a bare wire such as 20 AWG."""

    low: str
    high: str
    sample: str

    @property
    def allowed(self) -> str:
        """Range, and the other way to say it."""
        return f"{self.low} to {self.high}, or a gauge such as 20 AWG"

    @property
    def kind(self) -> str:
        """Length or gauge."""
        return "length, or wire gauge"

    @property
    def example(self) -> str:
        """Return the sample."""
        return self.sample

    def value_of(self, node: Node) -> float:
        """Read the diameter. [m]"""
        gauge = _GAUGE.fullmatch(node.text) if isinstance(node, Scalar) and "awg" in node.text.casefold() else None
        if gauge is not None:
            diameter_m = gauge_diameter_m(int(gauge[1]))
            if not si_value(self.low, "m") <= diameter_m <= si_value(self.high, "m"):
                raise self.unfit(f"{described(node)}, which is {engineering_text(diameter_m, 'm')}")
            return diameter_m
        length = Quantity(
            name=self.name, meaning=self.meaning, unit="m", low=self.low, high=self.high, sample=self.sample
        )
        try:
            return length.value_of(node)
        except Unfit as error:
            raise self.unfit(error.found, error.remedy) from error
