"""Conductor: kind, metal, losses, temperatures."""

from collections.abc import Iterator
from functools import partial
from typing import Any

from loopwright.brief import defaults
from loopwright.brief.defaults import crossing_separation
from loopwright.brief.forms import Draft, Form, Rule, Trouble, Variants
from loopwright.brief.keys import Absent, Choice, Key, Number
from loopwright.brief.metals import METALS
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import FlatStripRequest, PrintedStripRequest, RoundWireRequest
from loopwright.brief.topics.facts import Facts
from loopwright.ground.units import engineering_text

__all__ = ["conductor_form", "conductor_height_m"]

_THINNEST_ELEMENT = 4  # a conductor wider than a quarter of its element is no wire to the model

_COMMON: tuple[Key, ...] = (
    Number(
        name="capacitor_q",
        low=10,
        high=1e5,
        sample="1500",
        default=defaults.CAPACITOR_Q,
        meaning="Quality factor of every tuning capacitor at the Larmor frequency.",
    ),
    Quantity(
        name="other_series_resistance",
        field="other_series_resistance_ohm",
        unit="ohm",
        low="0 ohm",
        high="10 ohm",
        default=defaults.OTHER_SERIES_RESISTANCE,
        meaning="Joints, fuse and chokes of one element, at the temperature of the coil.",
    ),
    Quantity(
        name="body_temperature",
        field="body_temperature_k",
        unit="K",
        low="0 degC",
        high="50 degC",
        default=defaults.BODY_TEMPERATURE,
        meaning="Temperature of the body as a source of noise.",
    ),
    Quantity(
        name="coil_temperature",
        field="coil_temperature_k",
        unit="K",
        low="4 K",
        high="80 degC",
        default=defaults.COIL_TEMPERATURE,
        meaning="Temperature of conductors, capacitors and joints as sources of noise.",
    ),
    Quantity(
        name="density",
        field="density_kg_per_m3",
        unit="kg/m^3",
        low="100 kg/m^3",
        high="25000 kg/m^3",
        sample="8890 kg/m^3",
        absent=Absent.ALLOWED,
        meaning="Density, for the mass of the conductor. Left out: that of the `material`, see below; of a print or a "
        "given conductivity the mass is not told then.",
    ),
)


_NO_WIRE = {"wire_diameter": "a strip has `width` and `thickness`", "diameter": "a strip has `width` and `thickness`"}


def _metal(draft: Draft) -> Iterator[Trouble]:
    if {"material", "conductivity"} <= draft.written:
        yield Trouble(
            key="conductivity",
            found="both `material` and `conductivity`",
            allowed="one of the two",
            remedy="take out `material` where you know the conductivity",
        )


def _built(record: Any, *, material: str = "given", conductivity_s_per_m: float | None = None, **others: Any) -> Any:
    """Build the record of this kind; a conductivity that was written wins over the default metal."""
    if conductivity_s_per_m is None:
        return record(material=material, conductivity_s_per_m=METALS[material].value, **others)
    return record(material="given", conductivity_s_per_m=conductivity_s_per_m, **others)


def _thinner_than_wide(draft: Draft) -> Iterator[Trouble]:
    width_m, thickness_m = draft.get("width"), draft.get("thickness")
    if width_m is not None and thickness_m is not None and thickness_m >= width_m:
        yield Trouble(
            key="thickness",
            found=f"{engineering_text(thickness_m, 'm')} for a width of {engineering_text(width_m, 'm')}",
            allowed="less than the width",
            remedy="exchange the two, or choose `kind: round wire`",
        )


def _slender(facts: Facts, key: str) -> Rule:
    """Refuse a conductor too wide for its element."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        width_m, size_m = draft.get(key), facts.smallest_size_m
        if width_m is not None and size_m is not None and width_m > size_m / _THINNEST_ELEMENT:
            yield Trouble(
                key=key,
                found=f"{engineering_text(width_m, 'm')} in an element of {engineering_text(size_m, 'm', digits=3)}",
                allowed=f"at most a quarter of it, {engineering_text(size_m / _THINNEST_ELEMENT, 'm', digits=3)}",
                remedy="choose a narrower conductor, or larger elements",
            )

    return rule


def _conductors_pass(facts: Facts, key: str) -> Rule:
    """Refuse conductors that would run through each other where they cross."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        height_m, apart_m = draft.get(key), facts.crossing_separation_m
        if height_m is not None and apart_m is not None and height_m >= apart_m:
            enough = crossing_separation(height_m).value
            yield Trouble(
                key=key,
                found=f"{engineering_text(height_m, 'm')} with crossings {engineering_text(apart_m, 'm')} apart",
                allowed=f"less than `{facts.crossing_separation_key}`, which is between centre-lines",
                remedy=f"write `crossing_separation: {enough}` there, or leave it out, or choose a thinner conductor",
            )

    return rule


def conductor_height_m(draft: Draft) -> float | None:
    """Room that a conductor takes where it is crossed, as far as it could be read. [m]"""
    height_m = draft.get("wire_diameter" if draft.get("kind") == "round wire" else "thickness")
    return None if height_m is None else float(height_m)


def _beside_the_seam(facts: Facts, key: str) -> Rule:
    """Refuse a conductor that would bridge the seam: the gap is between centre-lines."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        width_m, gap_m = draft.get(key), facts.seam_gap_m
        if width_m is not None and gap_m is not None and width_m >= gap_m:
            yield Trouble(
                key=key,
                found=f"{engineering_text(width_m, 'm')} beside a seam of {engineering_text(gap_m, 'm')}",
                allowed="less than `array.tiling.seam.gap`, which is between centre-lines: the edges would overlap",
                remedy=f"write `gap: {engineering_text(2 * width_m, 'm')}` there, or choose a narrower conductor",
            )

    return rule


def _length(name: str, low: str, high: str, sample: str, meaning: str) -> Quantity:
    return Quantity(name=name, field=f"{name}_m", unit="m", low=low, high=high, sample=sample, meaning=meaning)


def _metal_keys() -> tuple[Key, Key]:
    """Return the two keys that tell what a solid conductor is made of."""
    named = "; ".join(f"{name} {engineering_text(metal.value, 'S/m')}" for name, metal in METALS.items())
    return (
        Choice(
            name="material",
            options=tuple(METALS),
            default=defaults.MATERIAL,
            unless="conductivity",
            meaning=f"Metal, for its conductivity: {named}.",
        ),
        _conductivity(absent=Absent.ALLOWED, sample="58 MS/m", meaning="Conductivity instead of `material`."),
    )


def _conductivity(*, absent: Absent, sample: str, meaning: str) -> Quantity:
    return Quantity(
        name="conductivity",
        field="conductivity_s_per_m",
        unit="S/m",
        low="0.01 MS/m",
        high="70 MS/m",
        sample=sample,
        absent=absent,
        meaning=meaning,
    )


def conductor_form(facts: Facts) -> Variants:
    """Form of the conductor for this array.

    Parameters
    ----------
    facts
        What is known of body and array.

    Returns
    -------
    Variants
        Keys and rules of ``conductor``, by its kind.
    """
    width = _length("width", "0.2 mm", "30 mm", "5 mm", "Width, in the surface of the array.")
    strip_rules: tuple[Rule, ...] = (
        _thinner_than_wide,
        _slender(facts, "width"),
        _beside_the_seam(facts, "width"),
        _conductors_pass(facts, "thickness"),
    )
    return Variants(
        title="conductor",
        by="kind",
        meaning="What the elements are made of.",
        forms={
            "round wire": Form(
                title="round wire",
                keys=(
                    _length("wire_diameter", "0.1 mm", "10 mm", "1.5 mm", "Diameter of the bare wire."),
                    *_metal_keys(),
                    *_COMMON,
                ),
                rules=(
                    _metal,
                    _slender(facts, "wire_diameter"),
                    _beside_the_seam(facts, "wire_diameter"),
                    _conductors_pass(facts, "wire_diameter"),
                ),
                build=partial(_built, RoundWireRequest),
                strangers={"diameter": "write `wire_diameter`", "width": "a wire has a `wire_diameter`"},
            ),
            "flat strip": Form(
                title="flat strip",
                keys=(
                    width,
                    _length("thickness", "5 um", "2 mm", "35 um", "Thickness of the metal."),
                    *_metal_keys(),
                    *_COMMON,
                ),
                rules=(_metal, *strip_rules),
                build=partial(_built, FlatStripRequest),
                strangers=_NO_WIRE,
            ),
            "printed strip": Form(
                title="printed strip",
                keys=(
                    width,
                    _length("thickness", "1 um", "200 um", "20 um", "Thickness of the finished print."),
                    _conductivity(
                        absent=Absent.REFUSED,
                        sample="8.3 MS/m",
                        meaning="Conductivity of the finished print, not of the bulk metal.",
                    ),
                    *_COMMON,
                ),
                rules=strip_rules,
                build=partial(_built, PrintedStripRequest),
                strangers={**_NO_WIRE, "material": "a print differs from its bulk metal: write its `conductivity`"},
            ),
        },
    )
