"""Transmit fields: what the resonator of the scanner sets up, without array and body and with them.

From a source (:class:`TransmitSource`), an array's wires and a body to the voltages across the array's open gaps and to
one solution of the body from which every state of the array is recombined.
"""

from loopwright.fields.transmit.combined import (
    absorbed_power_w,
    amplitudes,
    b1_plus_by_case_t,
    electric_field_by_case_v_per_m,
)
from loopwright.fields.transmit.open_currents import OpenArray, node_currents_a_per_t, node_emf_v_per_t, open_array
from loopwright.fields.transmit.reply import RowsInBody, TransmitReply, transmit_reply
from loopwright.fields.transmit.source import BodyResonator, TransmitSource, UniformField
from loopwright.fields.transmit.uniform_field import ElectricField, electric_field_v_per_m, rotating_field_t

__all__ = [
    "BodyResonator",
    "ElectricField",
    "OpenArray",
    "RowsInBody",
    "TransmitReply",
    "TransmitSource",
    "UniformField",
    "absorbed_power_w",
    "amplitudes",
    "b1_plus_by_case_t",
    "electric_field_by_case_v_per_m",
    "electric_field_v_per_m",
    "node_currents_a_per_t",
    "node_emf_v_per_t",
    "open_array",
    "rotating_field_t",
    "transmit_reply",
]
