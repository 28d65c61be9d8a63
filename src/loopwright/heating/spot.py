"""A hot spot and what lies round it: a part or a piece of trace, the conductor, the layers on both sides."""

from dataclasses import dataclass
from enum import Enum

from loopwright.ground.errors import OutsideModelError
from loopwright.heating.layers import Layer, Outside
from loopwright.heating.stack import BLOOD_TEMPERATURE_C, Stack

__all__ = ["Part", "Place", "Side", "SpotStack", "Stretch", "Trace", "around_conductor"]


class Side(Enum):
    """On which side of the conductor a part stands."""

    OUTER = "away from the skin"
    SKIN = "towards the skin"


class Place(Enum):
    """Where the hottest point is asked for."""

    PART = "inside the part or on the trace"
    OUTER_SURFACE = "outer surface"
    APPLIED_SURFACE = "surface that faces the skin"
    SKIN = "surface of the skin"
    BELOW_SKIN = "tissue below the skin"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A block that makes heat evenly in its volume and stands on the conductor.

    Attributes
    ----------
    length_m, width_m, height_m : float
        Along the conductor, across it, and away from it. [m]
    gap_m : float
        Gap of the conductor that the part bridges, in the middle under it; nought where the conductor runs on. [m]
    conductivity_w_per_m_k : float
        Thermal conductivity, the same in all directions. [W/(m K)]
    density_kg_per_m3 : float
        [kg/m^3]
    heat_capacity_j_per_kg_k : float
        [J/(kg K)]
    side : Side
    """

    length_m: float
    width_m: float
    height_m: float
    gap_m: float
    conductivity_w_per_m_k: float
    density_kg_per_m3: float
    heat_capacity_j_per_kg_k: float
    side: Side = Side.OUTER


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A piece of the conductor that makes heat evenly over its area.

    Attributes
    ----------
    length_m : float
        Of the piece, along the conductor. [m]
    """

    length_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """The conductor under the part: a straight thin strip that spreads heat along and across.

    Attributes
    ----------
    width_m : float
        [m]
    length_m : float
        In all, with the part in its middle. [m]
    thickness_m : float
        Of the metal. [m]
    conductivity_w_per_m_k : float
        Thermal conductivity of the metal. [W/(m K)]
    density_kg_per_m3 : float
        [kg/m^3]
    heat_capacity_j_per_kg_k : float
        [J/(kg K)]
    """

    width_m: float
    length_m: float
    thickness_m: float
    conductivity_w_per_m_k: float
    density_kg_per_m3: float
    heat_capacity_j_per_kg_k: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotStack:
    """The layers on both sides of the conductor, each tuple from the conductor or the skin onwards.

    Attributes
    ----------
    outer : tuple of Layer
        From the conductor to the air; a part that is higher stands out of them into the air.
    inner : tuple of Layer
        From the conductor to the surface that faces the skin.
    between : tuple of Layer
        What lies between that surface and the skin: a gap of air, clothing. May be empty.
    tissue : tuple of Layer
        From the skin inwards; empty where the array lies on nothing.
    air, core : Outside
        Beyond the outermost layer, and beyond the innermost.
    blood_c : float
        Temperature of the blood that perfuses tissue. [degC]
    """

    outer: tuple[Layer, ...]
    inner: tuple[Layer, ...]
    between: tuple[Layer, ...]
    tissue: tuple[Layer, ...]
    air: Outside
    core: Outside
    blood_c: float = BLOOD_TEMPERATURE_C

    @property
    def below(self) -> tuple[Layer, ...]:
        """All layers from the conductor towards the core."""
        return self.inner + self.between + self.tissue

    @property
    def outer_m(self) -> float:
        """Thickness of the layers between the conductor and the air. [m]"""
        return sum(layer.thickness_m for layer in self.outer)

    @property
    def applied_m(self) -> float:
        """Depth below the conductor of the surface that faces the skin. [m]"""
        return sum(layer.thickness_m for layer in self.inner)

    @property
    def skin_m(self) -> float:
        """Depth below the conductor of the surface of the skin. [m]"""
        return self.applied_m + sum(layer.thickness_m for layer in self.between)

    @property
    def core_m(self) -> float:
        """Depth below the conductor at which the core begins. [m]"""
        return self.skin_m + sum(layer.thickness_m for layer in self.tissue)


def around_conductor(
    stack: Stack, *, conductor: str, applied: str, skin: str, without: tuple[str, ...] = ()
) -> SpotStack:
    """Layers on both sides of a conductor in a stack that runs from the air to the core.

    Parameters
    ----------
    stack : Stack
    conductor : str
        Layer on whose outer face the conductor lies.
    applied : str
        Last layer of the array.
    skin : str
        First layer of tissue; empty where the array lies on none.
    without : tuple of str
        Layers to leave out, as one that stands for the parts themselves.

    Raises
    ------
    OutsideModelError
        For layers that are not there or in another order, and for contact resistances.
    """
    if any(stack.contacts_k_m2_per_w):
        raise OutsideModelError("a local model has no contact resistances: make them thin layers")
    first, last = stack.place_of(conductor), stack.place_of(applied) + 1
    tissue = stack.place_of(skin) if skin else len(stack.layers)
    if not first < last <= tissue:
        raise OutsideModelError(f"{conductor!r}, {applied!r} and {skin!r} must follow one another from the air inwards")
    layers = stack.layers

    def kept(start: int, end: int) -> tuple[Layer, ...]:
        return tuple(layer for layer in layers[start:end] if layer.name not in without)

    return SpotStack(
        outer=kept(0, first)[::-1],
        inner=kept(first, last),
        between=kept(last, tissue),
        tissue=kept(tissue, len(layers)),
        air=stack.first,
        core=stack.last,
        blood_c=stack.blood_c,
    )
