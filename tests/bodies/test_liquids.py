"""Liquids held against handbook tables, conductivity standards and their own inverse."""

from dataclasses import replace

import pytest

from loopwright.bodies.liquids import conduction, recipe_for, solution_at, static_permittivity, viscosity_pa_s
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.salts import Dissolved, SaltRow, dissolved, molar_mass_kg_per_mol, salt_named, salt_names

ROOM_K = 298.15
ZERO_K = 273.15

#: Conductivity per mole of charge at 25 degC, by concentration of charge in mol/L: handbook of chemistry and physics,
#: Vanysek's table up to 0.1 mol/L, beyond it Robinson and Stokes, appendix 6.3. From memory. [S cm^2/mol]
TABLES = {
    "sodium chloride": {
        0.0005: 124.44, 0.001: 123.68, 0.005: 120.59, 0.01: 118.45, 0.02: 115.70, 0.05: 111.01, 0.1: 106.69,
        0.2: 101.71, 0.5: 93.62, 1.0: 85.76,
    },
    "potassium chloride": {
        0.001: 146.88, 0.005: 143.48, 0.01: 141.20, 0.02: 138.27, 0.05: 133.30, 0.1: 128.90, 0.5: 117.27, 1.0: 111.87,
    },
    "copper sulphate": {0.001: 115.20, 0.005: 94.02, 0.01: 83.08, 0.02: 72.16, 0.05: 59.02, 0.1: 50.55},
}  # fmt: skip

#: Conductivity of KCl of 0.01 and 0.1 mol/kg water by temperature in degC, the primary standards: Pratt et al., Pure
#: Appl. Chem. 73, 1783, 2001, read as the handbook's table "Standard KCl solutions". [uS/cm]
STANDARDS = {
    5: (890.96, 8183.70),
    10: (1013.95, 9291.72),
    15: (1141.45, 10437.1),
    20: (1273.03, 11615.9),
    25: (1408.23, 12824.6),
    30: (1546.63, 14059.2),
    35: (1687.79, 15316.0),
    40: (1831.27, 16591.0),
    45: (1976.62, 17880.6),
}


#: The same table of magnesium chloride, which stands for chlorides of double charge. [S cm^2/mol]
MAGNESIUM = {0.001: 124.15, 0.005: 118.25, 0.01: 114.49, 0.02: 109.99, 0.05: 103.03, 0.1: 97.05}
MAGNESIUM_S_M2_PER_MOL = 53.0e-4  # limiting, the handbook, read


def of_charge(name: str | SaltRow, litre_mol: float, temperature_k: float = ROOM_K) -> float:
    """Conductivity per mole of charge [S cm^2/mol] at this concentration of charge [mol/L]."""
    salt = salt_named(name) if isinstance(name, str) else name
    one = Dissolved(salt=salt, mol_per_m3=1e3 * litre_mol / salt.charges)
    return conduction([one], temperature_k=temperature_k).sigma_s_per_m / (1e3 * litre_mol) * 1e4


@pytest.mark.parametrize(("name", "near", "far"), [
    ("sodium chloride", 0.006, 0.03), ("potassium chloride", 0.003, 0.03), ("copper sulphate", 0.10, 0.10),
])  # fmt: skip
def test_conductivity_of_salts_agrees_with_the_handbook(name, near, far):
    for concentration, listed in TABLES[name].items():
        allowed = near if concentration <= 0.2 else far
        assert of_charge(name, concentration) == pytest.approx(listed, rel=allowed)


def test_a_chloride_of_double_charge_agrees_with_the_table_of_magnesium():
    nickel = salt_named("nickel chloride")
    magnesium = replace(nickel, cation=replace(nickel.cation, limiting_s_m2_per_mol=MAGNESIUM_S_M2_PER_MOL))
    for concentration, listed in MAGNESIUM.items():
        assert of_charge(magnesium, concentration) == pytest.approx(listed, rel=0.02)


def test_potassium_chloride_agrees_with_the_conductivity_standards_from_5_to_45_degrees():
    kilogram_mol = molar_mass_kg_per_mol("KCl")
    for celsius, listed in STANDARDS.items():
        for molality, microsiemens in zip((0.01, 0.1), listed, strict=True):
            water = 999.974 * (1 - (celsius - 3.983) ** 2 * (celsius + 301.797) / (522528.9 * (celsius + 69.349)))
            density = water + 47 * molality
            one = Dissolved(salt=salt_named("potassium chloride"),
                            mol_per_m3=molality * density / (1 + molality * kilogram_mol))  # fmt: skip
            found = conduction([one], temperature_k=ZERO_K + celsius).sigma_s_per_m
            assert found == pytest.approx(1e-4 * microsiemens, rel=0.01)


@pytest.mark.parametrize(("grams", "listed"), [(5.02, 0.29), (10.08, 0.54)])
def test_copper_sulphate_agrees_with_the_table_at_20_degrees(grams, listed):
    """The handbook's table by mass percent, read: 2.9 and 5.4 mS/cm at 0.5 and 1 %, here in grams in a litre."""
    found = conduction([dissolved("copper sulphate", grams)], temperature_k=ZERO_K + 20).sigma_s_per_m
    assert found == pytest.approx(listed, rel=0.10)


def test_saline_rises_by_some_two_per_cent_a_kelvin():
    rise = of_charge("sodium chloride", 0.1, ROOM_K) / of_charge("sodium chloride", 0.1, ROOM_K - 1) - 1
    assert 0.019 < rise < 0.024


def test_viscosity_and_permittivity_of_water_are_the_accepted_ones():
    assert viscosity_pa_s(ZERO_K + 20) == pytest.approx(1.0016e-3, rel=2e-4)
    assert viscosity_pa_s(ROOM_K) == pytest.approx(0.8900e-3, rel=2e-4)
    assert static_permittivity(ROOM_K) == pytest.approx(78.30, abs=0.02)


def test_molar_masses_of_hydrates_hold_their_water():
    water = molar_mass_kg_per_mol("H2O")
    assert water == pytest.approx(18.015e-3, rel=1e-6)
    for name, waters, grams in (
        ("copper sulphate pentahydrate", 5, 249.68),
        ("nickel chloride hexahydrate", 6, 237.69),
        ("manganese chloride tetrahydrate", 4, 197.90),
    ):
        salt = salt_named(name)
        assert salt.molar_mass_kg_per_mol - salt.anhydrous_kg_per_mol == pytest.approx(waters * water, rel=1e-12)
        assert 1e3 * salt.molar_mass_kg_per_mol == pytest.approx(grams, rel=1e-4)
    assert 1e3 * molar_mass_kg_per_mol("NaCl") == pytest.approx(58.44, rel=1e-4)


def test_a_hydrate_of_the_mass_ratio_makes_the_very_same_liquid():
    ratio = molar_mass_kg_per_mol("CuSO4.5H2O") / molar_mass_kg_per_mol("CuSO4")
    saline = dissolved("sodium chloride", 3.6)
    dry, wet = (
        solution_at([saline, dissolved(name, grams)], temperature_k=ROOM_K, frequency_hz=123e6)
        for name, grams in (("copper sulphate", 1.25), ("copper sulphate pentahydrate", 1.25 * ratio))
    )
    assert wet.sigma_s_per_m == pytest.approx(dry.sigma_s_per_m, rel=1e-12)
    assert ratio == pytest.approx(1.5644, rel=1e-4)


@pytest.mark.parametrize("salt", ["sodium chloride", "potassium chloride", "nickel chloride hexahydrate"])
@pytest.mark.parametrize("wanted", [0.15, 0.62, 1.9])
def test_a_recipe_gives_the_conductivity_that_was_wanted(salt, wanted):
    beside = [dissolved("copper sulphate pentahydrate", 1.0)]
    recipe = recipe_for(wanted, salt=salt_named(salt), beside=beside, volume_m3=2e-3,
                        temperature_k=ZERO_K + 21, frequency_hz=123.25e6)  # fmt: skip
    grams = 1e3 * recipe.mass_kg(recipe.salts[0])
    again = solution_at([dissolved(salt, grams / 2), *beside], temperature_k=ZERO_K + 21, frequency_hz=123.25e6)
    assert again.sigma_s_per_m == pytest.approx(wanted, rel=1e-7)


def test_the_water_itself_loses_at_high_frequency():
    at_rest, at_7_tesla = (
        solution_at([dissolved("sodium chloride", 3.0)], temperature_k=ROOM_K, frequency_hz=f) for f in (1e3, 298e6)
    )
    # omega^2 tau eps_0 (eps_s - eps_inf), by hand: (1.872e9)^2 x 8.27e-12 x 8.854e-12 x 72.3
    assert at_7_tesla.sigma_s_per_m - at_rest.sigma_s_per_m == pytest.approx(0.01855, rel=0.01)
    assert at_7_tesla.eps_r == pytest.approx(77.5, abs=0.3)


@pytest.mark.parametrize("molar", [0.25, 0.5, 0.6])
def test_permittivity_of_saline_is_that_of_published_dielectric_spectra(molar):
    # Noertemann, Hilland, Kaatze, J. Phys. Chem. A 101, 6864, 1997, abstract (read): at 20 degC, from 0.2 to 0.6 mol/L,
    # the permittivity at rest is that of water times 1 - 0.19 c.
    grams = 1e3 * molar * molar_mass_kg_per_mol("NaCl")
    found = solution_at([dissolved("sodium chloride", grams)], temperature_k=ZERO_K + 20, frequency_hz=1e6)
    measured = static_permittivity(ZERO_K + 20) * (1 - 0.19 * molar)
    assert found.eps_r == pytest.approx(measured, abs=0.5)
    assert found.eps_uncertainty >= 2


def test_permittivity_beyond_half_a_mole_is_told_with_more_doubt():
    grams = 1e3 * 0.95 * molar_mass_kg_per_mol("NaCl")
    found = solution_at([dissolved("sodium chloride", grams)], temperature_k=ROOM_K, frequency_hz=1e6)
    # 78.36 - 15.45 c + 3.76 c^1.5 at 25 degC [buchner1999], from memory
    assert abs(found.eps_r - (78.36 - 15.45 * 0.95 + 3.76 * 0.95**1.5)) < found.eps_uncertainty


def test_what_no_table_reaches_is_refused():
    with pytest.raises(OutsideModelError, match="up to 1 GHz"):
        solution_at([dissolved("sodium chloride", 3.0)], temperature_k=ROOM_K, frequency_hz=3e9)
    with pytest.raises(OutsideModelError, match="degC"):
        conduction([dissolved("sodium chloride", 3.0)], temperature_k=ZERO_K + 60)
    with pytest.raises(OutsideModelError, match="Measure"):
        conduction([dissolved("sodium chloride", 80.0)], temperature_k=ROOM_K)
    with pytest.raises(OutsideModelError, match="can be told"):
        recipe_for(20.0, salt=salt_named("sodium chloride"), volume_m3=1e-3, temperature_k=ROOM_K, frequency_hz=64e6)
    with pytest.raises(OutsideModelError, match="without it"):
        recipe_for(0.01, salt=salt_named("sodium chloride"), beside=[dissolved("nickel chloride", 3.0)],
                   volume_m3=1e-3, temperature_k=ROOM_K, frequency_hz=64e6)  # fmt: skip


def test_every_salt_of_the_table_is_neutral():
    for name in salt_names():
        salt = salt_named(name)
        assert salt.cations * salt.cation.charge + salt.anions * salt.anion.charge == 0
