"""Layers made of what the packaged tables know: tissue with its blood, solids, and still air."""

from dataclasses import replace

from scipy.constants import sigma as STEFAN_BOLTZMANN_W_PER_M2_K4

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.sources import Flag, Source
from loopwright.ground.tables import DensityThermalRow, density_thermal_rows
from loopwright.ground.thermal import thermal_material, tissue_metabolism
from loopwright.heating.layers import Layer

__all__ = ["air_gap_layer", "material_layer", "perfusion_w_per_m3_k", "tissue_layer"]

#: Thickness above which warm air under a cool lid may begin to turn over: Rayleigh number 1708 at 10 K. [m]
STILL_AIR_M = 0.012


def tissue_layer(tissue: str, thickness_m: float) -> Layer:
    """Return a layer of resting tissue, with its blood and its metabolism.

    Parameters
    ----------
    tissue : str
        A name of the table of tissues.
    thickness_m : float
        [m]

    Raises
    ------
    OutsideModelError
        If the tables do not know the tissue, or not its metabolism.
    """
    row, made = _row(tissue), tissue_metabolism()
    if tissue not in made:
        raise OutsideModelError(f"the heat that {tissue!r} makes is not known; known are {', '.join(made)}")
    return Layer(
        name=tissue,
        thickness_m=thickness_m,
        conductivity_w_per_m_k=row.thermal_conductivity_w_per_m_k,
        density_kg_per_m3=row.density_kg_per_m3,
        heat_capacity_j_per_kg_k=row.heat_capacity_j_per_kg_k,
        perfusion_w_per_m3_k=perfusion_w_per_m3_k(tissue),
        metabolic_w_per_m3=made[tissue].value,
        source=Source(
            key="",
            where=f"table of tissues, {tissue}: {row.note}; metabolism {made[tissue].source}",
            flag=Flag.MEMORY,
        ),
    )


def perfusion_w_per_m3_k(tissue: str) -> float:
    """Heat that blood takes from resting tissue per volume and kelvin: rho_b c_b times its flow. [W/(m^3 K)]

    Raises
    ------
    OutsideModelError
        If the table does not know the tissue.

    References
    ----------
    The term of blood in Pennes' equation [pennes1948].
    """
    blood, row = _row("Blood"), _row(tissue)
    flow_per_s = row.perfusion_ml_per_min_kg * 1e-6 / 60 * row.density_kg_per_m3
    return blood.density_kg_per_m3 * blood.heat_capacity_j_per_kg_k * flow_per_s


def material_layer(material: str, thickness_m: float, *, name: str = "") -> Layer:
    """Return a layer of a material of the table, named like the material if no name is given; thickness [m]."""
    known = thermal_material(material)
    return Layer(
        name=name or material,
        thickness_m=thickness_m,
        conductivity_w_per_m_k=known.conductivity.value,
        density_kg_per_m3=known.density.value,
        heat_capacity_j_per_kg_k=known.heat_capacity.value,
        source=known.source,
    )


def air_gap_layer(
    thickness_m: float, *, name: str = "air gap", mean_c: float = 33.0, emissivities: tuple[float, float] = (0.95, 0.9)
) -> Layer:
    """Return still air between two parallel faces, its conductivity raised by what radiates across.

    Parameters
    ----------
    thickness_m : float
        [m]
    name : str
    mean_c : float
        Mean temperature of the faces. [degC]
    emissivities : tuple of float
        Of skin or textile and of what faces it; common practice for everything but bare metal.

    Raises
    ------
    OutsideModelError
        If the gap is so wide that the air in it may turn over, or an emissivity is not above 0 and up to 1.

    Notes
    -----
    Radiation between parallel grey faces, made linear: 4 sigma T^3 / (1/e1 + 1/e2 - 1), within 1 % up to 60 K between
    them.
    """
    if not 0 < thickness_m <= STILL_AIR_M:
        raise OutsideModelError(f"air stays still in gaps up to {STILL_AIR_M:g} m, not in {thickness_m:g} m")
    if not all(0 < emissivity <= 1 for emissivity in emissivities):
        raise OutsideModelError("an emissivity lies above 0 and is at most 1")
    still = material_layer("air", thickness_m, name=name)
    both = 1 / (1 / emissivities[0] + 1 / emissivities[1] - 1)
    radiated = 4 * both * STEFAN_BOLTZMANN_W_PER_M2_K4 * (mean_c + 273.15) ** 3
    where = f"{still.source.where}; radiation between grey faces of {emissivities[0]:g} and {emissivities[1]:g}"
    return replace(
        still,
        conductivity_w_per_m_k=still.conductivity_w_per_m_k + radiated * thickness_m,
        source=replace(still.source, where=where),
    )


def _row(tissue: str) -> DensityThermalRow:
    for row in density_thermal_rows():
        if row.tissue == tissue:
            return row
    raise OutsideModelError(f"no thermal values of {tissue!r} in the table of tissues")
