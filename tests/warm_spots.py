"""Stacks, traces and parts that the tests of hot spots share; every value is invented or rounded."""

import math

from loopwright.ground.sources import Flag, Source
from loopwright.heating.layers import Layer, Outside
from loopwright.heating.spot import Part, SpotStack, Trace

INVENTED = Source(key="", where="made up for a test", flag=Flag.COMPUTED)


def layer(name, thickness_m, conductivity, density=1000.0, capacity=2000.0, perfusion=0.0, metabolic=0.0):
    return Layer(
        name=name,
        thickness_m=thickness_m,
        conductivity_w_per_m_k=conductivity,
        density_kg_per_m3=density,
        heat_capacity_j_per_kg_k=capacity,
        perfusion_w_per_m3_k=perfusion,
        metabolic_w_per_m3=metabolic,
        source=INVENTED,
    )


FILM = layer("film", 50e-6, 0.2, 1400, 1100)
FOAM = layer("foam", 6e-3, 0.04, 60, 1400)
FABRIC = layer("fabric", 1e-3, 0.06, 300, 1300)
GAP = layer("gap", 1e-3, 0.026, 1.2, 1005)
TISSUE = (
    layer("skin", 1.5e-3, 0.37, 1109, 3391, 2000, 1000),
    layer("fat", 6e-3, 0.21, 911, 2348, 500, 500),
    layer("muscle", 25e-3, 0.49, 1090, 3421, 2700, 900),
)

AIR = Outside(temperature_c=24.0, transfer_w_per_m2_k=8.0)
CORE = Outside(temperature_c=37.0, transfer_w_per_m2_k=math.inf)
NO_AIR = Outside(temperature_c=24.0, transfer_w_per_m2_k=0.0)

WORN = SpotStack(
    outer=(FILM, FOAM, FABRIC), inner=(FILM, FOAM, FABRIC), between=(GAP,), tissue=TISSUE, air=AIR, core=CORE
)

TRACE = Trace(
    width_m=5e-3,
    length_m=0.25,
    thickness_m=35e-6,
    conductivity_w_per_m_k=400.0,
    density_kg_per_m3=8960.0,
    heat_capacity_j_per_kg_k=385.0,
)

CAPACITOR = Part(
    length_m=2.8e-3,
    width_m=2.8e-3,
    height_m=2.6e-3,
    gap_m=1.4e-3,
    conductivity_w_per_m_k=3.0,
    density_kg_per_m3=4000.0,
    heat_capacity_j_per_kg_k=600.0,
)


def bare_trace(width_m):
    """A trace that spreads no heat and stores none."""
    return Trace(
        width_m=width_m,
        length_m=1.0,
        thickness_m=1e-9,
        conductivity_w_per_m_k=1e-6,
        density_kg_per_m3=1.0,
        heat_capacity_j_per_kg_k=1.0,
    )
