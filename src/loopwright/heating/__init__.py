"""What gets how hot: from power in parts and traces to temperatures of surfaces and tissue."""

from loopwright.heating.layers import Layer, Outside
from loopwright.heating.modes import StepResponse
from loopwright.heating.slab import SteadyState, steady_state, temperature_at_c
from loopwright.heating.stack import BLOOD_TEMPERATURE_C, Heat, Stack
from loopwright.heating.warming import Warming, face_response, warming

__all__ = [
    "BLOOD_TEMPERATURE_C",
    "Heat",
    "Layer",
    "Outside",
    "Stack",
    "SteadyState",
    "StepResponse",
    "Warming",
    "face_response",
    "steady_state",
    "temperature_at_c",
    "warming",
]
