"""Keys that several kinds of conductor share."""

from collections.abc import Iterable, Mapping
from typing import Any

from loopwright.brief import defaults
from loopwright.brief.defaults import Default
from loopwright.brief.forms import Piece
from loopwright.brief.keys import Absent, Choice, Key, Number
from loopwright.brief.quantities import Quantity
from loopwright.brief.topics.films import STACK
from loopwright.ground.sources import Published
from loopwright.ground.units import engineering_text

__all__ = ["COMMON", "DENSITY", "NO_WIRE", "built", "conductivity", "length", "material_keys", "named"]

#: Keys of a wire that one might write for a strip.
NO_WIRE = {"wire_diameter": "a strip has `width` and `thickness`", "diameter": "a strip has `width` and `thickness`"}

#: Of every conductor: its losses, its temperatures, what was measured, and what lies round it.
COMMON: tuple[Key | Piece, ...] = (
    Quantity(
        name="measured_resistance",
        field="measured_resistance_ohm_per_m",
        unit="ohm/m",
        low="0.001 ohm/m",
        high="10000 ohm/m",
        sample="2.4 ohm/m",
        absent=Absent.ALLOWED,
        meaning="Resistance of a metre of centre-line as you measured it at the Larmor frequency. It stands in for "
        "what would be computed.",
    ),
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
    *STACK,
)

DENSITY = Quantity(
    name="density",
    field="density_kg_per_m3",
    unit="kg/m^3",
    low="100 kg/m^3",
    high="25000 kg/m^3",
    sample="8890 kg/m^3",
    absent=Absent.ALLOWED,
    meaning="Density, for the mass of the conductor. Left out: that of the `material`, see below; of a print, an "
    "elastomer or a given conductivity the mass is not told then.",
)


def length(name: str, low: str, high: str, sample: str, meaning: str, absent: Absent = Absent.REFUSED) -> Quantity:
    """Key of a length."""
    field = f"{name}_m"
    return Quantity(name=name, field=field, unit="m", low=low, high=high, sample=sample, meaning=meaning, absent=absent)


def conductivity(*, low: str, sample: str, meaning: str, absent: Absent = Absent.ALLOWED) -> Quantity:
    """Key of a conductivity."""
    return Quantity(
        name="conductivity",
        field="conductivity_s_per_m",
        unit="S/m",
        low=low,
        high="70 MS/m",
        sample=sample,
        absent=absent,
        meaning=meaning,
    )


def material_keys(table: Mapping[str, Published], default: Default) -> tuple[Key, Key]:
    """Return the two keys that tell what a solid or liquid conductor is made of."""
    return (
        Choice(
            name="material",
            options=tuple(table),
            default=default,
            unless="conductivity",
            meaning=f"Metal, for its conductivity: {named(table.items())}.",
        ),
        conductivity(low="0.01 MS/m", sample="58 MS/m", meaning="Conductivity instead of `material`."),
    )


def named(values: Iterable[tuple[str, Published]]) -> str:
    """Names with their conductivities."""
    return "; ".join(f"{name} {engineering_text(value.value, 'S/m')}" for name, value in values)


def built(
    record: Any,
    table: Mapping[str, Published],
    *,
    material: str = "given",
    conductivity_s_per_m: float | None = None,
    **others: Any,
) -> Any:
    """Build the record of this kind; a conductivity [S/m] that was written wins over the default metal."""
    if conductivity_s_per_m is None:
        return record(material=material, conductivity_s_per_m=table[material].value, **others)
    return record(material="given", conductivity_s_per_m=conductivity_s_per_m, **others)
