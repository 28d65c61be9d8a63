"""A hot spot and what lies round it: a part or a piece of trace, the conductor, the layers on both sides."""

from dataclasses import dataclass
from enum import Enum

from loopwright.heating.layers import Layer, Outside

__all__ = ["Part", "Place", "Side", "SpotStack", "Stretch", "Trace"]


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
        Beyond the outermost layer, and beyond the innermost. Blood comes at the temperature of the core.
    """

    outer: tuple[Layer, ...]
    inner: tuple[Layer, ...]
    between: tuple[Layer, ...]
    tissue: tuple[Layer, ...]
    air: Outside
    core: Outside

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
