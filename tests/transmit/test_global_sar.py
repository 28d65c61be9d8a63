"""Absorbed power over the masses of model, exposed part and patient."""

from math import pi

import pytest

from loopwright.bodies import Tissue, layered_sphere, voxelise
from loopwright.ground.errors import OutsideModelError
from loopwright.transmit.global_sar import exposed_mass_kg, global_sar

RADIUS_M, DENSITY = 60e-3, 1050.0
MASS_KG = 4 / 3 * pi * RADIUS_M**3 * DENSITY


@pytest.fixture(scope="module")
def body():
    tissue = Tissue(name="muscle", eps_r=60, sigma_s_per_m=0.7, density_kg_per_m3=DENSITY)
    solid = layered_sphere(RADIUS_M, tissue_names=["muscle"])
    return voxelise(solid, spacing_m=7e-3, tissues=(tissue,), frequency_hz=123.2e6)


def test_a_resonator_longer_than_the_body_exposes_all_of_it(body):
    assert exposed_mass_kg(body, low_z_m=-0.2, high_z_m=0.2) == pytest.approx(MASS_KG, rel=1e-6)


@pytest.mark.parametrize("height_m", [20e-3, 31e-3, 60e-3])
def test_a_cap_of_the_sphere_has_its_closed_mass(body, height_m):
    cap = pi * height_m**2 * (3 * RADIUS_M - height_m) / 3 * DENSITY
    # The tissue of a layer of 7 mm counts as even over its height.
    assert exposed_mass_kg(body, low_z_m=RADIUS_M - height_m, high_z_m=1.0) == pytest.approx(cap, rel=0.02)


def test_two_parts_make_the_whole(body):
    parts = [exposed_mass_kg(body, low_z_m=low, high_z_m=high) for low, high in ((-1, 0.0123), (0.0123, 1))]
    assert sum(parts) == pytest.approx(MASS_KG, rel=1e-6)


def test_means_are_over_model_exposed_part_and_patient(body):
    first, second = global_sar(body, [1.9, 3.8], low_z_m=-1, high_z_m=0, patient_mass_kg=4 * MASS_KG)
    assert first.model_w_per_kg == pytest.approx(1.9 / MASS_KG, rel=1e-6)
    assert first.partial_body_w_per_kg == pytest.approx(2 * 1.9 / MASS_KG, rel=1e-6)
    assert first.whole_body_w_per_kg == pytest.approx(1.9 / MASS_KG / 4, rel=1e-6)
    assert first.exposed_share == pytest.approx(1 / 8, rel=1e-6)
    assert second.model_w_per_kg == pytest.approx(2 * first.model_w_per_kg)


def test_without_the_patients_mass_no_whole_body_sar_is_told(body):
    (found,) = global_sar(body, [1.0], low_z_m=-1, high_z_m=1, patient_mass_kg=None)
    assert found.whole_body_w_per_kg is None
    assert found.exposed_share is None


def test_a_patient_lighter_than_the_model_is_refused(body):
    with pytest.raises(OutsideModelError, match=r"weigh 0.5 kg, but the model of sphere alone weighs 0.95"):
        global_sar(body, [1.0], low_z_m=-1, high_z_m=1, patient_mass_kg=0.5)


def test_a_resonator_beside_the_body_is_refused(body):
    with pytest.raises(OutsideModelError, match="no tissue of sphere lies between"):
        exposed_mass_kg(body, low_z_m=0.1, high_z_m=0.5)
