"""Bodies of triangles: shares of voxels and faces beside the closed forms of the same ellipsoid, and a whole body.

Usage: python benchmarks/bench_surfaces.py [--out benchmarks/results/surfaces.json] [--quick]
"""

import argparse
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from measuring import least, machine, row

from loopwright.bodies import (
    Ellipsoid,
    MeshShape,
    Region,
    Solid,
    Tissue,
    VoxelGrid,
    grid_around,
    layered_surface,
    voxelise,
)
from loopwright.bodies.shapes import Shape
from loopwright.ground.surface import Surface

# As long, broad and deep as an adult.
HALF_AXES_M = (0.25, 0.15, 0.85)
VOXEL_M = 5e-3


def ellipsoid(half_axes_m: Sequence[float], level: int, centre_m: Sequence[float] = (0.0, 0.0, 0.0)) -> Surface:
    """An octahedron whose triangles are cut into four so many times, drawn onto the ellipsoid, its volume kept."""
    vertices = np.vstack([np.eye(3), -np.eye(3)])
    triangles = np.array([[0, 1, 2], [1, 3, 2], [3, 4, 2], [4, 0, 2], [1, 0, 5], [3, 1, 5], [4, 3, 5], [0, 4, 5]])
    for _ in range(level):
        edges = np.sort(triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
        unique, place = np.unique(edges, axis=0, return_inverse=True)
        (a, b, c), (ab, bc, ca) = triangles.T, (place.reshape(-1, 3) + len(vertices)).T
        vertices = np.vstack([vertices, vertices[unique].mean(axis=1)])
        vertices /= np.linalg.norm(vertices, axis=1, keepdims=True)
        parts = ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))
        triangles = np.vstack([np.stack(part, axis=1) for part in parts])
    surface = Surface(vertices_m=vertices, triangles=triangles.astype(np.int64))
    growth = (4 / 3 * np.pi / surface.volume_m3) ** (1 / 3)
    return surface.at(surface.vertices_m * growth * np.asarray(half_axes_m) + np.asarray(centre_m))


def shares(level: int) -> dict[str, Any]:
    """Voxels and faces of an ellipsoid, of triangles and in closed form, one core."""
    shape, formula = MeshShape(surface=ellipsoid(HALF_AXES_M, level)), Ellipsoid(semi_axes_m=HALF_AXES_M)
    whole = Solid(name="", regions=(Region(shape=formula, tissue=0, within=None),), tissue_names=("muscle",))
    nodes = [grid_around(whole, VOXEL_M).nodes_m(axis) for axis in range(3)]

    def of(one: Shape) -> list[np.ndarray]:
        return [one.cell_volume_m3(nodes), *(one.face_area_m2(axis, nodes) for axis in range(3))]

    missed = np.abs(of(shape)[0] - of(formula)[0]).max() / VOXEL_M**3
    closed = least(lambda: of(formula), repeats=3)
    return row(
        least(lambda: of(shape), repeats=3),
        triangles=len(shape.surface.triangles),
        voxels=int(np.prod([len(along) - 1 for along in nodes])),
        closed_process_s=closed.process_s,
        missed=float(missed),
    )


def whole_body(level: int, organs: int) -> dict[str, Any]:
    """Skin, fat, muscle and organs of triangles: layers, all shares, and the depth of every voxel."""
    surface = ellipsoid(HALF_AXES_M, level)
    names = ("skin", "fat", "muscle", *(f"organ {number}" for number in range(organs)))

    def layered() -> Solid:
        return layered_surface(surface, tissue_names=names[:3], thicknesses_m=(1.5e-3, 12e-3))

    rng = np.random.default_rng(1)
    inside = [
        MeshShape(surface=ellipsoid(rng.uniform(0.02, 0.08, 3), level - 2, rng.uniform(-0.1, 0.1, 3) * [1, 0.5, 3]))
        for _ in range(organs)
    ]
    regions = (Region(shape=shape, tissue=3 + number, within=2) for number, shape in enumerate(inside))
    solid = Solid(name="adult", regions=(*layered().regions, *regions), tissue_names=names)
    tissues = tuple(Tissue(name=name, eps_r=50, sigma_s_per_m=0.5, note="benchmark") for name in names)

    def on_grid() -> Any:
        return voxelise(solid, spacing_m=VOXEL_M, tissues=tissues, frequency_hz=127.74e6)

    body = on_grid()
    grid: VoxelGrid = body.grid
    return row(
        least(on_grid, repeats=2),
        triangles=len(surface.triangles),
        organs=organs,
        voxels=int(np.prod(grid.shape)),
        layers_process_s=least(layered, repeats=2).process_s,
        depth_process_s=least(body.depth_m, repeats=2).process_s,
    )


def full() -> dict[str, Any]:
    """All cases that the page tells."""
    return {
        "machine": machine(),
        "shares": [shares(level) for level in (4, 5, 6)],
        "whole_body": [whole_body(level, 15) for level in (5, 6)],
    }


def quick() -> dict[str, Any]:
    """Small cases only, to see that all of it runs."""
    return {"machine": machine(), "shares": [shares(3)], "whole_body": [whole_body(3, 2)]}


def main() -> None:
    """Measure and write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, help="file of figures to write")
    parser.add_argument("--quick", action="store_true", help="small cases only, to see that all of it runs")
    asked = parser.parse_args()
    found = quick() if asked.quick else full()
    print(json.dumps(found, indent=2))
    if asked.out is not None:
        asked.out.write_text(json.dumps(found, indent=2) + "\n", "utf-8")


if __name__ == "__main__":
    main()
