"""Transmit fields: what the resonator of the scanner sets up, without array and body and with them."""

from loopwright.fields.transmit.source import BodyResonator, TransmitSource, UniformField
from loopwright.fields.transmit.uniform_field import ElectricField, electric_field_v_per_m, rotating_field_t

__all__ = [
    "BodyResonator",
    "ElectricField",
    "TransmitSource",
    "UniformField",
    "electric_field_v_per_m",
    "rotating_field_t",
]
