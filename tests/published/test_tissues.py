"""S. Gabriel, R. W. Lau, C. Gabriel, Phys. Med. Biol. 41, 2271 (1996); C. Gabriel, AL/OE-TR-1996-0037, Appendix C.

Parameters were read twice (a mirror of Appendix C and a public table, rows common to both identical). The values below
were computed from them independently; 0.5 % covers their printed digits and differences between published constants.
"""

import numpy as np
import pytest

from loopwright.bodies import cole_cole_permittivity, tissue_at
from loopwright.ground.constants import EPSILON_0_F_PER_M
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.tables import cole_cole_rows

MEGAHERTZ = (63.87, 127.74, 298.03)
ROWS = {
    "Brain (Grey Matter)": ((97.53, 0.5106), (73.57, 0.5865), (60.09, 0.6915)),
    "Brain (White Matter)": ((67.90, 0.2914), (52.56, 0.3420), (43.82, 0.4127)),
    "Cerebro Spinal Fluid": ((97.35, 2.0658), (84.08, 2.1428), (72.78, 2.2239)),
    "Muscle": ((72.27, 0.6881), (63.51, 0.7191), (58.23, 0.7700)),
    "Fat (Not Infiltrated)": ((6.51, 0.0353), (5.92, 0.0369), (5.64, 0.0395)),
    "Skin (Dry)": ((92.28, 0.4353), (65.49, 0.5222), (49.90, 0.6402)),
    "Bone (Cortical)": ((16.69, 0.0595), (14.72, 0.0673), (13.45, 0.0825)),
    "Blood": ((86.50, 1.2066), (73.19, 1.2485), (65.69, 1.3155)),
}


@pytest.mark.parametrize(("megahertz", "column"), [(f, i) for i, f in enumerate(MEGAHERTZ)])
@pytest.mark.parametrize("name", ROWS)
def test_computed_rows(name, megahertz, column):
    tissue = tissue_at(name, frequency_hz=megahertz * 1e6)
    eps_r, sigma = ROWS[name][column]
    assert tissue.eps_r == pytest.approx(eps_r, rel=5e-3)
    assert tissue.sigma_s_per_m == pytest.approx(sigma, rel=5e-3)


@pytest.mark.parametrize("row", cole_cole_rows(), ids=lambda row: row.tissue)
def test_every_row_gives_the_values_listed_beside_it(row):
    for frequency_hz, eps_r, sigma in row.listed:
        tissue = tissue_at(row.tissue, frequency_hz=frequency_hz)
        assert tissue.eps_r == pytest.approx(eps_r, abs=0.006)  # printed to two decimals
        assert tissue.sigma_s_per_m == pytest.approx(sigma, abs=6e-5)  # printed to four


def test_values_published_by_others_at_3_t():
    """Reference values at 127.74 MHz quoted with the table: muscle 63.5/0.72, blood 73/1.25 (all digits printed)."""
    muscle, blood = (tissue_at(name, frequency_hz=127.74e6) for name in ("Muscle", "Blood"))
    assert (muscle.eps_r, muscle.sigma_s_per_m) == (pytest.approx(63.5, rel=5e-3), pytest.approx(0.72, rel=5e-3))
    assert (blood.eps_r, blood.sigma_s_per_m) == (pytest.approx(73, rel=5e-3), pytest.approx(1.25, rel=5e-3))


@pytest.mark.parametrize(("name", "sigma"), [("Brain (Grey Matter)", 0.02), ("Brain (White Matter)", 0.02)])
def test_no_low_frequency_variant_of_the_static_conductivity(name, sigma):
    """Other published lists carry 0.239 and 0.265 S/m here, meant below 1 MHz only."""
    (row,) = (row for row in cole_cole_rows() if row.tissue == name)
    assert row.sigma_static_s_per_m == sigma


def test_one_debye_term_and_limits():
    """With alpha = 0 a term is Debye's: half its strength in both parts at omega tau = 1."""
    tau = 1e-9
    one = cole_cole_permittivity(
        1 / (2 * np.pi * tau), eps_inf=4.0, deltas=[10.0], taus_s=[tau], alphas=[0.0], sigma_static_s_per_m=0.0
    )
    assert one == pytest.approx(9 - 5j, rel=1e-12)
    ionic = cole_cole_permittivity(1e6, eps_inf=4.0, deltas=[], taus_s=[], alphas=[], sigma_static_s_per_m=0.5)
    assert ionic == pytest.approx(4 - 0.5j / (2 * np.pi * 1e6 * EPSILON_0_F_PER_M), rel=1e-12)


@pytest.mark.parametrize("row", cole_cole_rows(), ids=lambda row: row.tissue)
def test_a_tissue_takes_power_and_falls_and_rises_with_frequency(row):
    """Passive relaxations only: the permittivity never rises with frequency, the conductivity never falls."""
    frequencies = np.geomspace(1e6, 10e9, 60)
    tissues = [tissue_at(row.tissue, frequency_hz=f) for f in frequencies]
    assert np.all(np.diff([tissue.eps_r for tissue in tissues]) < 0)
    assert np.all(np.diff([tissue.sigma_s_per_m for tissue in tissues]) > 0)


def test_flags_of_the_table_come_along():
    note = tissue_at("Liver", frequency_hz=64e6).note
    assert "read in" in note
    assert "READ" not in note
    assert "density from memory, unverified" in note


def test_densities_come_from_the_table_or_are_unknown():
    assert tissue_at("Muscle", frequency_hz=64e6).density_kg_per_m3 == 1090
    assert tissue_at("Cornea", frequency_hz=64e6).density_kg_per_m3 is None


def test_outside_the_fitted_range_nothing_is_told():
    with pytest.raises(OutsideModelError, match="fitted from"):
        tissue_at("Muscle", frequency_hz=1.0)
