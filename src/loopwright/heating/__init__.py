"""What gets how hot: from power in parts and traces to temperatures of surfaces and tissue."""

from loopwright.heating.air import (
    EMISSIVITY,
    Facing,
    air_outside,
    blown_transfer_w_per_m2_k,
    natural_transfer_w_per_m2_k,
    radiated_transfer_w_per_m2_k,
    steady_in_air,
)
from loopwright.heating.hot_spots import (
    HotSpots,
    Spot,
    SpotKind,
    hottest_spots,
    part_of,
    places_to_probe,
    rise_bound_k_per_w,
)
from loopwright.heating.layers import Layer, Outside
from loopwright.heating.local import HeatShares, LocalResponse, PlaceRise, local_response
from loopwright.heating.lumped import (
    Bodies,
    Body,
    Joint,
    bodies_response,
    box_body,
    preamplifier_power_w,
    steady_rise_k,
    warmed_outside,
)
from loopwright.heating.modes import StepResponse
from loopwright.heating.probes import Expected, Probe, ProbePlace, ProbePlan, probe_plan
from loopwright.heating.sequences import PowerStep, mean_share, repeated, rise_under_k, settling_s, time_to_limit_s
from loopwright.heating.slab import SteadyState, steady_state, temperature_at_c
from loopwright.heating.spot import Part, Place, Side, SpotStack, Stretch, Trace, around_conductor
from loopwright.heating.stack import BLOOD_TEMPERATURE_C, Heat, Stack
from loopwright.heating.tissue import air_gap_layer, material_layer, perfusion_w_per_m3_k, tissue_layer
from loopwright.heating.warming import Warming, face_response, warming
from loopwright.heating.worn import USUAL_THICKNESSES, heat_limits, part_heat, worn_stack

__all__ = [
    "BLOOD_TEMPERATURE_C",
    "EMISSIVITY",
    "USUAL_THICKNESSES",
    "Bodies",
    "Body",
    "Expected",
    "Facing",
    "Heat",
    "HeatShares",
    "HotSpots",
    "Joint",
    "Layer",
    "LocalResponse",
    "Outside",
    "Part",
    "Place",
    "PlaceRise",
    "PowerStep",
    "Probe",
    "ProbePlace",
    "ProbePlan",
    "Side",
    "Spot",
    "SpotKind",
    "SpotStack",
    "Stack",
    "SteadyState",
    "StepResponse",
    "Stretch",
    "Trace",
    "Warming",
    "air_gap_layer",
    "air_outside",
    "around_conductor",
    "blown_transfer_w_per_m2_k",
    "bodies_response",
    "box_body",
    "face_response",
    "heat_limits",
    "hottest_spots",
    "local_response",
    "material_layer",
    "mean_share",
    "natural_transfer_w_per_m2_k",
    "part_heat",
    "part_of",
    "perfusion_w_per_m3_k",
    "places_to_probe",
    "preamplifier_power_w",
    "probe_plan",
    "radiated_transfer_w_per_m2_k",
    "repeated",
    "rise_bound_k_per_w",
    "rise_under_k",
    "settling_s",
    "steady_in_air",
    "steady_rise_k",
    "steady_state",
    "temperature_at_c",
    "time_to_limit_s",
    "tissue_layer",
    "warmed_outside",
    "warming",
    "worn_stack",
]
