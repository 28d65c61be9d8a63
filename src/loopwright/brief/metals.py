"""Conductivities and densities of the metals that a brief may name."""

from loopwright.ground.constants import COPPER_CONDUCTIVITY_S_PER_M
from loopwright.ground.sources import Flag, Published, Source

__all__ = ["DENSITIES", "METALS"]

#: Conductivity of each metal near 20 degrees Celsius. [S/m]
METALS: dict[str, Published] = {
    "copper": Published(
        value=COPPER_CONDUCTIVITY_S_PER_M,
        unit="S/m",
        source=Source(key="nbs1966copper", where="100 % IACS: 0.15328 ohm g/m^2 with 8.89 g/cm^3", flag=Flag.COMPUTED),
    ),
    "silver": Published(
        value=6.30e7, unit="S/m", source=Source(key="", where="handbook value for pure silver", flag=Flag.MEMORY)
    ),
    "eutectic gallium-indium": Published(
        value=3.4e6, unit="S/m", source=Source(key="dickey2008", where="29.4 microohm cm", flag=Flag.MEMORY)
    ),
}

#: Density of each metal near 20 degrees Celsius. [kg/m^3]
DENSITIES: dict[str, Published] = {
    "copper": Published(
        value=8890.0,
        unit="kg/m^3",
        source=Source(key="nbs1966copper", where="8.89 g/cm^3, of the definition of 100 % IACS", flag=Flag.MEMORY),
    ),
    "silver": Published(
        value=10490.0, unit="kg/m^3", source=Source(key="", where="handbook value for pure silver", flag=Flag.MEMORY)
    ),
    "eutectic gallium-indium": Published(
        value=6250.0, unit="kg/m^3", source=Source(key="", where="6.25 g/cm^3, an encyclopaedia", flag=Flag.READ)
    ),
}
