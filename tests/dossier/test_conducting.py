"""The conductor in words, with the room that the layout leaves it."""

import dataclasses

import numpy as np
import pytest

from loopwright.brief.records import FlatStripRequest, PrintedStripRequest, RoundWireRequest
from loopwright.conductors import FlatStrip
from loopwright.dossier.conducting import conductor_evidence
from wire_arrays import dressed

COMMON = {
    "capacitor_q": 1500.0,
    "other_series_resistance_ohm": 0.1,
    "body_temperature_k": 310.15,
    "coil_temperature_k": 293.15,
}
WIRE = RoundWireRequest(wire_diameter_m=2e-3, material="silver", conductivity_s_per_m=6.3e7, **COMMON)
STRIP = FlatStripRequest(width_m=5e-3, thickness_m=35e-6, material="copper", conductivity_s_per_m=5.8e7, **COMMON)
PRINT = PrintedStripRequest(width_m=4e-3, thickness_m=20e-6, conductivity_s_per_m=8e6, **COMMON)


def circles(*heights_m):
    angle = 2 * np.pi * np.arange(24) / 24
    return [np.stack([0.04 * np.cos(angle), 0.04 * np.sin(angle), np.full(24, z)], axis=1) for z in heights_m]


def evidence(request, distance_m):
    section = FlatStrip(width_m=5e-3, thickness_m=35e-6, conductivity_s_per_m=5.8e7)
    array = dressed(circles(0.0, distance_m), section=section)
    layout = dataclasses.replace(array.layout, least_conductor_distance_m=distance_m)
    return conductor_evidence(request, dataclasses.replace(array, layout=layout), frequency_hz=123.2e6)


@pytest.mark.parametrize(
    ("request_", "name"),
    [
        (WIRE, "round wire, 2 mm across, silver, 6.30 × 10⁷ S/m"),
        (STRIP, "flat strip, 5 mm × 35 µm, copper, 5.80 × 10⁷ S/m"),
        (PRINT, "printed strip, 4 mm × 20 µm, 8.00 × 10⁶ S/m"),
    ],
)
def test_the_name_says_what_to_buy(request_, name):
    assert evidence(request_, 0.02).name == name


def test_the_room_between_conductors_is_told_in_their_own_size():
    assert "1.0 mm apart, 29 times the thickness" in evidence(STRIP, 1e-3).sentences[-1]
    assert "0.50 times the diameter of the wire, so the conductors would touch" in evidence(WIRE, 1e-3).cautions[-1]


def test_limits_of_the_wires_stand_beside_those_of_the_conductor():
    """Two loops face to face 1 mm apart run side by side closer than 5 mm of width."""
    assert any("run beside or over another" in sentence for sentence in evidence(STRIP, 1e-3).limits)
    assert not any("side by side" in sentence for sentence in evidence(STRIP, 0.02).limits)
