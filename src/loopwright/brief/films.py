"""Films that a capacitor may be printed on: what a field in them meets, and when they break down.

All lookups go through :func:`film_of`, so that a fuller table can take its place.
"""

from dataclasses import dataclass

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.sources import Flag, Published, Source

__all__ = ["FILMS", "Film", "film_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Film:
    """A polymer film near 100 MHz and 20 degrees Celsius; the breakdown field is that of a film 25 um thick.

    ``temperature_per_k`` is the relative change of the capacitance with temperature, None where it is not known. [1/K]
    """

    name: str
    eps_r: Published
    loss_tangent: Published
    breakdown_v_per_m: Published
    temperature_per_k: Published | None = None


def _memory(value: float, unit: str, where: str) -> Published:
    return Published(value=value, unit=unit, source=Source(key="", where=where, flag=Flag.MEMORY))


def _film(name: str, eps_r: float, loss: float, breakdown_v_per_m: Published, per_k: float | None = None) -> Film:
    return Film(
        name=name,
        eps_r=_memory(eps_r, "1", "handbook value, near 100 MHz"),
        loss_tangent=_memory(loss, "1", "handbook value, near 100 MHz; grades and moisture change it"),
        breakdown_v_per_m=breakdown_v_per_m,
        temperature_per_k=None if per_k is None else _memory(per_k, "1/K", "film capacitors of this polymer"),
    )


def _breakdown(value: float) -> Published:
    return _memory(value, "V/m", "handbook value, thin film, short-time test at mains frequency")


#: By the name that a brief uses.
FILMS: dict[str, Film] = {
    film.name: film
    for film in (
        _film("polyimide", 3.4, 0.006, _breakdown(200e6)),
        _film(
            "PET",
            3.1,
            0.0125,
            Published(
                value=133e6,
                unit="V/m",
                source=Source(key="", where="133 V/um, a supplier's glossary of polyester film", flag=Flag.READ),
            ),
            400e-6,
        ),
        _film("PEN", 3.0, 0.006, _breakdown(160e6), 200e-6),
        _film("PEEK", 3.2, 0.003, _breakdown(150e6)),
        _film("PTFE", 2.1, 0.0003, _breakdown(80e6)),
        _film("PP", 2.25, 0.0003, _breakdown(200e6), -220e-6),
    )
}


def film_of(name: str) -> Film:
    """Properties of a film by its name.

    Raises
    ------
    OutsideModelError
        If the table has no such film.
    """
    if name not in FILMS:
        raise OutsideModelError(f"a film called {name!r}: the table knows {', '.join(FILMS)}.")
    return FILMS[name]
