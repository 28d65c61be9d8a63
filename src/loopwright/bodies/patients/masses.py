"""Masses of the tissues of a patient against those of a reference person."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from loopwright.bodies.meshes import MeshShape
from loopwright.bodies.solids import Region
from loopwright.ground.figures import PATIENT_TISSUES
from loopwright.ground.reference_masses import ReferenceMasses
from loopwright.ground.tables import density_thermal_rows

#: Share of the body's fat that lies under the skin; the rest is not told from muscle (our own choice, from memory).
FAT_UNDER_THE_SKIN = 0.75
#: Tissue of each organ in the packaged table.
ORGAN_TISSUES = {
    "heart": "Heart",
    "lung": "Lung (Inflated)",
    "liver": "Liver",
    "spleen": "Spleen",
    "kidneys": "Kidney",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class TissueMass:
    """Mass of one tissue or organ against that of a reference person. [kg]

    ``reference_kg`` is None where there is none; ``note`` says what is counted.
    """

    name: str
    found_kg: float
    reference_kg: float | None
    note: str = ""

    @property
    def off(self) -> float | None:
        """Found over reference, less one. [1]"""
        return None if self.reference_kg is None else self.found_kg / self.reference_kg - 1


def wanted_m3(reference: ReferenceMasses) -> dict[str, float]:
    """Volume of skin, fat, brain and each organ of a reference person. [m^3]"""
    density = _densities()
    layers = {"skin": "Skin (Dry)", "adipose": "Fat (Not Infiltrated)", "brain": "Brain (Grey Matter)"}
    tissues = {**ORGAN_TISSUES, **layers}
    return {name: reference.organs_kg[name] / density[tissue] for name, tissue in tissues.items()}


def masses_of(regions: Sequence[Region], reference: ReferenceMasses) -> tuple[TissueMass, ...]:
    """Every organ and tissue of a whole patient against the reference person."""
    mass = _found_kg(regions)
    known = reference.organs_kg
    named = sum(known[name] for name in (*ORGAN_TISSUES, "brain", "skin", "skeleton"))
    rest = reference.total_kg - named - FAT_UNDER_THE_SKIN * known["adipose"]
    return (
        TissueMass(name="skin", found_kg=mass["Skin (Dry)"], reference_kg=known["skin"]),
        TissueMass(
            name="fat under the skin",
            found_kg=mass["Fat (Not Infiltrated)"],
            reference_kg=FAT_UNDER_THE_SKIN * known["adipose"],
            note=f"{100 * FAT_UNDER_THE_SKIN:.0f} % of all fat",
        ),
        TissueMass(
            name="muscle",
            found_kg=mass["Muscle"],
            reference_kg=rest,
            note=f"fills what is left; reference: all that no other row names, {known['muscle']:.3g} kg of it muscle",
        ),
        *(
            TissueMass(name=name, found_kg=mass[tissue], reference_kg=known[name])
            for name, tissue in ORGAN_TISSUES.items()
        ),
        TissueMass(
            name="brain",
            found_kg=mass["Brain (Grey Matter)"] + mass["Brain (White Matter)"],
            reference_kg=known["brain"],
        ),
        TissueMass(name="fluid round the brain", found_kg=mass["Cerebro Spinal Fluid"], reference_kg=None),
        TissueMass(
            name="skeleton",
            found_kg=mass["Bone (Cortical)"] + mass["Bone (Cancellous)"],
            reference_kg=known["skeleton"],
            note="skull, spine and long bones, of the whole skeleton",
        ),
        TissueMass(name="whole body", found_kg=sum(mass.values()), reference_kg=reference.total_kg),
    )


def _found_kg(regions: Sequence[Region]) -> dict[str, float]:
    """Mass of each tissue. [kg]"""
    volume = np.zeros(len(PATIENT_TISSUES))
    for region in regions:
        shape = region.shape
        filled = shape.surface.volume_m3 if isinstance(shape, MeshShape) else shape.volume_m3
        volume[region.tissue] += filled
        if region.within is not None:
            volume[regions[region.within].tissue] -= filled
    density = _densities()
    return {name: float(v) * density[name] for name, v in zip(PATIENT_TISSUES, volume, strict=True)}


def _densities() -> dict[str, float]:
    return {row.tissue: row.density_kg_per_m3 for row in density_thermal_rows()}
