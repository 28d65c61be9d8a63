from dataclasses import replace
from math import pi

import numpy as np
import pytest
from coaxial_cases import cable
from scipy.optimize import brentq
from scipy.special import ellipe, ellipk

from loopwright.circuits.coaxial.coaxial_element import (
    CoaxialElement,
    circular_coaxial_element,
    coaxial_circuit,
    cut_ends,
)
from loopwright.circuits.coaxial.coaxial_layout import dressed_coaxial
from loopwright.circuits.coaxial.coaxial_resonance import (
    NOTHING,
    closed_form_diameter_m,
    closed_form_resonance_hz,
    diameter_for_frequency_m,
    self_resonance,
    terminal_ohm,
)
from loopwright.circuits.nodal import reduced
from loopwright.circuits.parts import Capacitor
from loopwright.circuits.wiring import Branch
from loopwright.conductors import RoundWire
from loopwright.conductors.coaxial_line import CableFromDataSheet
from loopwright.fields.wires import solve_network
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts.windings import bent_on_cylinder_m, ellipse_of_length_m
from wire_arrays import dressed
from wire_cases import equal_area_polygon

# Computed from the same closed form in another program: 50 ohm, 0.695 c; shield 1.7 mm, then 3 mm. [mm, pairs, MHz]
CLOSED_FORM = [
    (1.7, 50, 1, 235.1), (1.7, 60, 1, 191.5), (1.7, 80, 1, 138.8), (1.7, 90, 1, 121.7), (1.7, 100, 1, 108.3),
    (1.7, 120, 1, 88.5), (1.7, 50, 2, 470.2), (1.7, 80, 2, 277.6), (1.7, 100, 2, 216.6), (3.0, 80, 1, 148.8),
    (3.0, 90, 1, 130.3), (3.0, 100, 1, 115.7),
]  # fmt: skip

# An independent thin-wire calculation with ideal lines, 1.8 mm over the shield. [mm, MHz for one, two, three pairs]
INDEPENDENT = [
    (40, 294.1, 578.6, 854.0), (60, 187.0, 369.7, 548.0), (80, 135.9, 269.2, 400.0), (86, 125.5, 248.6, 369.0),
    (100, 106.2, 210.6, 313.0), (120, 86.9, 172.5, 257.0),
]  # fmt: skip


@pytest.mark.parametrize(("shield_mm", "diameter_mm", "pairs", "resonance_mhz"), CLOSED_FORM)
def test_closed_form(shield_mm, diameter_mm, pairs, resonance_mhz):
    line = cable(shield_diameter_m=shield_mm * 1e-3)
    found_hz = closed_form_resonance_hz(line, diameter_mm * 1e-3, pairs=pairs)
    assert found_hz / 1e6 == pytest.approx(resonance_mhz, abs=0.06)
    assert closed_form_diameter_m(line, found_hz, pairs=pairs) == pytest.approx(diameter_mm * 1e-3, rel=1e-5)


@pytest.mark.parametrize(("diameter_mm", "resonances_mhz"), [(row[0], row[1:]) for row in INDEPENDENT])
def test_resonance_of_the_wire_engine_with_lines(diameter_mm, resonances_mhz):
    for pairs, expected in enumerate(resonances_mhz, start=1):
        found = self_resonance(circular_coaxial_element(cable(), diameter_mm * 1e-3, pairs=pairs))
        assert found.frequency_hz / 1e6 == pytest.approx(expected, rel=0.002), pairs


@pytest.mark.parametrize(
    ("line", "resonance_mhz"),
    [
        (cable(shield_diameter_m=1.1e-3), 129.2),
        (cable(shield_diameter_m=2.5e-3), 140.9),
        (cable(characteristic_ohm=75.0), 160.9),
    ],
)
def test_resonance_with_other_shields_and_impedances(line, resonance_mhz):
    assert self_resonance(circular_coaxial_element(line, 0.08)).frequency_hz / 1e6 == pytest.approx(
        resonance_mhz, rel=1e-3
    )


def test_segments_hardly_matter():
    found = [
        self_resonance(circular_coaxial_element(cable(), 0.08, segments=segments)).frequency_hz
        for segments in (12, 24, 48, 96)
    ]
    assert np.ptp(found) / found[-1] < 4e-3
    assert abs(found[2] / found[3] - 1) < abs(found[1] / found[3] - 1) < abs(found[0] / found[3] - 1)


# Two thin rings of 0.3 mm radius, gaps opposite: BOTH conductors in the wire engine, and the composite of a
# common-mode ring with a two-wire line, as the independent calculation had them. [mm across, mm apart, MHz, MHz]
RINGS = [(80, 2, 331.8, 334.7), (80, 4, 386.8, 390.7), (60, 2, 452.9, 458.4)]
RING_RADIUS_M = 0.3e-3


def both_rings_hz(diameter_m, apart_m, near_hz, *, segments=72):
    """Natural frequency of two rings, gaps open: equal voltages at both gaps, no current through either."""
    outlines = [equal_area_polygon(diameter_m / 2, segments, centre_m=(0, 0, z)) for z in (0, apart_m)]
    pair = dressed(outlines, section=RoundWire(diameter_m=2 * RING_RADIUS_M, conductivity_s_per_m=5.8e7), gaps=1)
    first, second = pair.layout.elements
    opposite = replace(pair.layout, elements=(first, replace(second, gap_nodes=(segments // 2,))))
    pair = replace(pair, layout=opposite)

    def susceptance_siemens(frequency_hz):
        ohm = solve_network(pair, frequency_hz, band_fraction=0.1, frequency_count=1).impedance_ohm[0]
        return np.linalg.inv(ohm)[0].sum().imag

    return brentq(susceptance_siemens, 0.95 * near_hz, 1.03 * near_hz, rtol=1e-5)


def composite_hz(diameter_m, apart_m):
    """The same as a coaxial element: two equal conductors are a line of a quarter of their impedance, twice cut."""
    two_wire_ohm = 376.730313 / pi * np.log(apart_m / RING_RADIUS_M)
    line = CableFromDataSheet(
        characteristic_ohm=two_wire_ohm / 4,
        velocity_factor=1.0,
        shield_outer_diameter_m=2 * np.sqrt(RING_RADIUS_M * apart_m),
        shield_conductivity_s_per_m=5.8e7,
    )
    return self_resonance(circular_coaxial_element(line, diameter_m, pairs=2)).frequency_hz


@pytest.mark.parametrize(("diameter_mm", "apart_mm", "rings_mhz", "composite_mhz"), RINGS)
def test_ring_and_line_equal_two_conductors(diameter_mm, apart_mm, rings_mhz, composite_mhz):
    rings = both_rings_hz(diameter_mm * 1e-3, apart_mm * 1e-3, rings_mhz * 1e6)
    composite = composite_hz(diameter_mm * 1e-3, apart_mm * 1e-3)
    assert rings / 1e6 == pytest.approx(rings_mhz, rel=3e-3)
    assert composite / 1e6 == pytest.approx(composite_mhz, rel=3e-4)
    assert composite == pytest.approx(rings, rel=0.02)


def test_terminal_is_real_and_largest_at_resonance():
    found = self_resonance(circular_coaxial_element(cable(loss_db_per_m=0.4), 0.08))
    element = circular_coaxial_element(cable(loss_db_per_m=0.4), 0.08)
    step = found.frequency_hz / (2 * found.quality_factor)
    seen = [terminal_ohm(element, found.network, found.frequency_hz + shift) for shift in (-step, 0, step)]
    assert abs(seen[1].imag) < 1e-6 * seen[1].real
    assert seen[1].real == pytest.approx(found.terminal_ohm, rel=1e-9)
    # Half a 3-dB width to either side the magnitude has fallen by 3 dB.
    assert abs(seen[0]) / abs(seen[1]) == pytest.approx(1 / np.sqrt(2), rel=0.02)
    assert abs(seen[2]) / abs(seen[1]) == pytest.approx(1 / np.sqrt(2), rel=0.02)


def test_line_loss_lowers_the_terminal_impedance_and_q():
    ideal, lossy = (self_resonance(circular_coaxial_element(cable(loss_db_per_m=loss), 0.08)) for loss in (0.0, 0.4))
    assert lossy.terminal_ohm < 0.3 * ideal.terminal_ohm
    assert lossy.quality_factor < 0.3 * ideal.quality_factor
    assert lossy.frequency_hz == pytest.approx(ideal.frequency_hz, rel=1e-4)


@pytest.mark.parametrize("pairs", [1, 2])
def test_size_for_a_frequency(pairs):
    line = cable()
    diameter_m = diameter_for_frequency_m(line, 127.74e6, pairs=pairs)
    again = self_resonance(circular_coaxial_element(line, diameter_m, pairs=pairs)).frequency_hz
    assert again == pytest.approx(127.74e6, rel=2e-5)
    assert diameter_m < closed_form_diameter_m(line, 127.74e6, pairs=pairs)


def test_no_size_is_said_so():
    with pytest.raises(OutsideModelError, match="no circle from"):
        closed_form_diameter_m(cable(), 20e6, pairs=8)


def test_two_turns_are_resonant_at_less_than_half():
    one, two = (self_resonance(circular_coaxial_element(cable(), 0.08, turns=t, pitch_m=8e-3)) for t in (1, 2))
    assert 0.35 < two.frequency_hz / one.frequency_hz < 0.5


def test_inductance_of_turns_is_that_of_rings_side_by_side():
    """Static: n rings of Maxwell's mutual inductance, every two of three a pitch apart."""

    def inductance_h(turns):
        element = circular_coaxial_element(cable(), 0.08, turns=turns, pitch_m=8e-3)
        network = solve_network(dressed_coaxial([element]), 1e6, band_fraction=0.1, frequency_count=1)
        return network.loop_inductance_h[0, 0]

    k = np.sqrt(0.08**2 / (0.08**2 + 8e-3**2))
    mutual_h = 4e-7 * pi * 0.04 * ((2 / k - k) * ellipk(k**2) - 2 / k * ellipe(k**2))
    one_h = inductance_h(1)
    assert inductance_h(2) == pytest.approx(2 * (one_h + mutual_h), rel=3e-3)
    assert inductance_h(3) == pytest.approx(3 * (one_h + 2 * mutual_h), rel=5e-3)


def of_shape(vertices_m):
    round_one = circular_coaxial_element(cable(), 0.08)
    return CoaxialElement(
        cable=round_one.cable,
        vertices_m=vertices_m,
        length_m=round_one.length_m,
        gap_nodes=round_one.gap_nodes,
        cut_places=round_one.cut_places,
    )


def test_pressing_and_bending_raise_the_resonance():
    """Length and line stay, the area and the inductance shrink."""
    circle = circular_coaxial_element(cable(), 0.08)
    length_m = circle.length_m
    pressed = [
        self_resonance(of_shape(ellipse_of_length_m(length_m, axis_ratio=q, segments=48))) for q in (1, 0.8, 0.5)
    ]
    found = [one.frequency_hz for one in pressed]
    assert found[0] == pytest.approx(self_resonance(circle).frequency_hz, rel=1e-6)
    assert found[0] < found[1] < found[2]
    bent = self_resonance(of_shape(bent_on_cylinder_m(circle.vertices_m, 0.05))).frequency_hz
    assert 1.002 < bent / found[0] < 1.02


def test_a_shielded_loop_is_tuned_by_a_capacitor_across_its_cut():
    """Below its self-resonance the terminal is inductive; the capacitor that cancels it makes it resonant there."""
    element, wanted_hz = circular_coaxial_element(cable(), 0.08), 63.87e6
    alone = solve_network(dressed_coaxial([element]), wanted_hz, band_fraction=0.01, frequency_count=1)
    reactance_ohm = terminal_ohm(element, alone, wanted_hz).imag
    assert reactance_ohm > 0
    capacitor = Capacitor(capacitance_f=1 / (2 * pi * wanted_hz * reactance_ohm))
    across = (Branch(name="C", part=capacitor, between=cut_ends(1)),)
    assert self_resonance(element, across).frequency_hz == pytest.approx(wanted_hz, rel=2e-4)


def test_circuit_of_the_core_gives_the_load_that_the_closed_form_has():
    element = circular_coaxial_element(cable(), 0.08, pairs=2)
    f = closed_form_resonance_hz(element.cable, 0.08, pairs=2)
    loads = np.linalg.inv(reduced(coaxial_circuit(element, f, NOTHING), f, 0.0).gap_siemens)
    radius_m = 0.04
    inductance_h = 4e-7 * pi * radius_m * (np.log(8 * radius_m / 0.9e-3) - 2)
    assert loads.sum().imag == pytest.approx(-2 * pi * f * inductance_h, rel=1e-6)
