"""The conducting materials that a brief may name, by what they are used for."""

from collections.abc import Mapping
from types import MappingProxyType

from loopwright.ground.materials import conductor_materials
from loopwright.ground.sources import Published

__all__ = ["DENSITIES", "ELASTOMERS", "INKS", "LIQUID_METALS", "METALS"]


def _values(quantity: str, *families: str) -> Mapping[str, Published]:
    return MappingProxyType(
        {
            name: material.values[quantity]
            for name, material in conductor_materials().items()
            if quantity in material.values and (not families or material.family in families)
        }
    )


#: Conductivity of each metal near 20 degrees Celsius, liquid ones included. [S/m]
METALS = _values("conductivity", "metal", "liquid metal")
#: Of those, the ones that fill a tube. [S/m]
LIQUID_METALS = _values("conductivity", "liquid metal")
#: Conductivity of finished prints. [S/m]
INKS = _values("conductivity", "ink")
#: Conductivity of filled elastomers at rest. [S/m]
ELASTOMERS = _values("conductivity", "elastomer")
#: Density of each conducting material near 20 degrees Celsius, where it is known. [kg/m^3]
DENSITIES = _values("density")
