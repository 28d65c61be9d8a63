"""What lies between a conductor and the skin, from the films that the brief asks for and the padding under them."""

from collections.abc import Sequence
from typing import Literal, assert_never

from loopwright.brief.records import (
    CoaxialLineRequest,
    ConductorRequest,
    ElastomerStripRequest,
    FlatStripRequest,
    LiquidMetalTubeRequest,
    PrintedStripRequest,
    RoundWireRequest,
    ThreadRequest,
)
from loopwright.layouts import FilmStack, StackLayer

__all__ = ["worn_stack"]


def worn_stack(
    request: ConductorRequest,
    *,
    towards_skin: Literal["substrate", "encapsulation"],
    padding: Sequence[StackLayer] = (),
) -> FilmStack:
    """Layers from the conductor down to the skin.

    Parameters
    ----------
    request : ConductorRequest
        The conductor of the brief.
    towards_skin : "substrate" or "encapsulation"
        Which side of the film is worn inwards: what the conductor lies on, or what lies over it.
    padding : sequence of StackLayer
        Foam and fabric under the film, as thick as they are when worn, from the film to the skin.

    Returns
    -------
    FilmStack
        A tube counts with its wall, a sprung thread with its turns, a coaxial line with its shield.
    """
    films = request.substrate if towards_skin == "substrate" else request.encapsulation
    layers = [StackLayer(name=film.material, thickness_m=film.thickness_m) for film in films]
    return FilmStack(layers=(*layers, *padding), conductor_thickness_m=_thickness_m(request))


def _thickness_m(request: ConductorRequest) -> float:
    match request:
        case RoundWireRequest():
            return request.wire_diameter_m
        case FlatStripRequest() | PrintedStripRequest() | ElastomerStripRequest():
            return request.thickness_m
        case LiquidMetalTubeRequest():
            return request.bore_m + 2 * request.wall.thickness_m
        case ThreadRequest():
            return request.outer_diameter_m
        case CoaxialLineRequest():
            return request.shield_diameter_m
    assert_never(request)
