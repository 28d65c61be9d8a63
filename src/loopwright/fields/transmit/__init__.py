"""Transmit fields: what the resonator of the scanner sets up, without array and body and with them.

From a source (:class:`TransmitSource`), an array's wires and a body to the voltages across the array's open gaps and to
one solution of the body from which every state of the array is recombined.
A birdcage in its bore shield, solved as wires, is one such source: its capacitors, quadrature, load and power.
"""

from loopwright.fields.transmit.birdcage import Birdcage, Capacitors, Shield
from loopwright.fields.transmit.birdcage_drive import Driven, Matched, driven_in_quadrature, matched
from loopwright.fields.transmit.birdcage_field import BirdcageField, birdcage_field
from loopwright.fields.transmit.birdcage_load import CageLoad, cage_load
from loopwright.fields.transmit.birdcage_power import CagePower, cage_power
from loopwright.fields.transmit.birdcage_wires import CageWires, Resonance, cage_wires, resonance
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
    "Birdcage",
    "BirdcageField",
    "BodyResonator",
    "CageLoad",
    "CagePower",
    "CageWires",
    "Capacitors",
    "Driven",
    "ElectricField",
    "Matched",
    "OpenArray",
    "Resonance",
    "RowsInBody",
    "Shield",
    "TransmitReply",
    "TransmitSource",
    "UniformField",
    "absorbed_power_w",
    "amplitudes",
    "b1_plus_by_case_t",
    "birdcage_field",
    "cage_load",
    "cage_power",
    "cage_wires",
    "driven_in_quadrature",
    "electric_field_by_case_v_per_m",
    "electric_field_v_per_m",
    "matched",
    "node_currents_a_per_t",
    "node_emf_v_per_t",
    "open_array",
    "resonance",
    "rotating_field_t",
    "transmit_reply",
]
