"""Parts of a circuit: keys of diodes, fuse, line and preamplifier, and of each part of a wiring of one's own."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from loopwright.brief import defaults
from loopwright.brief.circuit_keys import FreeOrQuantity, NodePair
from loopwright.brief.defaults import Default
from loopwright.brief.forms import Draft, Form, Trouble, Variants
from loopwright.brief.keys import Absent, Key, Number, Words
from loopwright.brief.quantities import Decibels, Quantity, Tolerance
from loopwright.brief.records.circuit import (
    CapacitorPart,
    CrossedDiodesPart,
    FusePart,
    InductorPart,
    LinePart,
    PartRequest,
    PinDiodePart,
    PreamplifierRequest,
    ResistorPart,
)
from loopwright.ground.units import engineering_text

__all__ = ["CROSSED_DIODES", "FUSE", "LINE", "PART", "PIN_DIODE", "preamplifier_form"]

_FIELD_ENDINGS = {"ohm": "ohm", "F": "f", "H": "h", "m": "m", "A": "a", "V": "v", "Hz": "hz"}


def _quantity(
    name: str, unit: str, low: str, high: str, meaning: str, default: Default | None = None, *, field: str = ""
) -> Quantity:
    """Key of a quantity; without default it is required."""
    return Quantity(
        name=name,
        field=field or f"{name}_{_FIELD_ENDINGS[unit]}",
        unit=unit,
        low=low,
        high=high,
        default=default,
        meaning=meaning,
    )


def _optional(name: str, unit: str, low: str, high: str, meaning: str) -> Quantity:
    return replace(_quantity(name, unit, low, high, meaning), absent=Absent.ALLOWED)


def preamplifier_form(input_resistance: Default) -> Form:
    """Form of the preamplifier, its input resistance as usual for the wiring."""
    return Form(
        title="preamplifier",
        keys=(
            _quantity("input_resistance", "ohm", "0.1 ohm", "100 kohm",
                      "Resistance of its input where the circuit meets it.", input_resistance),
            _quantity("input_reactance", "ohm", "-10 kohm", "10 kohm", "Reactance of its input.",
                      defaults.INPUT_REACTANCE),
            Decibels(name="least_noise_figure", field="least_noise_figure_db", low=0, high=10,
                     default=defaults.LEAST_NOISE_FIGURE, meaning="Noise figure at its best source, Fmin."),
            _quantity("noise_resistance", "ohm", "0 ohm", "10 kohm",
                      "How fast the noise rises away from the best source, Rn.", defaults.NOISE_RESISTANCE),
            _quantity("best_source_resistance", "ohm", "0.1 ohm", "100 kohm",
                      "Resistance of the source at which it makes the least noise.", defaults.BEST_SOURCE_RESISTANCE),
            _quantity("best_source_reactance", "ohm", "-10 kohm", "10 kohm", "Reactance of that source.",
                      defaults.BEST_SOURCE_REACTANCE),
        ),
        build=PreamplifierRequest,
        strangers={
            "input_impedance": "write `input_resistance` and `input_reactance`",
            "noise_figure": "write `least_noise_figure`",
            "gain": "the gain is not part of the model",
        },
    )  # fmt: skip


def _bias_within_rating(draft: Draft) -> Iterator[Trouble]:
    bias_a, rated_a = draft.get("bias_current"), draft.get("rated_current")
    if bias_a is not None and rated_a is not None and bias_a > rated_a:
        yield Trouble(
            key="bias_current",
            found=f"{engineering_text(bias_a, 'A')} through a diode rated for {engineering_text(rated_a, 'A')}",
            allowed="at most `rated_current`",
            remedy="choose a diode of a higher rating, or less bias",
        )


def _pin_diode_keys() -> tuple[Key, ...]:
    return (
        _quantity("forward_resistance", "ohm", "0.01 ohm", "100 ohm", "Resistance at the bias current.",
                  defaults.FORWARD_RESISTANCE),
        _quantity("reverse_resistance", "ohm", "10 ohm", "10000 kohm", "Resistance across it without bias.",
                  defaults.REVERSE_RESISTANCE),
        _quantity("reverse_capacitance", "F", "0.01 pF", "100 pF", "Capacitance across it without bias.",
                  defaults.REVERSE_CAPACITANCE),
        _quantity("bias_current", "A", "0.1 mA", "10 A", "Forward current by which the coil is detuned.",
                  defaults.BIAS_CURRENT),
        _quantity("rated_current", "A", "0.1 mA", "100 A", "Forward current that it may carry.",
                  defaults.RATED_BIAS),
    )  # fmt: skip


PIN_DIODE = Form(title="PIN diode", keys=_pin_diode_keys(), rules=(_bias_within_rating,), build=PinDiodePart)

CROSSED_DIODES = Form(
    title="crossed diodes",
    keys=(
        _quantity("conducting_resistance", "ohm", "0.01 ohm", "100 ohm", "Resistance while they conduct.",
                  defaults.CONDUCTING_RESISTANCE),
        _quantity("blocking_resistance", "ohm", "10 ohm", "10000 kohm", "Resistance across them while they block.",
                  defaults.BLOCKING_RESISTANCE),
        _quantity("blocking_capacitance", "F", "0.01 pF", "100 pF", "Capacitance across them while they block.",
                  defaults.BLOCKING_CAPACITANCE),
    ),
    build=CrossedDiodesPart,
)  # fmt: skip

FUSE = Form(
    title="fuse",
    keys=(
        _quantity("resistance", "ohm", "0.001 ohm", "10 ohm", "Resistance while it is whole; it makes noise.",
                  defaults.FUSE_RESISTANCE),
        _quantity("open_capacitance", "F", "0.01 pF", "10 pF", "Capacitance once it has opened.",
                  defaults.FUSE_OPEN_CAPACITANCE),
        _quantity("rated_current", "A", "10 mA", "10 A", "Current (rms) that it carries for ever.",
                  defaults.FUSE_RATING, field="rated_current_rms_a"),
    ),
    build=FusePart,
)  # fmt: skip

LINE = Form(
    title="line",
    keys=(
        _quantity("length", "m", "1 mm", "10 m", "Length."),
        _quantity("characteristic", "ohm", "1 ohm", "500 ohm", "Characteristic resistance.",
                  defaults.LINE_CHARACTERISTIC),
        Number(name="velocity_factor", low=0.1, high=1.0, default=defaults.LINE_VELOCITY, sample="0.7",
               meaning="Speed of the wave over that of light."),
        Decibels(name="loss", field="loss_db_per_m", low=0, high=100, unit="dB/m", default=defaults.LINE_LOSS,
                 meaning="Loss at 100 MHz; it goes with the root of the frequency."),
    ),
    build=LinePart,
)  # fmt: skip


def _quality(default: Default) -> Number:
    return Number(
        name="quality", low=1, high=1e5, sample=default.value, default=default, meaning="Quality factor near the run."
    )


def _tolerance(default: Default) -> Tolerance:
    return Tolerance(name="tolerance", default=default, meaning="How far the value may be off.")


def _value(unit: str, low: str, high: str, sample: str) -> tuple[Key, Key]:
    ending = _FIELD_ENDINGS[unit]
    return (
        FreeOrQuantity(name="value", field=f"value_{ending}", unit=unit, low=low, high=high, sample=sample,
                       meaning="Its value; `free`: to be found, for the match of every element."),
        _optional("start", unit, low, high, "Where the search for a free value begins."),
    )  # fmt: skip


def _start_of_what_is_free(draft: Draft) -> Iterator[Trouble]:
    if draft.get("start") is not None and isinstance(draft.get("value"), float):
        yield Trouble(
            key="start", found="a start beside a fixed value", allowed="with `value: free` only", remedy="keep one"
        )


_NAME = Words(name="name", longest=30, sample="C match", meaning="Name of the part; results go by it.")
_BETWEEN = NodePair(name="between", meaning="The two nodes that it joins.")


def _part(form: Form, *ends: Key) -> Form:
    """Form of a part with its name and its nodes."""
    own = tuple(key.field or key.name for key in form.keys)

    def build(*, name: str, between: tuple[str, str], far: tuple[str, str] | None = None, **values: Any) -> PartRequest:
        inside = {field: values[field] for field in own if field in values}
        return PartRequest(name=name, part=form.title, between=between, far=far, what=form.build(**inside))

    return replace(form, keys=(_NAME, *(ends or (_BETWEEN,)), *form.keys), build=build)


def _inductor(title: str, quality: Default) -> Form:
    return Form(
        title=title,
        keys=(
            *_value("H", "0.1 nH", "100 uH", "60 nH"),
            _quality(quality),
            _optional("self_resonance", "Hz", "1 MHz", "100 GHz", "Its self-resonance. Left out: far above."),
            _optional("rating", "A", "1 mA", "100 A", "Peak current that it may carry."),
            _tolerance(defaults.INDUCTOR_TOLERANCE),
        ),
        rules=(_start_of_what_is_free,),
        build=InductorPart,
    )


def _forms() -> Iterator[tuple[str, Form]]:
    yield "capacitor", _part(
        Form(
            title="capacitor",
            keys=(
                *_value("F", "0.01 pF", "100 nF", "60 pF"),
                _quality(defaults.CAPACITOR_Q),
                _quantity("esr", "ohm", "0 ohm", "10 ohm", "Series resistance beside what its quality says.",
                          defaults.ESR),
                _optional("rating", "V", "1 V", "100 kV", "Peak voltage that it may see."),
                _tolerance(defaults.PART_TOLERANCE),
            ),
            rules=(_start_of_what_is_free,),
            build=CapacitorPart,
        )
    )  # fmt: skip
    yield "inductor", _part(_inductor("inductor", defaults.INDUCTOR_Q))
    yield "choke", _part(_inductor("choke", defaults.CHOKE_Q))
    yield "resistor", _part(
        Form(
            title="resistor",
            keys=(_quantity("value", "ohm", "0.001 ohm", "10000 kohm", "Its value."),
                  _tolerance(defaults.RESISTOR_TOLERANCE)),
            build=ResistorPart,
        )
    )  # fmt: skip
    yield "PIN diode", _part(PIN_DIODE)
    yield "crossed diodes", _part(CROSSED_DIODES)
    yield "fuse", _part(FUSE)
    yield (
        "line",
        _part(
            LINE,
            NodePair(name="near", field="between", meaning="Inner and outer conductor at its near end."),
            NodePair(name="far", sample="[end, sheath]", meaning="Inner and outer conductor at its far end."),
        ),
    )


PART = Variants(title="part", by="part", meaning="What the part is; each kind has its own keys.", forms=dict(_forms()))
