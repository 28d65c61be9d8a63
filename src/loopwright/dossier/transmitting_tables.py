"""Tables of the array while the scanner transmits: normal conditions, crossed diodes, PIN diodes, assumptions."""

from collections.abc import Iterator
from math import isfinite, sqrt

from loopwright.dossier.findings import Cell, Column, Table
from loopwright.dossier.numbers import printed_position
from loopwright.dossier.transmit_words import (
    NOTHING,
    change_percent,
    local_sar_cell,
    number_or_nothing,
    ratings_exceeded_cell,
    transmitted_in,
)
from loopwright.limits import CaseTold, WhileTransmitting

__all__ = ["transmitting_tables"]

_ROWS = 24
_BODY = (
    "Body without the array, at the rms field. Whole-body SAR is what the model absorbs over the mass of the patient, "
    "partial-body SAR the same over the mass inside the resonator."
)


def transmitting_tables(told: WhileTransmitting) -> tuple[Table, ...]:
    """Body alone, normal conditions, diodes, and what all of it takes for granted."""
    return (
        _body(told),
        _currents(told),
        _disturbance(told),
        *((_diodes(told),) if told.diodes else ()),
        *((_pin_holds(told),) if told.pin_holds else ()),
        *((_pin_recovery(told),) if told.pin_recovery else ()),
        *((_notes(told),) if any(one.notes for one in told.cases) else ()),
        *((_assumptions(told),) if told.limits or told.not_described else ()),
    )


def _body(told: WhileTransmitting) -> Table:
    alone, sar = told.body_alone, told.body_alone.sar
    return Table(
        name="transmit_body",
        caption=_BODY,
        columns=(Column(title="quantity"), Column(title="value"), Column(title="unit")),
        rows=(
            ("power that the body absorbs", sar.absorbed_w, "W"),
            ("its uncertainty, by a second grid", number_or_nothing(alone.absorbed_uncertainty_w), "W"),
            ("mass of the model", sar.model_mass_kg, "kg"),
            ("mass inside the resonator", sar.exposed_mass_kg, "kg"),
            ("mass of the patient", number_or_nothing(sar.patient_mass_kg), "kg"),
            ("SAR, mean over the model", sar.model_w_per_kg, "W/kg"),
            ("partial-body SAR", sar.partial_body_w_per_kg, "W/kg"),
            ("whole-body SAR", number_or_nothing(sar.whole_body_w_per_kg), "W/kg"),
            ("largest 10 g average", alone.peak_local_w_per_kg, "W/kg"),
            ("where its cube lies", printed_position(alone.peak_local_place_m), ""),
            ("B1+ in the region over that in the empty resonator", alone.mean_b1_in_region, "1"),
        ),
    )


def _currents(told: WhileTransmitting) -> Table:
    return Table(
        name="transmit_states",
        caption="Normal conditions, all elements alike. Those at full field are the ones in which the scanner "
        "transmits; the others tell what bias and diodes keep the array from, and hold as long as no diode acts. "
        "Currents and voltages are the largest of the array: rms over the whole sequence, and peak while the field has "
        "its peak; powers are means over the sequence. Nothing is wrong in these, so there is nothing to be noticed.",
        columns=(
            Column(title="condition"),
            Column(title="at full field"),
            Column(title="current, rms", unit="A"),
            Column(title="current, peak", unit="A"),
            Column(title="in element"),
            Column(title="gap voltage, peak", unit="V"),
            Column(title="in element"),
            Column(title="power in parts", unit="W"),
            Column(title="power in conductors", unit="W"),
            Column(title="ratings exceeded"),
        ),
        rows=tuple(tuple(_current_cells(told, one)) for one in told.conditions),
    )


def _current_cells(told: WhileTransmitting, one: CaseTold) -> Iterator[Cell]:
    elements, exposure = one.answer.elements, told.exposure
    gap_v = {element.name: float(element.gap_voltage_v.max(initial=0.0)) for element in elements}
    highest = max(gap_v, key=lambda name: gap_v[name])
    traces_w = sum(element.trace_w for element in elements)
    yield from (
        one.case.name,
        "yes" if one in transmitted_in(told) else "no",
        one.largest_current_a * exposure.rms_b1_plus_t / exposure.peak_b1_plus_t / sqrt(2),
        one.largest_current_a,
        one.largest_current_in,
        gap_v[highest],
        highest,
        one.array_w - traces_w,
        traces_w,
        ratings_exceeded_cell(one),
    )


def _disturbance(told: WhileTransmitting) -> Table:
    return Table(
        name="transmit_states_b1",
        caption="The same conditions: B1+ in the region against that without the array, as driven; what one voxel in a "
        "hundred falls short of or exceeds; how the scanner has to change its amplitude for the same mean, and what is "
        "left then; power that the body absorbs; largest 10 g average over that without the array. “At most” is a "
        "bound: that condition was not averaged.",
        columns=(
            Column(title="condition"),
            Column(title="mean [%]", decimals=1),
            Column(title="lowest 1 % [%]", decimals=1),
            Column(title="highest 1 % [%]", decimals=1),
            Column(title="amplitude for the same mean [%]", decimals=1),
            Column(title="then lowest 1 % [%]", decimals=1),
            Column(title="then highest 1 % [%]", decimals=1),
            Column(title="absorbed by the body", unit="W"),
            Column(title="10 g average, ratio [1]", decimals=2),
        ),
        rows=tuple(
            (
                one.case.name,
                *(number_or_nothing(change_percent(ratio)) for ratio in _ratios(one)),
                one.absorbed_w,
                local_sar_cell(one),
            )
            for one in told.conditions
        ),
    )


def _ratios(one: CaseTold) -> Iterator[float]:
    driven, adjusted = one.b1.as_driven, one.b1.adjusted
    yield from (driven.mean, driven.lowest_percent, driven.highest_percent)
    yield from (one.b1.adjustment, adjusted.lowest_percent, adjusted.highest_percent)


def _diodes(told: WhileTransmitting) -> Table:
    return Table(
        name="transmit_diodes",
        caption="Crossed diodes that follow the field. They act from the peak B1+ at which they conduct as well as "
        "what lies beside them. B1+ in the mean of the region against that without the array: for fields too weak for "
        "any diode, where the flip angles of weak pulses are off by as much; where this pair begins to act; at the "
        "peak of the sequence.",
        columns=(
            Column(title="element"),
            Column(title="diodes"),
            Column(title="condition"),
            Column(title="act from [µT]", digits=2),
            Column(title="conduct at the peak"),
            Column(title="current at the peak", unit="A", digits=2),
            Column(title="B1+ below [%]", decimals=1),
            Column(title="at onset [%]", decimals=1),
            Column(title="at the peak [%]", decimals=1),
        ),
        rows=tuple(
            (
                one.element,
                one.part,
                one.condition,
                1e6 * one.acts_t if isfinite(one.acts_t) else "not reached",
                "yes" if one.conducts_at_peak else "no",
                number_or_nothing(one.current_a),
                *(number_or_nothing(change_percent(b1)) for b1 in (one.b1_below, one.b1_at_onset, one.b1_at_peak)),
            )
            for one in told.diodes
        ),
        rows_on_page=_ROWS,
    )


def _pin_holds(told: WhileTransmitting) -> Table:
    names = [element.name for element in told.conditions[0].answer.elements]
    return Table(
        name="transmit_pin_holds",
        caption="PIN diodes against their bias at the peak of the field, the least margin first: current through one "
        "that conducts, voltage across one that blocks, and up to which it stays so. Below a margin of one it does not "
        "stay what the condition takes it for.",
        columns=(
            Column(title="element"),
            Column(title="diode"),
            Column(title="condition"),
            Column(title="meant to"),
            Column(title="bears, peak"),
            Column(title="holds up to"),
            Column(title="unit"),
            Column(title="margin [1]", digits=2),
            Column(title="reverse bias needed", unit="V", digits=2),
        ),
        rows=tuple(
            (
                names[hold.element],
                hold.part,
                hold.state,
                hold.diodes.value,
                hold.borne,
                hold.allowed,
                hold.unit,
                number_or_nothing(hold.margin),
                hold.reverse_needed_v if hold.unit == "V" else NOTHING,
            )
            for hold in told.pin_holds
        ),
        rows_on_page=_ROWS,
    )


def _pin_recovery(told: WhileTransmitting) -> Table:
    return Table(
        name="transmit_pin_recovery",
        caption="Time in which a PIN diode lets go of its charge after the driver switched, for every bias line in the "
        "order of the brief. Chokes, cable and driver add to it.",
        columns=(
            Column(title="bias line"),
            Column(title="takes [µs]"),
            Column(title="allowed [µs]"),
            Column(title="margin [1]", digits=2),
        ),
        rows=tuple(
            (str(number), 1e6 * one.takes_s, 1e6 * one.allowed_s, one.margin)
            for number, one in enumerate(told.pin_recovery, start=1)
        ),
    )


def _notes(told: WhileTransmitting) -> Table:
    return Table(
        name="transmit_notes",
        caption="What is otherwise than the name of a case says, beyond what is so of its condition: crossed diodes in "
        "the other state, fields in the body that are estimates.",
        columns=(Column(title="case"), Column(title="what is otherwise")),
        rows=tuple((one.case.name, note) for one in told.cases for note in one.notes),
        rows_on_page=_ROWS // 2,
    )


def _assumptions(told: WhileTransmitting) -> Table:
    return Table(
        name="transmit_assumptions",
        caption="What the figures of this chapter take for granted, and what is not told because the brief does not "
        "describe it.",
        columns=(Column(title="kind"), Column(title="sentence")),
        rows=(
            *(("taken for granted", sentence) for sentence in told.limits),
            *(("not described", sentence) for sentence in told.not_described),
        ),
        rows_on_page=10 * _ROWS,  # whoever reads the figures has to meet all of them
    )
