"""The parts of all circuits: one line for each, and how many of each value there are to buy."""

from collections import Counter
from dataclasses import dataclass
from math import isinf

from loopwright.brief.records import CircuitRequest, OwnWiringRequest
from loopwright.circuits import CircuitOutcome
from loopwright.circuits.main_values import value_of
from loopwright.circuits.parts import (
    Capacitor,
    CrossedDiodes,
    Fuse,
    Inductor,
    Line,
    Part,
    PinDiode,
    Resistor,
    Values,
)
from loopwright.circuits.requested_parts import part_tolerance
from loopwright.circuits.wiring import Branch, Span
from loopwright.dossier.findings import Column, Table
from loopwright.dossier.numbers import display_unit, printed

__all__ = ["PartLine", "part_lines", "parts_tables"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLine:
    """One part of one element; ``value`` is as found or given, in ``unit`` (SI), without value 0 and an empty unit.

    ``purchase`` is the value to buy or make in its place, or words; ``counted_as`` what it is counted by.
    """

    element: str
    name: str
    kind: str
    between: str
    value: float
    unit: str
    purchase: float | str
    counted_as: str
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
        _line(branch, element, number, outcome)
        for number, (element, circuit) in enumerate(zip(element_names, outcome.circuits, strict=True))
        for branch in circuit.branches
    )


def parts_tables(lines: tuple[PartLine, ...]) -> tuple[Table, Table]:
    """Parts list, and quantities by value."""
    every = Table(
        name="parts",
        caption="Parts list: value found or given, and what to buy or make in its place, trimmers as they are set. "
        "CSV: parts.csv.",
        columns=(Column(title="id"), Column(title="element"), Column(title="part"), Column(title="kind"),
                 Column(title="value", digits=4), Column(title="unit"),
                 Column(title="buy or make", digits=4), Column(title="tolerance [%]", digits=2),
                 Column(title="rating")),
        rows=tuple(
            (line.identifier, line.element, line.name, line.kind,
             line.value * display_unit(line.unit).per_si if line.unit else "", display_unit(line.unit).symbol,
             _on_paper(line), "" if line.tolerance is None else 100 * line.tolerance, line.rating)
            for line in lines
        ),
        rows_on_page=16,
    )  # fmt: skip
    counted = Counter((line.kind, line.counted_as, line.rating) for line in lines)
    by_value = Table(
        name="parts_by_value",
        caption="How many of each value to buy. A trimmer is told the range that all elements together need, the "
        "tolerances of their other parts included.",
        columns=(Column(title="kind"), Column(title="value"), Column(title="rating"), Column(title="quantity")),
        rows=tuple((*what, number) for what, number in sorted(counted.items())),
        rows_on_page=24,
    )
    return every, by_value


def _on_paper(line: PartLine) -> float | str:
    return line.purchase if isinstance(line.purchase, str) else line.purchase * display_unit(line.unit).per_si


def _line(branch: Branch | Span, element: str, number: int, outcome: CircuitOutcome) -> PartLine:
    part = branch.line if isinstance(branch, Span) else branch.part
    kind, valued = _KINDS[type(part)]
    value, unit = value_of(part) if valued else (0.0, "")
    purchase, counted_as = _purchase(branch, unit, number, outcome)
    pairs = (branch.near, branch.far) if isinstance(branch, Span) else (branch.between,)
    return PartLine(
        element=element,
        name=branch.name,
        kind=_kind_in(outcome, branch.name) or kind,
        between=" to ".join(", ".join(pair) for pair in pairs),
        value=_number(value),
        unit=unit,
        purchase=purchase,
        counted_as=counted_as,
        tolerance=outcome.bought.cut_to.get(branch.name, part_tolerance(outcome.request, branch)),
        rating="" if isinstance(branch, Span) else _rating(branch.part),
    )


#: What each kind of part is called, and whether it is told with its value.
_KINDS: dict[type[Part | Line], tuple[str, bool]] = {
    Capacitor: ("capacitor", True),
    Inductor: ("inductor", True),
    Resistor: ("resistor", True),
    Line: ("line", True),
    PinDiode: ("PIN diode", False),
    CrossedDiodes: ("crossed diodes", False),
    Fuse: ("fuse", False),
}


def _number(value: Values) -> float:
    return float(value)


def _kind_in(outcome: CircuitOutcome, name: str) -> str:
    """What the engineer calls the part in a wiring of one's own; printed capacitors by that."""
    if name in outcome.bought.printed:
        return "printed capacitor"
    request: CircuitRequest = outcome.request
    if not isinstance(request, OwnWiringRequest):
        return ""
    return next((part.part for part in request.parts if part.name == name), "")


def _purchase(branch: Branch | Span, unit: str, number: int, outcome: CircuitOutcome) -> tuple[float | str, str]:
    """What to buy or make, and what it is counted by."""
    if not unit:
        return "as in the brief", "as in the brief"
    built = _number(value_of(outcome.bought.circuits[number].part(branch.name))[0])
    if isinstance(branch, Span):
        text = f"{printed(built, 'm', digits=4)} of {_number(branch.line.characteristic_ohm):g} Ω line"
        return text, text
    if branch.name in outcome.bought.trimmed:
        return built, _trimmer(outcome, branch.name)
    if isinstance(branch.part, Inductor):
        return built, "wound to its value"
    if branch.name in outcome.bought.printed:
        return built, "printed to its value"
    return built, f"{built * display_unit(unit).per_si:.6g} {display_unit(unit).symbol}"


def _trimmer(outcome: CircuitOutcome, name: str) -> str:
    own = [one for one in outcome.bought.ranges if one.part == name]
    least_f, most_f = min(one.least_f for one in own), max(one.most_f for one in own)
    return f"trimmer, {printed(least_f, 'F')} to {printed(most_f, 'F')}"


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
