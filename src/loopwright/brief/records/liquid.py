"""A liquid that a phantom is filled with: what is dissolved in it, and what was measured of it."""

from typing import Literal

from loopwright.brief.records.record import Positive, Record

__all__ = ["LiquidBase", "LiquidMaterial", "SaltShare"]

LiquidBase = Literal["water", "sucrose", "polymer", "gel"]


class SaltShare(Record):
    """A salt, by its name as it was weighed, and its mass in a volume of the finished liquid. [kg/m^3]"""

    salt: str
    concentration_kg_per_m3: Positive


class LiquidMaterial(Record):
    """A liquid of stated salts.

    Attributes
    ----------
    base
        Only the conductivity of salts in plain water is predicted; of anything else both measured values are there.
    temperature_k
        At which it is used. [K]
    measured_conductivity_s_per_m, measured_eps_r
        What was measured at the Larmor frequency; it takes the place of what is predicted. [S/m]
    """

    name: str
    base: LiquidBase = "water"
    salts: tuple[SaltShare, ...] = ()
    temperature_k: Positive
    measured_conductivity_s_per_m: Positive | None = None
    measured_eps_r: Positive | None = None
