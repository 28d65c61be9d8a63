import numpy as np
import pytest
from coaxial_cases import cable
from scipy.optimize import brentq

from loopwright.circuits.coaxial.coaxial_coupling import coupling_against_lumped, moved
from loopwright.circuits.coaxial.coaxial_element import circular_coaxial_element, coaxial_circuit
from loopwright.circuits.coaxial.coaxial_layout import dressed_coaxial
from loopwright.circuits.coaxial.coaxial_resonance import NOTHING, self_resonance
from loopwright.circuits.nodal import reduced
from loopwright.fields.wires import solve_network


def apart(distance_m, characteristic_ohm):
    (row,) = coupling_against_lumped(cable(characteristic_ohm=characteristic_ohm), 0.08, [distance_m], height_m=1e-3)
    return row


@pytest.mark.parametrize("distance_m", [0.05, 0.075, 0.12])
def test_coupling_becomes_that_of_lumped_loops_at_low_frequency(distance_m):
    """A line of lower impedance holds more capacitance: 136, 69 and 32 MHz for the same loop."""
    off = [
        abs(row.coaxial.coefficient / row.lumped.coefficient - 1)
        for row in (apart(distance_m, ohm) for ohm in (50.0, 10.0, 2.0))
    ]
    assert off[0] > off[1] > off[2]
    assert off[2] < 0.015


def test_the_line_stores_energy_and_dilutes_the_coupling():
    row = apart(0.12, 50.0)
    assert row.coaxial.coefficient == pytest.approx(0.85 * row.lumped.coefficient, rel=0.03)
    assert row.coaxial.slope_ohm > 1.15 * row.lumped.slope_ohm


def test_coupling_has_its_zero_near_three_quarters_of_the_diameter():
    distances_m = np.array([0.055, 0.061, 0.067])
    rows = coupling_against_lumped(cable(characteristic_ohm=2.0), 0.08, distances_m, height_m=1e-3)
    found = np.array([[row.coaxial.coefficient, row.lumped.coefficient] for row in rows])
    assert np.all(found[0] > 0)
    assert np.all(found[2] < 0)
    zeros = [np.roots(np.polyfit(distances_m - 0.061, column, 2))[-1].real + 0.061 for column in found.T]
    assert zeros[1] / 0.08 == pytest.approx(0.760, abs=0.003)
    assert zeros[0] / 0.08 == pytest.approx(zeros[1] / 0.08, abs=0.002)


def test_coefficient_is_the_splitting_of_the_pair():
    element = circular_coaxial_element(cable(), 0.08)
    alone_hz = self_resonance(element).frequency_hz
    pair = solve_network(
        dressed_coaxial([element, moved(element, (0.1, 0.0, 0.0))]), alone_hz, band_fraction=0.06, frequency_count=7
    )

    def reactance_ohm(frequency_hz, sign):
        load = 1 / reduced(coaxial_circuit(element, frequency_hz, NOTHING), frequency_hz, 0.0).gap_siemens[0, 0]
        ohm = pair.at(frequency_hz)
        return (ohm[0, 0] + sign * ohm[0, 1] + load).imag

    with_flux, against = (brentq(reactance_ohm, 0.95 * alone_hz, 1.05 * alone_hz, args=(sign,)) for sign in (1, -1))
    split = (against**2 - with_flux**2) / (against**2 + with_flux**2)
    (row,) = coupling_against_lumped(cable(), 0.08, [0.1])
    assert row.coaxial.coefficient == pytest.approx(split, rel=0.01)
    assert np.sign(split) == -1  # side by side the flux of one goes back through the other
