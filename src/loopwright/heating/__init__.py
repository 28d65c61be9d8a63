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
from loopwright.heating.layers import Layer, Outside
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
from loopwright.heating.sequences import PowerStep, mean_share, repeated, rise_under_k, settling_s, time_to_limit_s
from loopwright.heating.slab import SteadyState, steady_state, temperature_at_c
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
    "Facing",
    "Heat",
    "Joint",
    "Layer",
    "Outside",
    "PowerStep",
    "Stack",
    "SteadyState",
    "StepResponse",
    "Warming",
    "air_gap_layer",
    "air_outside",
    "blown_transfer_w_per_m2_k",
    "bodies_response",
    "box_body",
    "face_response",
    "heat_limits",
    "material_layer",
    "mean_share",
    "natural_transfer_w_per_m2_k",
    "part_heat",
    "perfusion_w_per_m3_k",
    "preamplifier_power_w",
    "radiated_transfer_w_per_m2_k",
    "repeated",
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
