"""The packaged tables of published numbers, as tuples of frozen rows.

The files lie beside this module with every column and flag of their source and are read through
:mod:`importlib.resources`, so they are found in a wheel as well as in a checkout.
"""

import csv
import hashlib
from dataclasses import dataclass
from functools import cache
from importlib import resources

from loopwright.ground.sources import Flag, Source

__all__ = [
    "AnthropometryRow",
    "CoaxialCableRow",
    "ColeColeRow",
    "DensityThermalRow",
    "StylisedFigureRow",
    "anthropometry_rows",
    "coaxial_cable_rows",
    "cole_cole_rows",
    "data_digest",
    "density_thermal_rows",
    "packaged_lines",
    "stylised_figure_rows",
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
class AnthropometryRow:
    """Sizes of one group of people as measured, as far as the table has them; ``note`` tells what was read where. [m]

    ``circumference_m`` is keyed by head, chest, abdomen, thigh, knee and wrist.
    """

    group: str
    circumference_m: dict[str, float]
    note: str

    def flag_of(self, part: str) -> Flag:
        """How the circumference of a part came to be known."""
        if self.note.startswith("COMPUTED"):
            return Flag.COMPUTED
        read = self.note.startswith("length/mass/HC READ") and part == "head"
        return Flag.READ if read else Flag.MEMORY


@dataclass(frozen=True, slots=True, kw_only=True)
class StylisedFigureRow:
    """Sizes of one stylised figure, as published for its family. [m]

    ``measured_as`` is the group of the anthropometry whose circumferences the figure takes; ``trunk``, ``head``,
    ``brain`` and ``lung`` hold half-axes, the trunk's without arms. ``head_cap_m`` is the height of the head above its
    widest section and ``head_cylinder_m`` what lies below. The brain's mass [kg] is a reference to compare with, None
    where there is none, and its flag says how it is known.
    """

    age: str
    measured_as: str
    reference_brain_kg: float | None
    reference_brain_flag: str
    trunk_m: tuple[float, float]
    trunk_height_m: float
    arm_radius_m: float
    neck_radius_m: float
    neck_height_m: float
    head_m: tuple[float, float]
    head_cylinder_m: float
    head_cap_m: float
    brain_m: tuple[float, float, float]
    lung_m: tuple[float, float, float]
    skin_m: float
    fat_m: float
    scalp_fat_m: float
    skull_m: float
    csf_m: float
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CoaxialCableRow:
    """One generic coaxial cable; ``note`` tells how far its values were checked.

    Impedance [ohm], loss [dB/m] at a frequency [Hz], diameter over the shield [m], conductivity [S/m].
    """

    name: str
    characteristic_ohm: float
    velocity_factor: float
    loss_db_per_m: float
    loss_frequency_hz: float
    shield_outer_diameter_m: float
    shield_conductivity_s_per_m: float
    braid_factor: float
    note: str


@cache
def coaxial_cable_rows() -> tuple[CoaxialCableRow, ...]:
    """Rows of the table of generic coaxial cables, in the order of the file."""
    return tuple(
        CoaxialCableRow(
            name=row["name"],
            characteristic_ohm=float(row["characteristic_ohm"]),
            velocity_factor=float(row["velocity_factor"]),
            loss_db_per_m=float(row["loss_db_per_m"]),
            loss_frequency_hz=float(row["loss_frequency_mhz"]) * 1e6,
            shield_outer_diameter_m=float(row["shield_diameter_mm"]) / 1e3,
            shield_conductivity_s_per_m=float(row["shield_sigma"]),
            braid_factor=float(row["braid_factor"]),
            note=row["note"],
        )
        for row in packaged_lines("coaxial_cables.csv")
    )


@cache
def cole_cole_rows() -> tuple[ColeColeRow, ...]:
    """Rows of the dispersion table, in the order of the file."""
    return tuple(_cole_cole_row(row) for row in packaged_lines("cole_cole.csv"))


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
        for row in packaged_lines("density_thermal.csv")
    )


@cache
def anthropometry_rows() -> tuple[AnthropometryRow, ...]:
    """Rows of the table of measured sizes, in the order of the file."""
    columns = {"head": "head_circ_cm"} | {
        part: f"{part}_circ_cm" for part in ("chest", "abdomen", "thigh", "knee", "wrist")
    }
    return tuple(
        AnthropometryRow(
            group=row["group"],
            circumference_m={part: float(row[name]) / 100 for part, name in columns.items() if row[name]},
            note=row["source_note"],
        )
        for row in packaged_lines("anthropometry.csv")
    )


@cache
def stylised_figure_rows() -> tuple[StylisedFigureRow, ...]:
    """Rows of the table of stylised figures, youngest first."""
    return tuple(_stylised_figure_row(row) for row in packaged_lines("stylised_figures.csv"))


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


def _stylised_figure_row(row: dict[str, str]) -> StylisedFigureRow:
    def metres(name: str) -> float:
        return float(row[f"{name}_mm"]) / 1e3

    return StylisedFigureRow(
        age=row["age"],
        measured_as=row["measured_as"],
        reference_brain_kg=float(row["icrp_brain_g"]) / 1e3 if row["icrp_brain_g"] else None,
        reference_brain_flag=row["icrp_brain_flag"],
        trunk_m=(metres("trunk_x"), metres("trunk_y")),
        trunk_height_m=metres("trunk_height"),
        arm_radius_m=metres("arm_radius"),
        neck_radius_m=metres("neck_radius"),
        neck_height_m=metres("neck_height"),
        head_m=(metres("head_x"), metres("head_y")),
        head_cylinder_m=metres("head_cylinder"),
        head_cap_m=metres("head_cap"),
        brain_m=(metres("brain_x"), metres("brain_y"), metres("brain_z")),
        lung_m=(metres("lung_x"), metres("lung_y"), metres("lung_z")),
        skin_m=metres("skin"),
        fat_m=metres("fat"),
        scalp_fat_m=metres("scalp_fat"),
        skull_m=metres("skull"),
        csf_m=metres("csf"),
        note=row["note"],
    )


def packaged_lines(name: str) -> list[dict[str, str]]:
    """Lines of a packaged file, by the names of its columns."""
    text = (resources.files("loopwright.ground") / "data" / name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def data_digest() -> str:
    """sha256 of all packaged data, by name and content: what was found with other data is another result."""
    folder = resources.files("loopwright.ground") / "data"
    digest = hashlib.sha256()
    for entry in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if entry.is_file():
            digest.update(entry.name.encode() + b"\0" + hashlib.sha256(entry.read_bytes()).digest())
    return digest.hexdigest()
