"""The parts of all circuits: one line for each, and how many of each value there are to buy."""

from collections import Counter
from dataclasses import dataclass
from math import isinf
from typing import assert_never

from loopwright.brief.records import CircuitRequest, OwnWiringRequest
from loopwright.circuits import CircuitOutcome
from loopwright.circuits.parts import (
    Capacitor,
    CrossedDiodes,
    Fuse,
    Inductor,
    Line,
    OffGap,
    Part,
    PinDiode,
    Resistor,
    Values,
)
from loopwright.circuits.requested import tolerance_of
from loopwright.circuits.values.bought import TRIMMER, nearest_fixed
from loopwright.circuits.wiring import Branch, Span
from loopwright.dossier.findings import Column, Table
from loopwright.dossier.numbers import display_unit, printed

__all__ = ["PartLine", "part_lines", "parts_tables"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLine:
    """One part of one element; ``value`` and ``preferred`` are in ``unit`` (SI), without value 0 and an empty unit.

    ``purchase`` is the preferred value, or what is bought in its place.
    """

    element: str
    name: str
    kind: str
    between: str
    value: float
    unit: str
    purchase: float | str
    tolerance: float | None
    rating: str

    @property
    def identifier(self) -> str:
        """Name that no other part has."""
        return f"{self.element}.{self.name}"


def part_lines(outcome: CircuitOutcome, element_names: tuple[str, ...]) -> tuple[PartLine, ...]:
    """Every part of every element.

    Parameters
    ----------
    outcome : CircuitOutcome
        Circuits with their values.
    element_names : tuple of str
        Names of the elements.
    """
    return tuple(
        _line(branch, element, outcome)
        for element, circuit in zip(element_names, outcome.circuits, strict=True)
        for branch in circuit.branches
    )


def parts_tables(lines: tuple[PartLine, ...]) -> tuple[Table, Table]:
    """Parts list, and quantities by value."""
    every = Table(
        name="parts",
        caption="Parts list: value found, and the nearest value of the series to buy. CSV: parts.csv.",
        columns=(Column(title="id"), Column(title="element"), Column(title="part"), Column(title="kind"),
                 Column(title="value", digits=4), Column(title="unit"),
                 Column(title="nearest preferred"), Column(title="tolerance [%]", digits=2), Column(title="rating")),
        rows=tuple(
            (line.identifier, line.element, line.name, line.kind,
             line.value * display_unit(line.unit).per_si if line.unit else "", display_unit(line.unit).symbol,
             _on_paper(line), "" if line.tolerance is None else 100 * line.tolerance, line.rating)
            for line in lines
        ),
        rows_on_page=16,
    )  # fmt: skip
    counted = Counter((line.kind, _bought(line), line.rating) for line in lines)
    by_value = Table(
        name="parts_by_value",
        caption="How many of each value, the nearest preferred value taken for each part.",
        columns=(Column(title="kind"), Column(title="value"), Column(title="rating"), Column(title="quantity")),
        rows=tuple((*what, number) for what, number in sorted(counted.items())),
        rows_on_page=24,
    )
    return every, by_value


def _on_paper(line: PartLine) -> float | str:
    return line.purchase if isinstance(line.purchase, str) else line.purchase * display_unit(line.unit).per_si


def _bought(line: PartLine) -> str:
    return line.purchase if isinstance(line.purchase, str) else f"{_on_paper(line):g} {display_unit(line.unit).symbol}"


def _line(branch: Branch | Span, element: str, outcome: CircuitOutcome) -> PartLine:
    kind, value, unit = _told(branch.line if isinstance(branch, Span) else branch.part)
    pairs = (branch.near, branch.far) if isinstance(branch, Span) else (branch.between,)
    return PartLine(
        element=element,
        name=branch.name,
        kind=_kind_in(outcome.request, branch.name) or kind,
        between=" to ".join(", ".join(pair) for pair in pairs),
        value=value,
        unit=unit,
        purchase=_purchase(branch, value, outcome),
        tolerance=tolerance_of(outcome.request, branch),
        rating="" if isinstance(branch, Span) else _rating(branch.part),
    )


def _told(part: Part | Line) -> tuple[str, float, str]:
    """Kind, main value and its unit; what has several values of which none is the main one has none."""
    match part:
        case Capacitor() | OffGap():
            return "capacitor", _number(part.capacitance_f), "F"
        case Inductor():
            return "inductor", _number(part.inductance_h), "H"
        case Resistor():
            return "resistor", _number(part.resistance_ohm), "ohm"
        case Line():
            return "line", _number(part.length_m), "m"
        case PinDiode() | CrossedDiodes() | Fuse():
            return _WITHOUT_VALUE[type(part)], 0.0, ""
    assert_never(part)


_WITHOUT_VALUE: dict[type[Part], str] = {PinDiode: "PIN diode", CrossedDiodes: "crossed diodes", Fuse: "fuse"}


def _number(value: Values) -> float:
    return float(value)


def _kind_in(request: CircuitRequest, name: str) -> str:
    """What the engineer calls the part in a wiring of one's own."""
    if not isinstance(request, OwnWiringRequest):
        return ""
    return next((part.part for part in request.parts if part.name == name), "")


def _purchase(branch: Branch | Span, value: float, outcome: CircuitOutcome) -> float | str:
    series, free = outcome.request.values, branch.name in outcome.wanted.free
    if isinstance(branch, Span):
        return f"{printed(value, 'm', digits=4)} of {_number(branch.line.characteristic_ohm):g} Ω line"
    match branch.part:
        case Capacitor() if series == TRIMMER and free:
            return TRIMMER
        case Inductor():
            return "wound to its value"
        case Capacitor() | Resistor():
            return nearest_fixed(value, series)
        case _:
            return "as in the brief"


def _rating(part: Part) -> str:
    match part:
        case Capacitor(rated_voltage_v=rated) if not isinf(_number(rated)):
            return f"{_number(rated):g} V peak"
        case Inductor(rated_current_a=rated) if not isinf(_number(rated)):
            return f"{_number(rated):g} A peak"
        case Fuse(rated_current_rms_a=rated) if not isinf(_number(rated)):
            return f"{_number(rated):g} A rms"
        case _:
            return ""
