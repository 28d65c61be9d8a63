"""Usual sizes of small parts and what they are made of as a whole, where heat is concerned."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from loopwright.ground.sources import Flag, Source
from loopwright.ground.tables import packaged_lines

__all__ = ["PartSize", "part_sizes"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartSize:
    """One usual size: a block on two pads.

    Attributes
    ----------
    name : str
    length_m, width_m, height_m : float
        Along the conductor, across it, away from it. [m]
    gap_m : float
        Between the pads. [m]
    conductivity_w_per_m_k : float
        Of the block as a whole. [W/(m K)]
    density_kg_per_m3 : float
        [kg/m^3]
    heat_capacity_j_per_kg_k : float
        [J/(kg K)]
    source : Source
    """

    name: str
    length_m: float
    width_m: float
    height_m: float
    gap_m: float
    conductivity_w_per_m_k: float
    density_kg_per_m3: float
    heat_capacity_j_per_kg_k: float
    source: Source


@cache
def part_sizes() -> Mapping[str, PartSize]:
    """Sizes by name, in the order of the table."""
    return MappingProxyType({
        row["size"]: PartSize(
            name=row["size"],
            length_m=float(row["length_mm"]) / 1e3,
            width_m=float(row["width_mm"]) / 1e3,
            height_m=float(row["height_mm"]) / 1e3,
            gap_m=float(row["gap_mm"]) / 1e3,
            conductivity_w_per_m_k=float(row["k_W_mK"]),
            density_kg_per_m3=float(row["density_kg_m3"]),
            heat_capacity_j_per_kg_k=float(row["c_J_kgK"]),
            source=Source(key="", where=row["note"], flag=Flag[row["flag"]]),
        )
        for row in packaged_lines("part_sizes.csv")
    })  # fmt: skip
