import numpy as np
import pytest
from coaxial_cases import cable

from loopwright.circuits.coaxial.coaxial_currents import coaxial_currents
from loopwright.circuits.coaxial.coaxial_element import circular_coaxial_element
from loopwright.circuits.coaxial.coaxial_layout import dressed_coaxial
from loopwright.circuits.coaxial.coaxial_resonance import self_resonance, terminal_ohm
from loopwright.fields.wires import solve_network


def solved(pairs, loss_db_per_m):
    element = circular_coaxial_element(cable(loss_db_per_m=loss_db_per_m), 0.08, pairs=pairs)
    frequency_hz = self_resonance(element).frequency_hz
    return element, solve_network(dressed_coaxial([element]), frequency_hz, band_fraction=0.01, frequency_count=1)


@pytest.mark.parametrize("pairs", [1, 2])
def test_currents_agree_where_outside_and_inside_meet(pairs):
    """At a gap the current goes from the outside of the shield to its inside, opposite that of the inner conductor."""
    element, network = solved(pairs, 0.5)
    currents = coaxial_currents(element, network, points=9)
    inside = dict(zip(np.round(currents.inside_places, 12), currents.inside_a, strict=True))
    for gap in element.gap_nodes:
        after = inside[round(currents.outside_places[gap], 12)] if gap else inside[1.0]
        assert currents.outside_a[gap] == pytest.approx(after, rel=1e-9)


def test_inner_current_passes_gaps_and_stops_at_open_cuts():
    element, network = solved(2, 0.5)
    currents = coaxial_currents(element, network, points=9)
    pieces = currents.inside_a.reshape(4, 9)
    voltage = currents.inside_v.reshape(4, 9)
    # Order along the wire: gap 1, cut 1 (terminal, 1 A), gap 2, cut 2 (open).
    assert pieces[1, 0] == pytest.approx(1, rel=1e-9)
    assert pieces[0, -1] == pytest.approx(1, rel=1e-9)
    assert pieces[1, -1] == pytest.approx(pieces[2, 0], rel=1e-9)
    assert abs(pieces[2, -1]) < 1e-9 * abs(pieces).max()
    terminal = voltage[1, 0] - voltage[0, -1]
    assert terminal == pytest.approx(terminal_ohm(element, network, network.frequency_hz), rel=1e-9)


@pytest.mark.parametrize("pairs", [1, 2])
def test_power_into_the_terminal_is_lost_outside_and_along_the_line(pairs):
    element, network = solved(pairs, 0.5)
    currents = coaxial_currents(element, network, points=401)
    outside = currents.outside_a
    lost_outside = (outside.conj() @ (network.loss_matrix_ohm + network.radiation_matrix_ohm) @ outside).real
    # A line of real impedance loses alpha Z0 per ampere and alpha / Z0 per volt squared and metre.
    alpha = 0.5 * np.sqrt(network.frequency_hz / 1e8) * np.log(10) / 20
    density = alpha * (50 * abs(currents.inside_a) ** 2 + abs(currents.inside_v) ** 2 / 50)
    lost_inside = sum(
        np.trapezoid(part, place * element.length_m)
        for part, place in zip(density.reshape(-1, 401), currents.inside_places.reshape(-1, 401), strict=True)
    )
    power = terminal_ohm(element, network, network.frequency_hz).real
    assert lost_outside + lost_inside == pytest.approx(power, rel=1e-4)


def test_the_outside_carries_nearly_an_even_current():
    element, network = solved(1, 0.0)
    outside = abs(coaxial_currents(element, network).outside_a)
    assert 1.0 < outside.max() / outside.min() < 1.3
