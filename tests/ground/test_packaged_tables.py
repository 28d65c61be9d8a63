"""The packaged tables: whole, flagged, and right where independent values are known."""

import cmath
import math

import numpy as np
import pytest
from scipy.constants import epsilon_0

from loopwright.ground.sources import Flag
from loopwright.ground.tables import (
    anthropometry_rows,
    cole_cole_rows,
    density_thermal_rows,
    stylised_figure_rows,
    tissue_names,
)


def dispersion(row, frequency_hz):
    """Four-term Cole-Cole in its textbook form, written here a second time."""
    omega = 2 * math.pi * frequency_hz
    eps = row.eps_inf + row.sigma_static_s_per_m / (1j * omega * epsilon_0)
    for delta, tau, alpha in zip(row.deltas, row.taus_s, row.alphas, strict=True):
        eps += delta / (1 + cmath.exp((1 - alpha) * cmath.log(1j * omega * tau)))
    return eps.real, -eps.imag * omega * epsilon_0


@pytest.mark.parametrize("row", cole_cole_rows(), ids=lambda row: row.tissue)
def test_units_of_the_columns_give_the_listed_values(row):
    """A slip of a thousand in one of the time constants would show here."""
    for frequency_hz, eps_r, sigma in row.listed:
        found_eps_r, found_sigma = dispersion(row, frequency_hz)
        assert found_eps_r == pytest.approx(eps_r, abs=0.006)  # listed to two decimals
        assert found_sigma == pytest.approx(sigma, abs=0.0001)


def test_published_values_at_127_74_megahertz():
    """Independent published values of muscle and cerebrospinal fluid, to 0.5 %."""
    rows = {row.tissue: row for row in cole_cole_rows()}
    for tissue, eps_r, sigma in (("Muscle", 63.5, 0.72), ("Cerebro Spinal Fluid", 84.0, 2.14)):
        found = dispersion(rows[tissue], 127.74e6)
        assert found == (pytest.approx(eps_r, rel=5e-3), pytest.approx(sigma, rel=5e-3))


def test_every_row_says_where_it_was_read():
    assert len(cole_cole_rows()) == 44
    assert len(density_thermal_rows()) == 41
    assert all(row.note and row.check and row.source.key for row in cole_cole_rows())
    assert all("MEMORY" in row.note or "READ" in row.note for row in density_thermal_rows())
    assert all(
        "READ" in row.note or "MEMORY" in row.note or row.note == "as above" or "COMPUTED" in row.note
        for row in anthropometry_rows()
    )
    assert all("MEMORY" in row.note for row in stylised_figure_rows())


def test_names_are_unique_and_shared():
    assert len(set(tissue_names())) == len(tissue_names())
    assert {row.tissue for row in density_thermal_rows()} <= set(tissue_names())


def test_figures_grow():
    rows = stylised_figure_rows()
    sizes = np.array(
        [(*row.trunk_m, row.trunk_height_m, *row.head_m, row.head_cap_m, *row.brain_m, *row.lung_m) for row in rows]
    )
    assert np.all(np.diff(sizes, axis=0) >= 0)
    assert 0.04 < sizes[:, 0].min() < sizes.max() < 0.75


def test_every_figure_has_measured_circumferences():
    groups = {row.group: row for row in anthropometry_rows()}
    for figure in stylised_figure_rows():
        assert {"head", "thigh", "knee", "wrist"} <= set(groups[figure.measured_as].circumference_m)


def test_head_circumferences_up_to_five_years_were_read_and_limbs_were_not():
    flags = {row.group: row.flag_of("head") for row in anthropometry_rows()}
    assert [flags[name] for name in ("term_M", "6mo_M", "1y_M", "5y_M")] == [Flag.READ] * 4
    assert [flags[name] for name in ("10y_M", "15y_M", "adult_M", "adult_F")] == [Flag.MEMORY] * 4
    assert {row.flag_of("thigh") for row in anthropometry_rows()} == {Flag.MEMORY, Flag.COMPUTED}
