"""Heat: the room, the layers between conductor and skin, the tissue below, and how many places to measure."""

from collections.abc import Iterator
from typing import get_args

from loopwright.brief import defaults
from loopwright.brief.defaults import Default
from loopwright.brief.forms import Draft, Form, Rule, Trouble
from loopwright.brief.keys import Absent, Choice, Count, Words
from loopwright.brief.parts import Part, Parts
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import (
    HeatLayerRequest,
    HeatRequest,
    InterfaceRequest,
    PartSizeRequest,
    TissueLayersRequest,
)
from loopwright.brief.records.heat import Airflow, PartSize
from loopwright.ground.sources import Flag, Source
from loopwright.ground.units import engineering_text

__all__ = ["THERMAL_MATERIALS", "heat_form"]

#: Names that a layer may have: those of films, foams and textiles of which heat conduction is tabled.
THERMAL_MATERIALS = (
    "polyimide", "PET", "PEN", "PEEK", "PTFE", "FEP", "PVC", "polypropylene", "polyethylene", "polycarbonate", "FR-4",
    "silicone", "thermoplastic polyurethane", "polyurethane foam", "polyethylene foam", "polyester textile",
    "cotton textile", "polyamide textile", "air",
)  # fmt: skip


def _of_one_layer(*, absent: Absent, meaning: str) -> Form:
    return Form(
        title="layer",
        keys=(
            Choice(name="material", options=THERMAL_MATERIALS, meaning="What it is made of."),
            Quantity(name="thickness", field="thickness_m", unit="m", low="1 um", high="200 mm", sample="2 mm",
                     absent=absent, meaning=meaning),
        ),
        build=HeatLayerRequest,
        strangers={"name": "write `material`"},
    )  # fmt: skip


_TO_SKIN = _of_one_layer(
    absent=Absent.ALLOWED,
    meaning="Thickness as worn. Left out for one layer at most: what the others leave of the stand-off.",
)
_COVER = _of_one_layer(absent=Absent.REFUSED, meaning="Thickness as worn.")

_TISSUE = Form(
    title="tissue layers",
    keys=(
        Quantity(name="skin", field="skin_m", unit="m", low="0.1 mm", high="5 mm", default=defaults.SKIN_LAYER,
                 meaning="Thickness of the skin."),
        Quantity(name="fat", field="fat_m", unit="m", low="0.1 mm", high="100 mm", default=defaults.FAT_LAYER,
                 meaning="Thickness of the fat below it."),
        Quantity(name="muscle", field="muscle_m", unit="m", low="1 mm", high="200 mm", default=defaults.MUSCLE_LAYER,
                 meaning="Thickness of the muscle below that; its far side has the temperature of the core."),
    ),
    build=TissueLayersRequest,
)  # fmt: skip

_PART_SIZE = Form(
    title="size of parts",
    keys=(
        Words(name="part", longest=40, sample="C trap 1", meaning="Name of the part, in every element that has it."),
        Choice(name="size", options=get_args(PartSize), meaning="Outline, in hundredths of an inch."),
    ),
    build=PartSizeRequest,
    strangers={"name": "write `part`"},
)


def _at_most_one_fills(draft: Draft) -> Iterator[Trouble]:
    layers: tuple[HeatLayerRequest, ...] | None = draft.get("to_skin")
    if layers == ():
        yield Trouble(key="to_skin", found="a list of 0", allowed="one layer or more", remedy="add one")
    filling = [number for number, layer in enumerate(layers or (), start=1) if layer.thickness_m is None]
    if len(filling) > 1:
        yield Trouble(
            key="to_skin",
            found=f"layers {', '.join(map(str, filling))} without a thickness",
            allowed="one at most, which fills the stand-off",
            remedy="write the thickness of the others",
        )


def _core_above_ambient(draft: Draft) -> Iterator[Trouble]:
    room_k, core_k = draft.get("ambient_temperature"), draft.get("core_temperature")
    if room_k is not None and core_k is not None and room_k >= core_k:
        yield Trouble(
            key="ambient_temperature",
            found=f"{engineering_text(room_k, 'K')} about a core of {engineering_text(core_k, 'K')}",
            allowed="below the temperature of the core",
            remedy="write the temperature of the room",
        )


def _parts_there(names: tuple[str, ...] | None) -> Rule:
    """Refuse sizes of parts that no wiring of one's own holds; those of a ready wiring get their names later."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        strangers = [one.part for one in draft.get("part_sizes") or () if one.part not in (names or ())]
        if names is not None and strangers:
            yield Trouble(
                key="part_sizes",
                found=f"{', '.join(strangers[:8])}, which no part is called",
                allowed=", ".join(names),
                remedy="write the names as they stand in `circuit.parts`",
            )

    return rule


def _preamplifier_heat(interface: InterfaceRequest | None) -> Default:
    if interface is None or interface.preamplifier_draw_a is None:
        return defaults.PREAMPLIFIER_HEAT
    power_w = interface.preamplifier_supply_v * interface.preamplifier_draw_a
    where = "`interface.preamplifier_supply` times `interface.preamplifier_draw`"
    return Default(value=engineering_text(power_w, "W"), source=Source(key="", where=where, flag=Flag.COMPUTED))


def heat_form(*, interface: InterfaceRequest | None = None, part_names: tuple[str, ...] | None = None) -> Form:
    """Form of the heat.

    Parameters
    ----------
    interface
        Of the same brief, where there is one.
    part_names
        Names of the parts, where the brief gives them.

    Returns
    -------
    Form
        Keys and rules of ``heat``.
    """
    return Form(
        title="heat",
        keys=(
            Quantity(name="ambient_temperature", field="ambient_temperature_k", unit="K", low="0 degC",
                     high="50 degC", default=defaults.AMBIENT,
                     meaning="Highest temperature of the room for which the array is rated."),
            Choice(name="airflow", options=get_args(Airflow), default=defaults.AIRFLOW,
                   meaning="Air that the bore's fan blows along the cover."),
            Parts(name="to_skin", of=_TO_SKIN, most=12, default=defaults.TO_SKIN,
                  meaning="Layers from the conductor to the skin, in this order: film, encapsulation, foam, fabric, "
                  "gap. They have to fit into the stand-off. A film as `array.carrier` makes that from its own layers: "
                  "write each in both places."),
            Parts(name="cover", of=_COVER, most=12, default=defaults.COVER,
                  meaning="Layers from the conductor outwards to the air. An empty list: the conductor lies bare."),
            Part(name="tissue", of=_TISSUE, default=defaults.TISSUE_LAYERS,
                 meaning="Tissue below the hot spot."),
            Quantity(name="core_temperature", field="core_temperature_k", unit="K", low="30 degC", high="42 degC",
                     default=defaults.BODY_TEMPERATURE, meaning="Temperature of the patient's core and blood."),
            Quantity(name="preamplifier_power", field="preamplifier_power_w", unit="W", low="0 W", high="10 W",
                     default=_preamplifier_heat(interface), meaning="Heat of one preamplifier."),
            Choice(name="part_size", options=get_args(PartSize), default=defaults.PART_SIZE,
                   meaning="Outline of parts of which nothing else is told, length and width in hundredths of an "
                   "inch."),
            Parts(name="part_sizes", of=_PART_SIZE, most=40, unique="part", absent=Absent.ALLOWED,
                  meaning="Outlines of single parts."),
            Count(name="probes", low=1, high=16, default=defaults.PROBES,
                  meaning="How many places of measurement are named."),
        ),
        rules=(_at_most_one_fills, _core_above_ambient, _parts_there(part_names)),
        build=HeatRequest,
        strangers={
            "ambient": "write `ambient_temperature`",
            "layers": "write `to_skin` for those towards the patient, `cover` for those outside",
            "foam": "write it as a layer below `to_skin`",
        },
        notes="Needs `transmit`, which brings the power. Places of measurement are those where it gets hottest over "
        "all states.",
    )  # fmt: skip
