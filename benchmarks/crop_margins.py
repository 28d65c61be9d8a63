"""How much body past a part is enough: resistance and SNR of a loop at the edge of a cut part, against the margin.

Usage: python benchmarks/crop_margins.py [--out benchmarks/results/crop-margins.json]

A circular loop lies 10 mm before the front of the body, its far edge at the edge of the part, so that the cut is as
near as it can be to an element of an array on that part. SNR is |B1-| one radius behind the skin on the loop's axis
over the root of the resistance of the body; the field is that of a uniform current in the loop, 123.2 MHz.
"""

import argparse
import json
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import map_coordinates

from loopwright.bodies import Solid, VoxelGrid, tissue_at, voxelise
from loopwright.bodies.patients.building import patient_body
from loopwright.brief.records import AgeAfterTerm, PatientRequest
from loopwright.fields import body_reply
from loopwright.ground.progress import Forgetful, Silent

FREQUENCY_HZ = 123.2e6
STAND_OFF_M = 0.010
#: Part, sex, age in years, diameter of the loop, voxel, and the end of the part that the loop lies at.
CASES = (
    ("head", "male", 30.0, 0.10, 5e-3, "low"),
    ("head", "female", 1.0, 0.06, 5e-3, "low"),
    ("trunk", "male", 5.0, 0.08, 7e-3, "high"),
    ("knee", "male", 30.0, 0.08, 5e-3, "high"),
    ("wrist", "male", 30.0, 0.05, 4e-3, "high"),
)
#: In voxels, so that all grids of a case lie on the same planes; the last one is what the others are held against.
MARGINS_M = (0.0, 0.02, 0.04, 0.06, 0.10, 0.16)


def edge_m(request: PatientRequest, end: str) -> float:
    """Where the part ends along z without margin. [m]"""
    skin = patient_body(request.model_copy(update={"margin_m": 0.0})).solid.skin
    return skin.lower_m[2] if end == "low" else skin.upper_m[2]


def figures(request: PatientRequest, *, diameter_m: float, end: str, edge: float) -> tuple[float, float]:
    """Resistance of the body and SNR of the loop, in a unit of its own."""
    solid = patient_body(request).solid
    tissues = tuple(tissue_at(name, frequency_hz=FREQUENCY_HZ) for name in solid.tissue_names)
    body = voxelise(solid, spacing_m=request.voxel_m, tissues=tissues, frequency_hz=FREQUENCY_HZ)
    radius = diameter_m / 2
    height = edge + radius if end == "low" else edge - radius
    front = front_m(solid, radius, height)
    turn = 2 * np.pi * np.arange(32) / 32
    loop = np.stack([radius * np.cos(turn), np.full(32, front - STAND_OFF_M), height + radius * np.sin(turn)], axis=1)
    reply = body_reply(body, [loop], relative_residual=1e-4, progress=Silent(), store=Forgetful())
    bx, by = (
        at_point(reply.magnetic_field_t_per_a[0, axis], body.grid, (0.0, front + radius, height)) for axis in (0, 1)
    )
    resistance = float(reply.noise_resistance_ohm[0, 0].real)
    return resistance, float(abs(np.conj(bx - 1j * by)) / np.sqrt(resistance))


def at_point(field: NDArray[np.complex64], grid: VoxelGrid, point_m: tuple[float, float, float]) -> complex:
    """Field at a point, on straight lines between voxel centres."""
    place = (np.array(point_m) - grid.origin_m) / grid.spacing_m - 0.5
    real, imaginary = (map_coordinates(part, place[:, None], order=1)[0] for part in (field.real, field.imag))
    return complex(real, imaginary)


def front_m(solid: Solid, radius_m: float, height_m: float) -> float:
    """Foremost place of the skin under the loop. [m]"""
    vertices = solid.skin.surface.vertices_m
    near = (np.abs(vertices[:, 0]) < radius_m) & (np.abs(vertices[:, 2] - height_m) < radius_m)
    return float(vertices[near, 1].min())


def main() -> None:
    """Solve all cases and write them."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--out", default="benchmarks/results/crop-margins.json")
    parser.add_argument("--cases", default="")
    chosen = parser.parse_args()
    rows = []
    for index, (part, sex, age, diameter, voxel, end) in enumerate(CASES):
        if chosen.cases and str(index) not in chosen.cases.split(","):
            continue
        request = PatientRequest(sex=sex, age=AgeAfterTerm(age_years=age), part=part, voxel_m=voxel)
        edge = edge_m(request, end)
        margins = [round(margin / voxel) * voxel for margin in MARGINS_M]
        found = np.array(
            [
                figures(request.model_copy(update={"margin_m": margin}), diameter_m=diameter, end=end, edge=edge)
                for margin in margins
            ]
        )
        off = 100 * (found / found[-1] - 1)
        for margin, (resistance, _), (of_resistance, of_snr) in zip(margins, found, off, strict=True):
            rows.append(
                {
                    "part": part,
                    "patient": f"{sex}, {age:g} years",
                    "loop_mm": diameter * 1e3,
                    "voxel_mm": voxel * 1e3,
                    "margin_mm": round(margin * 1e3, 1),
                    "resistance_ohm": round(float(resistance), 4),
                    "resistance_off_percent": round(float(of_resistance), 2),
                    "snr_off_percent": round(float(of_snr), 2),
                }
            )
            print(rows[-1], flush=True)
        Path(chosen.out).write_text(json.dumps(rows, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
