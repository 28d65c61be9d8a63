"""From what a brief says of heat to the stack, the trace and the parts of a local model."""

from collections.abc import Sequence
from math import inf, pi

from loopwright.brief.records.conductor import ConductorRequest
from loopwright.brief.records.heat import HeatLayerRequest, HeatRequest
from loopwright.circuits.wiring import ElementCircuit
from loopwright.conductors import (
    CrossSection,
    Thread,
    conducting_area_m2,
    direct_resistance_ohm_per_m,
    outline_width_m,
)
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.part_sizes import PartSize, part_sizes
from loopwright.ground.thermal import thermal_materials
from loopwright.heating.air import Facing, air_outside, blown_transfer_w_per_m2_k, radiated_transfer_w_per_m2_k
from loopwright.heating.hot_spots import part_of
from loopwright.heating.layers import Layer, Outside
from loopwright.heating.slab import steady_state
from loopwright.heating.spot import Part, SpotStack, Trace
from loopwright.heating.stack import Heat, Stack
from loopwright.heating.tissue import air_gap_layer, material_layer, tissue_layer

__all__ = ["ASKED_LIMITS", "part_asked", "refuse_unknown_parts", "stack_asked", "trace_asked"]

_ICE_K = 273.15
#: Air along the cover that a brief calls gentle; common practice for the fan of a bore. [m/s]
GENTLE_M_PER_S = 0.3
#: Length of a surface over which air rises or streams, about that of an array. [m]
SURFACE_M = 0.2
#: Wiedemann and Franz: heat follows charge in a metal, k = L sigma T. [W ohm / K^2]
LORENZ_W_OHM_PER_K2 = 2.44e-8
#: At which a trace conducts heat. [K]
_WARM_K = 310.0
#: Longest straight trace in the model; several times as far as heat goes along copper foil under foam. [m]
LONGEST_TRACE_M = 0.25
#: Least that a layer without thickness may be left. [m]
_LEAST_M = 0.1e-3
#: By which layers may be thicker than the conductor is off the skin: chords of a curved conductor dip below its line.
_DIP, _DIP_M = 0.1, 0.5e-3
#: Height over the smaller side of a part, pads' gap over its length, where the table does not know its outline.
_HEIGHT, _GAP = 0.8, 0.57

ASKED_LIMITS = (
    (
        "The outside is taken as facing down, where still air carries least away; air that is blown counts where it "
        f"carries more ({GENTLE_M_PER_S:g} m/s for a gentle flow)."
    ),
    (
        "Traces of metals that the table does not know conduct heat as they conduct charge (Wiedemann and Franz), and "
        "store as much as copper of their volume."
    ),
    (
        "Parts that the brief gives no size of their own are all blocks of one outline; a smaller part gets hotter at "
        "the same power, so name the sizes of diodes, coils and fuses."
    ),
)


def stack_asked(request: HeatRequest, *, stand_off_m: float) -> SpotStack:
    """Layers on both sides of the conductor.

    Parameters
    ----------
    request : HeatRequest
        What the brief says.
    stand_off_m : float
        From the conductor to the skin, where it is least; a layer without thickness fills what the others leave. [m]

    Raises
    ------
    OutsideModelError
        If the layers leave no room for the one that fills, are thicker than there is room without one, or air is so
        thick that it would not stay still.
    """
    below = [_layer(asked, _left_m(request.to_skin, stand_off_m)) for asked in request.to_skin]
    solid = max((at for at, asked in enumerate(request.to_skin, start=1) if asked.material != "air"), default=0)
    ambient_c, core_c = request.ambient_temperature_k - _ICE_K, request.core_temperature_k - _ICE_K
    tissue = (
        tissue_layer("Skin (Dry)", request.tissue.skin_m),
        tissue_layer("Fat (Not Infiltrated)", request.tissue.fat_m),
        tissue_layer("Muscle", request.tissue.muscle_m),
    )
    outer = tuple(_layer(asked, inf) for asked in request.cover)
    core = Outside(temperature_c=core_c, transfer_w_per_m2_k=inf)
    across = (*reversed(outer), *below, *tissue)
    return SpotStack(
        outer=outer,
        inner=tuple(below[:solid]),
        between=tuple(below[solid:]),
        tissue=tissue,
        air=_air(request, across, ambient_c=ambient_c, core=core),
        core=core,
    )


def _left_m(layers: Sequence[HeatLayerRequest], stand_off_m: float) -> float:
    told_m = sum(layer.thickness_m for layer in layers if layer.thickness_m is not None)
    fills = any(layer.thickness_m is None for layer in layers)
    if fills and stand_off_m - told_m < _LEAST_M:
        raise OutsideModelError(
            f"heat.to_skin: the conductor is {stand_off_m * 1e3:.2f} mm from the skin where it is closest, and the "
            f"layers with a thickness take {told_m * 1e3:.2f} mm: nothing is left for the one that fills. Make the "
            "others thinner. With a film, every layer stands in `array.carrier.padding` or `conductor.substrate`, too."
        )
    if told_m > stand_off_m + max(_DIP * stand_off_m, _DIP_M):
        raise OutsideModelError(
            f"heat.to_skin: its layers come to {told_m * 1e3:.2f} mm, and the conductor is {stand_off_m * 1e3:.2f} mm "
            "from the skin where it is closest: the skin would be told too cool. Write them as thick as they are worn, "
            "or a larger stand-off."
        )
    return stand_off_m - told_m


def _layer(asked: HeatLayerRequest, left_m: float) -> Layer:
    thickness_m = left_m if asked.thickness_m is None else asked.thickness_m
    if asked.material == "air":
        return air_gap_layer(thickness_m)
    return material_layer(asked.material, thickness_m)


def _air(request: HeatRequest, across: tuple[Layer, ...], *, ambient_c: float, core: Outside) -> Outside:
    """Air outside, its transfer that at the temperature which the cover has without power."""
    first = Outside(temperature_c=ambient_c, transfer_w_per_m2_k=5.0)
    found = first
    for _ in range(8):
        stack = Stack(layers=across, first=found, last=core, blood_c=core.temperature_c)
        surface_c = float(steady_state(stack, Heat()).faces_c[0, 0])
        found = air_outside(ambient_c=ambient_c, surface_c=surface_c, length_m=SURFACE_M, facing=Facing.DOWN)
        if request.airflow == "gentle":
            blown = blown_transfer_w_per_m2_k(GENTLE_M_PER_S, SURFACE_M)
            radiated = radiated_transfer_w_per_m2_k(surface_c, ambient_c)
            transfer = max(found.transfer_w_per_m2_k, blown + radiated)
            found = Outside(temperature_c=ambient_c, transfer_w_per_m2_k=transfer)
    return found


def trace_asked(conductor: ConductorRequest, section: CrossSection, *, length_m: float) -> Trace:
    """The conductor as a thin strip that spreads heat.

    Parameters
    ----------
    conductor : ConductorRequest
        What the brief says.
    section : CrossSection
        The same, as it was solved.
    length_m : float
        Of one element all round. [m]
    """
    width_m = outline_width_m(section)
    area_m2 = conducting_area_m2(section) or pi * width_m**2 / 4
    resistance = section.thread_ohm_per_m if isinstance(section, Thread) else direct_resistance_ohm_per_m(section)
    known = thermal_materials().get(conductor.material)
    alike = known or thermal_materials()["copper"]
    conducts = LORENZ_W_OHM_PER_K2 * _WARM_K / ((resistance or inf) * area_m2)
    return Trace(
        width_m=width_m,
        length_m=min(length_m, LONGEST_TRACE_M),
        thickness_m=area_m2 / width_m,
        conductivity_w_per_m_k=known.conductivity.value if known else conducts,
        density_kg_per_m3=alike.density.value,
        heat_capacity_j_per_kg_k=alike.heat_capacity.value,
    )


def part_asked(request: HeatRequest, name: str) -> Part:
    """The block that stands for a part of this name."""
    sizes = {one.part: one.size for one in request.part_sizes}
    return part_of(_size(sizes.get(name, request.part_size)))


def refuse_unknown_parts(request: HeatRequest, circuits: Sequence[ElementCircuit]) -> None:
    """Refuse sizes of parts that no element has: they would be left aside without a word.

    Parameters
    ----------
    request : HeatRequest
        Sizes of parts by their names.
    circuits : sequence of ElementCircuit
        One for each element.

    Raises
    ------
    OutsideModelError
        If a name is none.
    """
    names = tuple(dict.fromkeys(branch.name for circuit in circuits for branch in circuit.branches))
    strangers = [one.part for one in request.part_sizes if one.part not in names]
    if strangers:
        raise OutsideModelError(
            f"heat.part_sizes: no part is called {', '.join(strangers)}. Write names of these: {', '.join(names)}."
        )


def _size(outline: str) -> PartSize:
    """A capacitor of this outline, from the table or by its code of hundredths of an inch."""
    known = part_sizes()
    if (name := f"capacitor {outline}") in known:
        return known[name]
    like = known["capacitor 1111"]
    length_m, width_m = (int(digits) * 0.254e-3 for digits in (outline[:2], outline[2:]))
    return PartSize(
        name=name,
        length_m=length_m,
        width_m=width_m,
        height_m=_HEIGHT * min(length_m, width_m),
        gap_m=_GAP * length_m,
        conductivity_w_per_m_k=like.conductivity_w_per_m_k,
        density_kg_per_m3=like.density_kg_per_m3,
        heat_capacity_j_per_kg_k=like.heat_capacity_j_per_kg_k,
        source=like.source,
    )
