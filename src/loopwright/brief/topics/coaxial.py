"""Conductor that is a coaxial line, whose gaps and cuts make the element resonant."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Any

from loopwright.brief import defaults
from loopwright.brief.forms import NOTHING, Draft, Form, Trouble
from loopwright.brief.keys import Absent, Choice, Number
from loopwright.brief.quantities import Decibels, Quantity
from loopwright.brief.records import CoaxialLineRequest
from loopwright.brief.topics import conductor_rules as rules
from loopwright.brief.topics.conductor_keys import COMMON, conductivity, length
from loopwright.brief.topics.facts import Facts
from loopwright.ground.tables import CoaxialCableRow, coaxial_cable_rows
from loopwright.ground.units import engineering_text

__all__ = ["NOT_OFFERED", "coaxial_line", "shield_diameter_m"]

#: Topics that ask about loops with capacitors in their gaps, and what to do instead.
NOT_OFFERED = {
    "capacitors": "take it out: nothing bridges the gaps of a shield; `tuning_q` tells the part across the terminal",
    "circuit": "take it out: the run matches every terminal without loss. From Python `coaxial_circuit` wires one",
    "loading_equivalence": "take it out: what a body adds to a loop is told beside a conductor with capacitors",
    "transmit": "take it out: states and faults are those of a circuit at the gaps of a loop",
    "conductor_choice": "take it out, or list conductors below `designs: conductor:` for `loopwright compare-designs`",
}

_ROWS = {row.name: row for row in coaxial_cable_rows()}
_SHEET = {
    "characteristic_impedance": "50 ohm",
    "velocity_factor": "0.695",
    "attenuation": "0.4 dB/m",
    "attenuation_frequency": "100 MHz",
}
_MADE = {"inner_diameter": "0.5 mm", "dielectric_diameter": "1.6 mm", "permittivity": "2.07", "loss_tangent": "0.0003"}
_OF_LOOPS = "capacitor_q", "other_series_resistance", "measured_resistance"


def shield_diameter_m(draft: Draft) -> float | None:
    """Diameter over the shield, of the table or as written. [m]"""
    named = _named_diameter_m(draft)
    return rules.of_key("shield_diameter")(draft) if named is None else named


def _named_diameter_m(draft: Draft) -> float | None:
    row = _ROWS.get(str(draft.get("cable")))
    return None if row is None else row.shield_outer_diameter_m


def _one_way(draft: Draft) -> Iterator[Trouble]:
    """Ask for a cable of the table, a data sheet or dimensions, whole and alone."""
    written = draft.written
    own = {"shield_diameter", "conductivity", "braid_factor", *_SHEET, *_MADE} & written
    if "cable" in written:
        if own:
            yield Trouble(
                key="cable",
                found=f"`cable` and {_listed(own)}",
                allowed="a cable of the table, or what you know of your own",
                remedy="take `cable` out, and write its data sheet or its dimensions",
            )
        return
    if not own & (_SHEET.keys() | _MADE.keys()):
        yield Trouble(
            key="cable",
            found=NOTHING,
            allowed=f"`cable`; or {_listed(_SHEET)}; or {_listed(_MADE)}",
            remedy=f"write for example `cable: {next(iter(_ROWS))}`",
        )
        return
    yield from _whole(written)


def _whole(written: frozenset[str]) -> Iterator[Trouble]:
    sheet, made = _SHEET.keys() & written, _MADE.keys() & written
    if sheet and made:
        yield Trouble(
            key=min(made),
            found=f"{_listed(sheet)} beside {_listed(made)}",
            allowed="numbers of a data sheet, or dimensions",
            remedy="keep the data sheet where it was measured",
        )
        return
    way = _SHEET if sheet else _MADE
    for key, sample in {"shield_diameter": "1.7 mm", **way}.items():
        if key not in written:
            beside = _listed(sheet or made)
            yield Trouble(
                key=key,
                found=NOTHING,
                allowed=f"a value beside {beside}",
                remedy=f"write for example `{key}: {sample}`",
            )


def _listed(keys: Any) -> str:
    return ", ".join(f"`{key}`" for key in sorted(keys))


def _one_in_the_other(draft: Draft) -> Iterator[Trouble]:
    """Refuse an inner conductor that would not fit into its shield."""
    names = "inner_diameter", "dielectric_diameter", "shield_diameter"
    sizes = [(name, draft.get(name)) for name in names if draft.get(name) is not None]
    for (inner, inner_m), (outer, outer_m) in pairwise(sizes):
        if inner_m >= outer_m:
            yield Trouble(
                key=inner,
                found=f"{engineering_text(inner_m, 'm')} with a `{outer}` of {engineering_text(outer_m, 'm')}",
                allowed=f"less than `{outer}`",
                remedy="write the diameters of inner conductor, dielectric and shield, from small to large",
            )


def _built(*, cable: str = "given", **others: Any) -> CoaxialLineRequest:
    """Build the record, with the numbers of a cable of the table."""
    return CoaxialLineRequest(cable=cable, **({} if cable == "given" else _of(_ROWS[cable])), **others)


def _of(row: CoaxialCableRow) -> dict[str, float]:
    return {
        "shield_diameter_m": row.shield_outer_diameter_m,
        "characteristic_impedance_ohm": row.characteristic_ohm,
        "velocity_factor": row.velocity_factor,
        "attenuation_db_per_m": row.loss_db_per_m,
        "attenuation_frequency_hz": row.loss_frequency_hz,
        "conductivity_s_per_m": row.shield_conductivity_s_per_m,
        "braid_factor": row.braid_factor,
    }


def coaxial_line(facts: Facts) -> Form:
    """Form of a coaxial line."""
    return Form(
        title="coaxial line",
        keys=_KEYS,
        rules=(
            _one_way,
            _one_in_the_other,
            *rules.round_rules(facts, "cable", _named_diameter_m),
            *rules.round_rules(facts, "shield_diameter", rules.of_key("shield_diameter")),
        ),
        build=_built,
        strangers={
            "capacitor_q": "no capacitors stand in the gaps: write `tuning_q`, of the part across the terminal",
            "other_series_resistance": "no joints stand in the loop: take it out",
            "measured_resistance": "write what was measured as `attenuation` and `braid_factor`",
            "cuts": "the inner conductor is cut half-way between the `gaps` of the array: take it out",
            "turns": "elements have one turn: take it out, or tune a smaller one by the part across its terminal",
            "wire_diameter": "write `shield_diameter`",
            "diameter": "write `shield_diameter`",
            "loss": "write `attenuation` and `attenuation_frequency`",
        },
        notes="`gaps` of the array are gaps of the shield; half-way from each to the next the inner conductor is cut. "
        "The terminal is across the first cut; one part there makes each element resonant on this body. Cables of the "
        "table are generic and from memory: measure yours. `circuit`, `capacitors` and `conductor_choice` are not "
        "offered for this conductor.",
    )


_KEYS = (
    Choice(
        name="cable",
        options=tuple(_ROWS),
        absent=Absent.ALLOWED,
        meaning="Generic cable of the table, all numbers from memory. Left out: the next keys tell your own.",
    ),
    length("shield_diameter", "0.3 mm", "10 mm", "1.7 mm", "Over the shield, not over the jacket.", Absent.ALLOWED),
    Quantity(
        name="characteristic_impedance",
        field="characteristic_impedance_ohm",
        unit="ohm",
        low="10 ohm",
        high="200 ohm",
        sample="50 ohm",
        absent=Absent.ALLOWED,
        meaning="Of the line, by data sheet or measured.",
    ),
    Number(
        name="velocity_factor",
        low=0.3,
        high=1,
        sample="0.695",
        absent=Absent.ALLOWED,
        meaning="Speed of the wave inside over that of light.",
    ),
    Decibels(
        name="attenuation",
        field="attenuation_db_per_m",
        low=0,
        high=20,
        unit="dB/m",
        absent=Absent.ALLOWED,
        meaning="Attenuation; it is taken to go with the root of the frequency.",
    ),
    Quantity(
        name="attenuation_frequency",
        field="attenuation_frequency_hz",
        unit="Hz",
        low="1 MHz",
        high="10 GHz",
        sample="100 MHz",
        absent=Absent.ALLOWED,
        meaning="Frequency at which the attenuation holds.",
    ),
    length("inner_diameter", "0.05 mm", "5 mm", "0.5 mm", "Of the solid inner conductor.", Absent.ALLOWED),
    length("dielectric_diameter", "0.2 mm", "9.9 mm", "1.6 mm", "Over the dielectric.", Absent.ALLOWED),
    Number(
        name="permittivity",
        low=1,
        high=10,
        sample="2.07",
        absent=Absent.ALLOWED,
        meaning="Relative permittivity of the dielectric.",
    ),
    Number(
        name="loss_tangent",
        low=0,
        high=0.1,
        sample="0.0003",
        absent=Absent.ALLOWED,
        meaning="Of the dielectric, at the Larmor frequency.",
    ),
    replace(
        conductivity(low="0.1 MS/m", sample="58 MS/m", meaning="Of shield and inner conductor."),
        default=defaults.CABLE_CONDUCTIVITY,
        unless="cable",
    ),
    Number(
        name="braid_factor",
        low=1,
        high=10,
        sample="2",
        default=defaults.BRAID_FACTOR,
        unless="cable",
        meaning="Resistance of the shield over that of a smooth tube; 1 for a drawn tube.",
    ),
    Number(
        name="tuning_q",
        low=10,
        high=1e5,
        sample="200",
        default=defaults.TUNING_Q,
        meaning="Quality factor of the capacitor or inductor across the terminal, at the Larmor frequency.",
    ),
    *(key for key in COMMON if key.name not in _OF_LOOPS),
)
