"""Films, foams and textiles round a conductor: what they are, how heavy, and whether a scan sees them."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import pi
from types import MappingProxyType

from loopwright.brief.records import (
    ConductorRequest,
    FilmRequest,
    FlatStripRequest,
    LiquidMetalTubeRequest,
    RoundWireRequest,
)
from loopwright.ground.materials import Material, ShortEcho, conductor_materials, film_materials
from loopwright.ground.sources import Flag, Published, Source

__all__ = ["Film", "conducting_material", "film_mass_kg", "stack_of"]

_ASKED = Source(key="", where="the brief", flag=Flag.ASKED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Film:
    """One layer of the stack: a band of this width along every conductor, or a sheet of this area. [m], [m^2]"""

    part: str
    material: Material
    thickness_m: float
    width_m: float | None
    area_m2: float | None


def stack_of(request: ConductorRequest) -> tuple[Film, ...]:
    """Everything round the conductor that is asked for, from the inside out: wall, substrate, encapsulation.

    Parameters
    ----------
    request : ConductorRequest
        The conductor of the brief.

    Returns
    -------
    tuple of Film
        A tube's wall counts as a band as wide as its mean circumference, so that its volume is right.
    """
    films: list[Film] = []
    if isinstance(request, LiquidMetalTubeRequest):
        wall = _film("wall of the tube", request.wall)
        films.append(replace(wall, width_m=pi * (request.bore_m + request.wall.thickness_m)))
    films += [_film(f"substrate {number}", film) for number, film in enumerate(request.substrate, start=1)]
    films += [_film(f"encapsulation {number}", film) for number, film in enumerate(request.encapsulation, start=1)]
    return tuple(films)


def film_mass_kg(film: Film, *, conductor_length_m: float) -> float | None:
    """Mass of one layer; None where its density is not known. [kg]

    Parameters
    ----------
    film : Film
        The layer.
    conductor_length_m : float
        Length of all centre-lines, which a band follows. [m]
    """
    density = film.material.values.get("density")
    area_m2 = film.area_m2 if film.width_m is None else film.width_m * conductor_length_m
    return None if density is None or area_m2 is None else density.value * area_m2 * film.thickness_m


def conducting_material(request: ConductorRequest) -> Material:
    """What is known of what conducts; of a metal that nobody named only that it is one, of a thread nothing."""
    known = conductor_materials().get(request.material)
    if known is not None:
        return known
    if isinstance(request, RoundWireRequest | FlatStripRequest | LiquidMetalTubeRequest):
        metal = Source(key="", where="a metal", flag=Flag.MEMORY)
        return Material(name=request.kind, family="metal", short_echo=ShortEcho.NO_HYDROGEN, short_echo_source=metal)
    return Material(name=request.kind, family="")


def _film(part: str, request: FilmRequest) -> Film:
    return Film(
        part=part,
        material=_material(request),
        thickness_m=request.thickness_m,
        width_m=request.width_m,
        area_m2=request.area_m2,
    )


def _material(request: FilmRequest) -> Material:
    """The material of the table, and over it what the brief knows better."""
    known = film_materials().get(request.material, Material(name=request.material, family=""))
    values = dict(known.values)
    if request.short_echo in ("not seen", "no hydrogen"):
        values.pop("T2*", None)  # what the table says of a signal that is not there
    known = replace(known, values=MappingProxyType({**values, **_asked(request)}))
    if request.short_echo is not None:
        return replace(known, short_echo=ShortEcho(request.short_echo), short_echo_source=_ASKED)
    if request.t2_star_s is not None:
        return replace(known, short_echo=ShortEcho.SEEN, short_echo_source=_ASKED)
    return known


def _asked(request: FilmRequest) -> Mapping[str, Published]:
    told = {
        "permittivity": (request.eps_r, "1"),
        "loss tangent": (request.loss_tangent, "1"),
        "density": (request.density_kg_per_m3, "kg/m^3"),
        "T2*": (request.t2_star_s, "s"),
    }
    return {
        quantity: Published(value=value, unit=unit, source=_ASKED)
        for quantity, (value, unit) in told.items()
        if value is not None
    }
