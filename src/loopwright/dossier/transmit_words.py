"""Cases of the array while the scanner transmits, in words and cells of tables."""

from math import ceil, isfinite, isnan

from loopwright.circuits.faults.cases import Wearing
from loopwright.circuits.states import Plug
from loopwright.dossier.findings import Cell
from loopwright.dossier.numbers import printed, printed_to, printed_with_uncertainty
from loopwright.limits import Assessment, CaseTold, RankedFault, Verdict, WhileTransmitting, margin_of
from loopwright.transmit.b1 import B1Change
from loopwright.transmit.finding import Told

__all__ = [
    "NOTHING",
    "UNIT_SYMBOLS",
    "assessment_sentence",
    "change_percent",
    "fault_and_place",
    "heat_was_asked",
    "local_sar_cell",
    "noticed_words",
    "number_or_nothing",
    "ranked_cases",
    "ratings_exceeded_cell",
    "transmitted_in",
    "unplugged",
    "worst_percent",
    "worst_surface_words",
]

#: Stands where there is no value.
NOTHING = "–"
#: Units of limits as they are printed.
UNIT_SYMBOLS = {"degC": "°C", "us": "µs", "uT": "µT", "ohm": "Ω", "1": ""}
_NAMED = 3


def change_percent(ratio: float) -> float:
    """A ratio as its departure from one. [%]"""
    return 100 * (ratio - 1)


def worst_percent(change: B1Change) -> float:
    """Departure of B1+ in the one per cent of the voxels that it changes most, with its sign. [%]"""
    ends = change.as_driven.lowest_percent, change.as_driven.highest_percent
    return change_percent(max(ends, key=lambda ratio: abs(ratio - 1)))


def number_or_nothing(value: float | None) -> Cell:
    """A number that a table can print, or the sign for none."""
    return value if value is not None and isfinite(value) else NOTHING


def heat_was_asked(told: WhileTransmitting) -> bool:
    """Tell whether the brief asks how hot anything gets."""
    return not isnan(told.surface_at_rest_c)


def ratings_exceeded_cell(told: CaseTold) -> Cell:
    """How many parts bear more than their rating; the sign for none where no rating was given."""
    return NOTHING if told.rating_over_stress is None else len(told.ratings_exceeded)


def transmitted_in(told: WhileTransmitting) -> tuple[CaseTold, ...]:
    """Normal conditions in which the scanner transmits at full field: those that were ranked."""
    names = {one.row.name for one in told.ranked}
    return tuple(one for one in told.conditions if one.case.name in names)


def local_sar_cell(told: CaseTold) -> Cell:
    """Largest 10 g average over that without the array; where it was not averaged, what it cannot exceed."""
    if told.local_sar is not None:
        return number_or_nothing(told.local_sar.ratio)
    bound = told.local_sar_ratio_bound
    return f"at most {ceil(100 * bound) / 100:.2f}" if isfinite(bound) else NOTHING


def fault_and_place(told: CaseTold) -> tuple[str, str]:
    """What is wrong, without its condition, and where."""
    case, words = told.case, told.case.name.removesuffix(f" ({told.case.family})")
    if case.wearing is not Wearing.AS_DESIGNED:
        return words, "carrier"
    if not case.failed:
        return "nothing failed", "all elements"
    names = [told.answer.elements[element].name for element in case.failed]
    if len(names) == 1:
        return words.removeprefix(f"{names[0]}: "), names[0]
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    return words, ", ".join(names[:_NAMED]) + more


def noticed_words(told: CaseTold) -> str:
    """What would notice a case before or while the scanner transmits."""
    if not told.case.failed and told.case.wearing is Wearing.AS_DESIGNED:
        return "not applicable"
    by = {"bias monitor": told.detection.bias_monitor.told, "prescan": told.detection.prescan.told}
    noticed = [name for name, one in by.items() if one is Told.NOTICED]
    if noticed:
        return ", ".join(noticed)
    return "cannot be told" if Told.UNKNOWN in by.values() else "nothing"


def ranked_cases(told: WhileTransmitting) -> tuple[tuple[RankedFault, CaseTold], ...]:
    """Rows in their order, each with the case behind it."""
    by_name = {one.case.name: one for one in told.cases}
    return tuple((ranked, by_name[ranked.row.name]) for ranked in told.ranked)


def unplugged(told: CaseTold) -> bool:
    """Tell whether no element is connected."""
    return all(state.plug is Plug.OUT for state in told.case.states)


def worst_surface_words(ranked: RankedFault) -> str:
    """Hottest surface on the patient, with what is known of its uncertainty; empty where none was computed."""
    row = ranked.row
    if row.surface_c is None or not isfinite(row.surface_c):
        return ""
    if row.surface_uncertainty_c is None:
        return f"{printed_to(row.surface_c, 1)} °C"
    return printed_with_uncertainty(row.surface_c, row.surface_uncertainty_c, "degC")


def assessment_sentence(one: Assessment) -> str:
    """A value against its limit, in one sentence."""
    limit, unit = one.limit, UNIT_SYMBOLS.get(one.limit.unit, one.limit.unit)
    against = "no value" if isnan(limit.value) else f"{limit.kind.value} {limit.value:.4g} {unit}".rstrip()
    if one.value is None:
        return f"{limit.name}, {against} ({limit.edition}): {Verdict.NOT_ASSESSED.value}, {one.why}."
    known = "" if one.uncertainty is None else f" ± {printed(one.uncertainty, digits=2)}"
    margin = margin_of(one)
    step = "K" if limit.unit == "degC" else unit
    left = "" if margin is None else f", margin {printed(margin, digits=2)} {step}".rstrip()
    return (
        f"{limit.name}: {printed(one.value)}{known} {unit}".rstrip()
        + f", {against} ({limit.edition}): {one.verdict.value}{left}; {one.why}."
    )
