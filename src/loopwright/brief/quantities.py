"""The kinds of values that have a unit or several parts, and how each is read."""

from dataclasses import dataclass
from math import radians

from loopwright.brief.keys import Key, Unfit, plain_number
from loopwright.brief.tree import Node, described
from loopwright.ground.units import UnitTextError, quantity_name, si_value

__all__ = ["Angle", "Decibels", "Depth", "Quantity", "Ratio", "Share", "Tolerance", "part_of_one"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity(Key):
    """A number with a unit, between two bounds that are written with their units too."""

    unit: str
    low: str
    high: str
    sample: str = ""

    @property
    def allowed(self) -> str:
        """Range with units."""
        return f"{self.low} to {self.high}"

    @property
    def kind(self) -> str:
        """Name of the quantity."""
        return quantity_name(self.unit)

    @property
    def example(self) -> str:
        """Return the sample, else the default, else the lower bound."""
        return self.sample or (self.default.value if self.default else self.low)

    def value_of(self, node: Node) -> float:
        """Read the quantity in its SI unit."""
        text = self.text_of(node)
        try:
            value = si_value(text, self.unit, example=self.example)
        except UnitTextError as error:
            raise self.unfit(error.found, error.remedy) from error
        if not si_value(self.low, self.unit) <= value <= si_value(self.high, self.unit):
            raise self.unfit(
                described(node),
                f"write {'an' if self.kind[0] in 'aeiou' else 'a'} {self.kind} in that range, such as '{self.example}'",
            )
        return value


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth(Key):
    """A length, or a number of voxels of the body's grid."""

    voxel_m: float
    most_voxels: float = 50.0

    @property
    def allowed(self) -> str:
        """Range in either unit."""
        return f"0 mm to 100 mm, or 0 voxels to {self.most_voxels:g} voxels"

    @property
    def kind(self) -> str:
        """Length or voxels."""
        return "length, or number of voxels"

    @property
    def example(self) -> str:
        """Return two voxels."""
        return "2 voxels"

    def value_of(self, node: Node) -> float:
        """Read the depth. [m]"""
        text = self.text_of(node)
        counted = text.removesuffix("voxels").removesuffix("voxel")
        if counted != text:
            number = plain_number(counted.strip())
            if number is None or not 0 <= number <= self.most_voxels:
                raise self.unfit(described(node))
            return number * self.voxel_m
        length = Quantity(name=self.name, meaning=self.meaning, unit="m", low="0 mm", high="100 mm")
        try:
            return length.value_of(node)
        except Unfit as error:
            raise self.unfit(error.found, error.remedy) from error


@dataclass(frozen=True, slots=True, kw_only=True)
class Ratio(Key):
    """A part of a whole below one, as a fraction such as 1/3 or as a number."""

    @property
    def allowed(self) -> str:
        """Either form."""
        return "a fraction such as 1/3, or a number, from 0 to below 1"

    @property
    def kind(self) -> str:
        """Fraction."""
        return "fraction"

    @property
    def example(self) -> str:
        """Return a third."""
        return "1/3"

    def value_of(self, node: Node) -> float:
        """Read the fraction."""
        above, stroke, below = (part.strip() for part in self.text_of(node).partition("/"))
        numbers = [plain_number(above), plain_number(below) if stroke else 1.0]
        if numbers[0] is None or not numbers[1] or not 0 <= numbers[0] / numbers[1] < 1:
            raise self.unfit(described(node))
        return numbers[0] / numbers[1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Decibels(Key):
    """A number of decibels; ``unit`` is dB or dB/m."""

    low: float
    high: float
    unit: str = "dB"

    @property
    def allowed(self) -> str:
        """Range."""
        return f"{self.low:g} {self.unit} to {self.high:g} {self.unit}"

    @property
    def kind(self) -> str:
        """Decibels."""
        return "decibels" if self.unit == "dB" else "decibels per metre"

    @property
    def example(self) -> str:
        """Return the default, else the upper bound."""
        return self.default.value if self.default else f"{self.high:g} {self.unit}"

    def value_of(self, node: Node) -> float:
        """Read the number. [dB]"""
        text = self.text_of(node)
        number = plain_number(text.removesuffix(self.unit).strip()) if text.endswith(self.unit) else None
        if number is None or not self.low <= number <= self.high:
            raise self.unfit(described(node))
        return number


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerance(Key):
    """How far a value may be off, in per cent or as a part of one."""

    @property
    def allowed(self) -> str:
        """Range."""
        return "0.01 % to 50 %"

    @property
    def kind(self) -> str:
        """Per cent."""
        return "per cent"

    @property
    def example(self) -> str:
        """Return two per cent."""
        return "2 %"

    def value_of(self, node: Node) -> float:
        """Read the part of one."""
        part = part_of_one(self.text_of(node))
        if part is None or not 1e-4 <= part <= 0.5:
            raise self.unfit(described(node))
        return part


@dataclass(frozen=True, slots=True, kw_only=True)
class Share(Key):
    """How much of a whole there is at least, in per cent or as a part of one."""

    @property
    def allowed(self) -> str:
        """Range."""
        return "1 % to 99 %"

    @property
    def kind(self) -> str:
        """Per cent."""
        return "per cent"

    @property
    def example(self) -> str:
        """Return half."""
        return "50 %"

    def value_of(self, node: Node) -> float:
        """Read the part of one."""
        part = part_of_one(self.text_of(node))
        if part is None or not 0.01 <= part <= 0.99:
            raise self.unfit(described(node))
        return part


def part_of_one(text: str) -> float | None:
    """Read per cent, or a part of one; None for what is neither."""
    number = plain_number(text.removesuffix("%").strip())
    return None if number is None else float(f"{number / 100 if text.endswith('%') else number:.12g}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Angle(Key):
    """An angle in degrees; the record holds radians."""

    low_deg: float
    high_deg: float

    @property
    def allowed(self) -> str:
        """Range in degrees."""
        return f"{self.low_deg:g} deg to {self.high_deg:g} deg"

    @property
    def kind(self) -> str:
        """Angle."""
        return "angle"

    @property
    def example(self) -> str:
        """Return an angle."""
        return "30 deg"

    def value_of(self, node: Node) -> float:
        """Read the angle. [rad]"""
        text = self.text_of(node)
        number = plain_number(text.removesuffix("deg").strip()) if text.endswith("deg") else None
        if number is None or not self.low_deg <= number <= self.high_deg:
            raise self.unfit(described(node), "write degrees, such as `30 deg`")
        return radians(number)
