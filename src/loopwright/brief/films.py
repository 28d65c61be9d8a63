"""Films that a capacitor may be printed on: those of the table of materials whose loss and breakdown are known."""

from dataclasses import dataclass

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.materials import Material, film_materials
from loopwright.ground.sources import Published

__all__ = ["FILMS", "Film", "film_of"]

_NEEDED = ("permittivity", "loss tangent", "breakdown field")


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


def _film(material: Material) -> Film:
    eps_r, loss_tangent, breakdown_v_per_m = (material.values[quantity] for quantity in _NEEDED)
    return Film(
        name=material.name,
        eps_r=eps_r,
        loss_tangent=loss_tangent,
        breakdown_v_per_m=breakdown_v_per_m,
        temperature_per_k=material.values.get("temperature coefficient"),
    )


#: By the name that a brief uses.
FILMS: dict[str, Film] = {
    name: _film(material) for name, material in film_materials().items() if set(_NEEDED) <= set(material.values)
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
