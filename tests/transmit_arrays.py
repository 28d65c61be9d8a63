"""Loops of wire in a transmit field, shared by its tests."""

from functools import cache

import numpy as np

from loopwright.conductors import RoundWire
from loopwright.fields.transmit import BodyResonator, ElectricField, UniformField, open_array
from loopwright.fields.wires import array_wires, solve_network, split_segments
from loopwright.fields.wires.spare_currents import settled
from wire_arrays import dressed
from wire_cases import equal_area_polygon

F_HZ = 127.74e6
W = 2 * np.pi * F_HZ
WIRE = RoundWire(diameter_m=1e-3, conductivity_s_per_m=5.8e7)
LONG = BodyResonator(radius_m=0.35, length_m=1.2, centre_m=(0.0, 0.0, 0.0), frequency_hz=F_HZ)


def facing_x(radius_m, segments, centre_m=(0.0, 0.0, 0.0)):
    """Loop of equal area with its normal along x."""
    return equal_area_polygon(radius_m, segments)[:, [2, 0, 1]] + np.array(centre_m)


def wired(polygons, gaps, frequency_hz=F_HZ):
    parts = dressed(polygons, gaps=gaps, section=WIRE)
    return parts, solve_network(parts, frequency_hz, band_fraction=0.04, frequency_count=3)


PAIR = [facing_x(0.03, 24, (0.065, 0.0, 0.02)), facing_x(0.03, 24, (0.068, 0.04, 0.025))]


@cache
def pair(frequency_hz=F_HZ, gauge=ElectricField.AXIAL):
    parts, network = wired(PAIR, 2, frequency_hz)
    source = UniformField(frequency_hz=frequency_hz, gauge=gauge)
    return parts, network, source, open_array(parts, network, source)


def node_impedance_ohm(parts, frequency_hz=F_HZ):
    return settled(parts, array_wires(parts, split=split_segments(parts)), frequency_hz).impedance_ohm
