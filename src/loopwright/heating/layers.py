"""Layers between a source of heat and its surroundings: what they are made of."""

from dataclasses import dataclass

from loopwright.ground.sources import Source

__all__ = ["GREATEST_C", "Layer", "Outside"]

#: Above this no temperature is told (common practice): foams, films and glues char, and blood flow is none. [degC]
GREATEST_C = 150.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer of a stack; tissue has perfusion, others have none.

    Attributes
    ----------
    name : str
    thickness_m : float
        [m]
    conductivity_w_per_m_k : float
        Thermal conductivity. [W/(m K)]
    density_kg_per_m3 : float
        [kg/m^3]
    heat_capacity_j_per_kg_k : float
        [J/(kg K)]
    perfusion_w_per_m3_k : float
        What blood takes away per volume and kelvin above its own temperature. [W/(m^3 K)]
    metabolic_w_per_m3 : float
        What tissue makes by itself. [W/m^3]
    source : Source
        Where the values come from.
    """

    name: str
    thickness_m: float
    conductivity_w_per_m_k: float
    density_kg_per_m3: float
    heat_capacity_j_per_kg_k: float
    perfusion_w_per_m3_k: float = 0.0
    metabolic_w_per_m3: float = 0.0
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Outside:
    """What lies beyond the last layer on one side: air at a temperature, or the core of the body.

    Attributes
    ----------
    temperature_c : float
        [degC]
    transfer_w_per_m2_k : float
        Convection and radiation together; infinite where the face is held at the temperature. [W/(m^2 K)]
    """

    temperature_c: float
    transfer_w_per_m2_k: float
