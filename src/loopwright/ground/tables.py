"""The packaged tables of published numbers, as tuples of frozen rows.

The files lie beside this module with every column and flag of their source and are read through
:mod:`importlib.resources`, so they are found in a wheel as well as in a checkout.
"""

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources

from loopwright.ground.sources import Flag, Source

__all__ = [
    "ChildTrunkRow",
    "ColeColeRow",
    "DensityThermalRow",
    "child_trunk_rows",
    "cole_cole_rows",
    "density_thermal_rows",
    "tissue_names",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class ColeColeRow:
    """Four-term dispersion of one tissue.

    eps = eps_inf + sum over n of delta_n / (1 + (j omega tau_n)^(1 - alpha_n)) + sigma_static / (j omega eps_0)

    ``listed`` holds values at single frequencies as (frequency [Hz], relative permittivity, conductivity [S/m]), for
    checks only. ``note`` tells where the row was read and ``check`` what it was compared with.
    """

    tissue: str
    eps_inf: float
    deltas: tuple[float, float, float, float]
    taus_s: tuple[float, float, float, float]
    alphas: tuple[float, float, float, float]
    sigma_static_s_per_m: float
    listed: tuple[tuple[float, float, float], ...]
    note: str
    check: str
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class DensityThermalRow:
    """Density and thermal properties of one tissue; ``note`` tells how far they were checked.

    Density [kg/m^3], thermal conductivity [W/(m K)], heat capacity [J/(kg K)], perfusion [mL/(min kg)].
    """

    tissue: str
    density_kg_per_m3: float
    thermal_conductivity_w_per_m_k: float
    heat_capacity_j_per_kg_k: float
    perfusion_ml_per_min_kg: float
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChildTrunkRow:
    """Outer size of the trunk of a child without arms. [m]"""

    age: str
    semi_axis_x_m: float
    semi_axis_y_m: float
    height_m: float
    note: str


@cache
def cole_cole_rows() -> tuple[ColeColeRow, ...]:
    """Rows of the dispersion table, in the order of the file."""
    return tuple(_cole_cole_row(row) for row in _lines("cole_cole.csv"))


@cache
def density_thermal_rows() -> tuple[DensityThermalRow, ...]:
    """Rows of the table of density and thermal properties, in the order of the file."""
    return tuple(
        DensityThermalRow(
            tissue=row["tissue"],
            density_kg_per_m3=float(row["density_kg_m3"]),
            thermal_conductivity_w_per_m_k=float(row["k_W_mK"]),
            heat_capacity_j_per_kg_k=float(row["c_J_kgK"]),
            perfusion_ml_per_min_kg=float(row["perfusion_mL_min_kg"]),
            note=row["note"],
        )
        for row in _lines("density_thermal.csv")
    )


@cache
def child_trunk_rows() -> tuple[ChildTrunkRow, ...]:
    """Rows of the table of trunks, youngest first."""
    return tuple(
        ChildTrunkRow(
            age=row["age"],
            semi_axis_x_m=float(row["semi_axis_x_mm"]) / 1e3,
            semi_axis_y_m=float(row["semi_axis_y_mm"]) / 1e3,
            height_m=float(row["height_mm"]) / 1e3,
            note=row["note"],
        )
        for row in _lines("child_trunk.csv")
    )


@cache
def tissue_names() -> tuple[str, ...]:
    """Names of the tissues that the dispersion table knows, in the order of the file."""
    return tuple(row.tissue for row in cole_cole_rows())


def _cole_cole_row(row: dict[str, str]) -> ColeColeRow:
    return ColeColeRow(
        tissue=row["tissue"],
        eps_inf=float(row["eps_inf"]),
        deltas=(float(row["d1"]), float(row["d2"]), float(row["d3"]), float(row["d4"])),
        taus_s=(
            float(row["tau1_ps"]) * 1e-12,
            float(row["tau2_ns"]) * 1e-9,
            float(row["tau3_us"]) * 1e-6,
            float(row["tau4_ms"]) * 1e-3,
        ),
        alphas=(float(row["a1"]), float(row["a2"]), float(row["a3"]), float(row["a4"])),
        sigma_static_s_per_m=float(row["sigma_s"]),
        listed=tuple(
            (float(megahertz) * 1e6, float(row[f"eps_{megahertz}MHz"]), float(row[f"sig_{megahertz}MHz"]))
            for megahertz in ("63.87", "127.74", "298.03")
        ),
        note=row["note"],
        check=row["check"],
        source=Source(key="gabriel1996", where=f"table of Cole-Cole parameters, {row['tissue']}", flag=Flag.READ),
    )


def _lines(name: str) -> list[dict[str, str]]:
    """Lines of a packaged file, by the names of its columns."""
    text = (resources.files("loopwright.ground") / "data" / name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))
