"""The packaged tables of how materials and tissue conduct, store and make heat.

A density that the table of thermal values lacks is that of the tables of conductors and films.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.materials import conductor_materials, film_materials
from loopwright.ground.sources import Flag, Published, Source
from loopwright.ground.tables import packaged_lines

__all__ = ["ThermalMaterial", "thermal_material", "thermal_materials", "tissue_metabolism"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ThermalMaterial:
    """How a material conducts and stores heat, each value with its source.

    Attributes
    ----------
    name : str
    conductivity : Published
        Across the sheet where sheets differ. [W/(m K)]
    density : Published
        [kg/m^3]
    heat_capacity : Published
        [J/(kg K)]
    """

    name: str
    conductivity: Published
    density: Published
    heat_capacity: Published

    @property
    def source(self) -> Source:
        """All sources in one, flagged as the conductivity is: temperatures hang on it most."""
        told = {"conductivity": self.conductivity, "density": self.density, "heat capacity": self.heat_capacity}
        where = "; ".join(f"{quantity}: {value.source}" for quantity, value in told.items())
        return Source(key="", where=f"{self.name}, {where}", flag=self.conductivity.source.flag)


@cache
def thermal_materials() -> Mapping[str, ThermalMaterial]:
    """Every material of the table, by name, in the order of the file."""
    told: dict[str, dict[str, Published]] = {}
    for line in packaged_lines("thermal_materials.csv"):
        source = Source(key=line["key"], where=line["where"], flag=Flag[line["flag"]])
        value = Published(value=float(line["value"]), unit=line["unit"], source=source)
        told.setdefault(line["material"], {})[line["quantity"]] = value
    others = {**conductor_materials(), **film_materials()}
    return MappingProxyType(
        {
            name: ThermalMaterial(
                name=name,
                conductivity=values["thermal conductivity"],
                density=values["density"] if "density" in values else others[name].values["density"],
                heat_capacity=values["heat capacity"],
            )
            for name, values in told.items()
        }
    )


def thermal_material(name: str) -> ThermalMaterial:
    """Return one material by its name.

    Raises
    ------
    OutsideModelError
        If the table does not know it; the names that it knows are told.
    """
    known = thermal_materials()
    if name not in known:
        raise OutsideModelError(f"no thermal values of {name!r}; known are {', '.join(known)}")
    return known[name]


@cache
def tissue_metabolism() -> Mapping[str, Published]:
    """Heat that resting tissue makes, by the names of the table of tissues. [W/m^3]"""
    return MappingProxyType(
        {
            line["tissue"]: Published(
                value=float(line["metabolic_w_per_m3"]),
                unit="W/m^3",
                source=Source(key=line["key"], where=line["where"], flag=Flag[line["flag"]]),
            )
            for line in packaged_lines("tissue_metabolism.csv")
        }
    )
