import numpy as np
import pytest
from coaxial_cases import cable

from loopwright.circuits.coaxial.coaxial_element import circular_coaxial_element
from loopwright.circuits.coaxial.coaxial_resonance import self_resonance
from loopwright.circuits.coaxial.coaxial_tolerance import resonance_sensitivities
from loopwright.conductors.coaxial_line import CableFromDimensions


def test_scaling_everything_scales_the_resonance():
    """Larger by one per cent in all lengths is lower by one per cent; the conductors' loss hardly matters."""
    found = resonance_sensitivities(circular_coaxial_element(cable(), 0.08))
    assert found["size"] + found["diameter over the shield"] == pytest.approx(-1, abs=1e-3)
    assert 0 < found["characteristic impedance"] < 0.5
    assert found["characteristic impedance"] + found["velocity factor"] < 1


def test_sensitivity_is_the_change_solved_directly():
    found = resonance_sensitivities(circular_coaxial_element(cable(), 0.08))
    bare, faster = (
        self_resonance(circular_coaxial_element(cable(velocity_factor=v), 0.08)).frequency_hz for v in (0.695, 0.709)
    )
    assert faster / bare - 1 == pytest.approx(found["velocity factor"] * (0.709 / 0.695 - 1), rel=0.02)


def test_a_cable_from_dimensions_tells_its_own_quantities():
    made = CableFromDimensions(
        inner_diameter_m=0.4e-3, shield_inner_diameter_m=1.3e-3, shield_outer_diameter_m=1.8e-3,
        relative_permittivity=2.05, loss_tangent=3e-4, inner_conductivity_s_per_m=5.8e7,
        shield_conductivity_s_per_m=5.8e7,
    )  # fmt: skip
    found = resonance_sensitivities(circular_coaxial_element(made, 0.08))
    # The dielectric sets the capacitance per metre alone; so do both diameters, through the logarithm of their ratio.
    per_capacitance = -found["permittivity"]
    ratio = np.log(1.3 / 0.4)
    assert found["diameter over the dielectric"] == pytest.approx(-found["diameter of the inner conductor"], rel=0.05)
    assert per_capacitance == pytest.approx(0.45, abs=0.05)
    # It also changes the line's inductance, which lies in series inside: less than what capacitance alone would do.
    assert 0 < found["diameter over the dielectric"] < per_capacitance / ratio
