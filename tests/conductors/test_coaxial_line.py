import numpy as np
import pytest
from scipy.constants import c, epsilon_0, mu_0, pi

from loopwright.conductors.coaxial_line import (
    CableFromDataSheet,
    CableFromDimensions,
    cable_limits,
    generic_cables,
    line_constants,
    outside_wire,
)
from loopwright.conductors.cross_section import resistance_ohm_per_m
from loopwright.conductors.skin_effect import skin_depth_m, surface_resistance_ohm, tube_impedance_ohm_per_m
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.tables import coaxial_cable_rows

COPPER = 5.8e7
MADE = CableFromDimensions(
    inner_diameter_m=0.51e-3,
    shield_inner_diameter_m=1.68e-3,
    shield_outer_diameter_m=2.2e-3,
    relative_permittivity=2.05,
    loss_tangent=3e-4,
    inner_conductivity_s_per_m=COPPER,
    shield_conductivity_s_per_m=COPPER,
)


def test_a_tube_has_its_direct_current_resistance_at_low_frequency():
    area_m2 = pi / 4 * (2.2e-3**2 - 1.68e-3**2)
    tube = tube_impedance_ohm_per_m(1.0, inner_diameter_m=1.68e-3, outer_diameter_m=2.2e-3, conductivity_s_per_m=COPPER)
    assert tube.real == pytest.approx(1 / (COPPER * area_m2), rel=1e-6)
    # Inductance of the field within the wall: textbook integral of the flux that the enclosed current leaves.
    b, a = 1.1e-3, 0.84e-3
    inner = mu_0 / (2 * pi) * (b**4 * np.log(b / a) / (b**2 - a**2) ** 2 - (3 * b**2 - a**2) / (4 * (b**2 - a**2)))
    assert tube.imag == pytest.approx(2 * pi * inner, rel=1e-5)


def test_a_tube_is_a_curved_surface_at_high_frequency():
    f, across_m = 300e6, 0.4e-3
    tube = tube_impedance_ohm_per_m(f, inner_diameter_m=across_m, outer_diameter_m=6e-3, conductivity_s_per_m=COPPER)
    plane = surface_resistance_ohm(f, COPPER) / (pi * across_m)
    # The field spreads outwards: the resistance is lower by depth over diameter, the reactance is not.
    assert tube.real == pytest.approx(plane * (1 - skin_depth_m(f, COPPER) / across_m), rel=2e-4)
    assert tube.imag == pytest.approx(plane, rel=2e-4)


def test_a_thick_tube_does_not_overflow():
    tube = tube_impedance_ohm_per_m(1e9, inner_diameter_m=20e-3, outer_diameter_m=40e-3, conductivity_s_per_m=COPPER)
    assert tube.real == pytest.approx(surface_resistance_ohm(1e9, COPPER) / (pi * 20e-3), rel=1e-3)


def test_a_lossless_line_has_the_textbook_constants():
    f = 127.74e6
    constants = line_constants(MADE, f)
    ratio = np.log(1.68 / 0.51)
    assert constants.capacitance_f_per_m == pytest.approx(2 * pi * epsilon_0 * 2.05 / ratio, rel=1e-12, abs=0)
    ideal_ohm = np.sqrt(mu_0 / epsilon_0 / 2.05) / (2 * pi) * ratio
    assert abs(constants.characteristic_ohm) == pytest.approx(ideal_ohm, rel=0.01)
    assert constants.velocity_factor == pytest.approx(1 / np.sqrt(2.05), rel=0.01)
    assert constants.velocity_factor < 1 / np.sqrt(2.05)  # the field in the metal slows the wave


def test_loss_is_that_of_two_skins_and_the_dielectric():
    f = 298e6
    constants = line_constants(MADE, f)
    skin = surface_resistance_ohm(f, COPPER) / pi * (1 / 0.51e-3 + 1 / 1.68e-3)
    by_hand = skin / (2 * constants.characteristic_ohm.real) + pi * f * np.sqrt(2.05) / c * 3e-4
    assert constants.propagation_per_m.real == pytest.approx(by_hand, rel=0.01)


def test_data_sheet_numbers_come_back():
    cable = CableFromDataSheet(
        characteristic_ohm=75.0, velocity_factor=0.7, loss_db_per_m=0.4, loss_frequency_hz=1e8,
        shield_outer_diameter_m=2e-3, shield_conductivity_s_per_m=COPPER,
    )  # fmt: skip
    constants = line_constants(cable, [1e8, 4e8])
    assert constants.loss_db_per_m == pytest.approx([0.4, 0.8], rel=1e-12)
    assert constants.velocity_factor == pytest.approx([0.7, 0.7], rel=1e-12)
    assert np.sqrt(constants.inductance_h_per_m / constants.capacitance_f_per_m) == pytest.approx([75, 75], rel=1e-12)


def test_a_braid_multiplies_the_loss_outside():
    smooth = CableFromDataSheet(
        characteristic_ohm=50.0, velocity_factor=0.7, shield_outer_diameter_m=2e-3, shield_conductivity_s_per_m=COPPER
    )
    braided = CableFromDataSheet(
        characteristic_ohm=50.0, velocity_factor=0.7, shield_outer_diameter_m=2e-3, shield_conductivity_s_per_m=COPPER,
        braid_factor=2.0,
    )  # fmt: skip
    losses = [resistance_ohm_per_m(outside_wire(cable), 128e6) for cable in (smooth, braided)]
    assert losses[1] / losses[0] == pytest.approx(2, rel=0.01)
    assert any("smooth tube" in sentence for sentence in cable_limits(smooth, 128e6))


def test_every_packaged_cable_says_that_it_is_from_memory():
    assert len(generic_cables()) == len(coaxial_cable_rows()) >= 5
    assert all(row.note.startswith("MEMORY") for row in coaxial_cable_rows())


def test_a_shield_thinner_than_the_skin_is_named():
    assert any("no wall" in sentence for sentence in cable_limits(MADE, 1e4))
    assert not any("no wall" in sentence for sentence in cable_limits(MADE, 128e6))


@pytest.mark.parametrize(
    "change",
    [{"inner_diameter_m": 2e-3}, {"relative_permittivity": 0.5}, {"loss_tangent": -1e-3}, {"braid_factor": 0.5}],
)
def test_a_cable_that_cannot_be_made_is_refused(change):
    fields = {name: getattr(MADE, name) for name in MADE.__dataclass_fields__}
    with pytest.raises(OutsideModelError):
        CableFromDimensions(**(fields | change))


@pytest.mark.parametrize("change", [{"velocity_factor": 1.2}, {"characteristic_ohm": 0.0}, {"loss_db_per_m": -1.0}])
def test_a_data_sheet_that_cannot_be_is_refused(change):
    right = {
        "characteristic_ohm": 50.0, "velocity_factor": 0.7, "shield_outer_diameter_m": 2e-3,
        "shield_conductivity_s_per_m": COPPER,
    }  # fmt: skip
    with pytest.raises(OutsideModelError):
        CableFromDataSheet(**(right | change))
