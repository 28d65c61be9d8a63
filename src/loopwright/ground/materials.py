"""The packaged tables of what arrays are made of: conductors, and the films, foams and textiles round them.

One line of a table is one value with its unit, source and flag. What nobody has told is absent, never guessed.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from functools import cache
from types import MappingProxyType

from loopwright.ground.sources import Flag, Published, Source
from loopwright.ground.tables import packaged_lines

__all__ = ["Material", "ShortEcho", "conductor_materials", "film_materials"]


class ShortEcho(Enum):
    """Whether a scan with an ultra-short echo time (tens of microseconds) shows a material."""

    SEEN = "seen"
    NOT_SEEN = "not seen"
    NO_HYDROGEN = "no hydrogen"
    UNKNOWN = "not known"


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """What is known of one material, each value with its source.

    Attributes
    ----------
    name, family
        What it is called, and of what kind it is: metal, liquid metal, ink, elastomer, film, foam, textile, adhesive.
    values
        By quantity: ``conductivity`` [S/m], ``density`` [kg/m^3], ``permittivity``, ``loss tangent``,
        ``breakdown field`` [V/m], ``temperature coefficient`` of the permittivity [1/K], ``T2*`` [s].
    short_echo, short_echo_source
        Whether an ultra-short-echo scan shows it, and who says so.
    """

    name: str
    family: str
    values: Mapping[str, Published] = field(default_factory=dict)
    short_echo: ShortEcho = ShortEcho.UNKNOWN
    short_echo_source: Source | None = None


@cache
def conductor_materials() -> Mapping[str, Material]:
    """What conducts, by name, in the order of the file."""
    return _materials("conductor_materials.csv")


@cache
def film_materials() -> Mapping[str, Material]:
    """What carries, insulates and covers, by name, in the order of the file."""
    return _materials("film_materials.csv")


def _materials(file_name: str) -> Mapping[str, Material]:
    lines = packaged_lines(file_name)
    names = dict.fromkeys(line["material"] for line in lines)
    return MappingProxyType({name: _material([line for line in lines if line["material"] == name]) for name in names})


def _material(lines: list[dict[str, str]]) -> Material:
    told = {line["quantity"]: line for line in lines if line["quantity"]}
    seen = told.pop("short echo", None)
    return Material(
        name=lines[0]["material"],
        family=lines[0]["family"],
        values=MappingProxyType(
            {
                quantity: Published(value=float(line["value"]), unit=line["unit"], source=_source(line))
                for quantity, line in told.items()
            }
        ),
        short_echo=ShortEcho.UNKNOWN if seen is None else ShortEcho(seen["value"]),
        short_echo_source=None if seen is None else _source(seen),
    )


def _source(line: dict[str, str]) -> Source:
    return Source(key=line["key"], where=line["where"], flag=Flag[line["flag"]])
