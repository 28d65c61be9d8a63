"""What is told of heat: of places about hot spots, and of the coil as a whole."""

from collections.abc import Mapping
from dataclasses import dataclass

from loopwright.heating.spot import Place

__all__ = ["HotPlace", "SurfaceHeat", "WholeCoil"]

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceHeat:
    """The hottest point of one place about a hot spot, in one case.

    Attributes
    ----------
    start_c, after_c, settled_c : float
        Without power; after the duration of the sequence; in the end. [degC]
    time_constant_s : float
        After which the rise has come 1 - 1/e of its way. [s]
    uncertainty_k : float
        Half-width of both later temperatures: what the grid leaves, and what neighbours may add at most. [K]
    """

    start_c: float
    after_c: float
    settled_c: float
    time_constant_s: float
    uncertainty_k: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HotPlace:
    """One of the hottest spots, in the case in which it is hottest.

    Attributes
    ----------
    element, part : str
        Of a part its name, of a conductor "conductor".
    position_m : tuple of 3 floats
        In the body frame. [m]
    case : str
        Name of the case.
    power_w : float
        That it turns into heat there, mean over the sequence. [W]
    places : mapping of Place to SurfaceHeat
        The part itself, the outer surface, the one that faces the patient, the skin.
    """

    element: str
    part: str
    position_m: Triple
    case: str
    power_w: float
    places: Mapping[Place, SurfaceHeat]


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeCoil:
    """The coil as a whole, at one temperature throughout.

    Attributes
    ----------
    case : str
        In which the array takes up most.
    array_w, preamplifiers_w : float
        Heat of parts and conductors, and of all preamplifiers. [W]
    area_m2 : float
        That gives heat to the air. [m^2]
    rise_after_k, rise_settled_k : float
        Over the air after the duration, and in the end. [K]
    time_constant_s : float
        [s]
    """

    case: str
    array_w: float
    preamplifiers_w: float
    area_m2: float
    rise_after_k: float
    rise_settled_k: float
    time_constant_s: float
