"""Every benchmark of a processor: one command, four files of figures, from which docs/benchmarks.md is written.

Usage: python benchmarks/all.py [--out benchmarks/results] [--quick]
"""

import argparse
import json
import os
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import bench_circuits
import bench_faults
import bench_surfaces
import numpy as np
import scipy.fft
from gel_ball import gel_ball, loops_m
from help_start import seconds as help_seconds
from measuring import least, machine, row
from scipy.linalg import lu_factor
from threadpoolctl import threadpool_limits

from loopwright.fields.body.array_library import plain_library, processor_library
from loopwright.fields.body.convolution import convolve, reply_multiplier, spectral_kernel
from loopwright.fields.body.excitation import impressed_field_of_loops_v_per_m
from loopwright.fields.body.solver import VolumeProblem, reply_currents, volume_problem
from loopwright.fields.wires.impedance import WireMesh, lossless_impedance_ohm

EXAMPLE = Path(__file__).parents[1] / "examples" / "child-trunk-16.yaml"
JOB = "import sys; from loopwright.cli import main; main(sys.argv[1:])"
# Small enough for 4 mm on two cores within a minute.
BALL_M = 0.1
FREQUENCY_HZ = 127.74e6


def array_of(elements: int) -> WireMesh:
    """Loops of 24 segments round the ball, as perfect wires of 1 mm radius."""
    vertices = np.concatenate(loops_m(elements, radius_m=0.25))
    radii = np.full((elements, elements), 1e-3)
    return WireMesh(
        vertices_m=vertices,
        first_node=np.arange(0, len(vertices) + 1, 24),
        magnetic_radius_m=radii,
        electric_radius_m=radii,
    )


def wires(elements: int) -> dict[str, Any]:
    """Fill of the wire matrix beside its LU, on all cores."""
    mesh = array_of(elements)
    matrix, _ = lossless_impedance_ohm(mesh, FREQUENCY_HZ)
    repeats = 3 if elements > 16 else 7
    fill = least(lambda: lossless_impedance_ohm(mesh, FREQUENCY_HZ), repeats=repeats)
    lu = least(lambda: lu_factor(matrix), repeats=repeats)
    return row(fill, elements=elements, nodes=len(matrix), lu_process_s=lu.process_s, lu_wall_s=lu.wall_s)


def product(voxels: int) -> dict[str, Any]:
    """One product with the body's operator beside the bare transforms of the same padded shape and count, one core."""
    kernel = spectral_kernel((voxels,) * 3, 2.68, 5e-3, processor_library())
    faces = np.ones((1, 3, *kernel.face_shape), dtype=np.complex64)
    padded = np.ones((3, *kernel.padded_shape), dtype=np.complex64)
    ours = least(lambda: convolve(faces, kernel, reply_multiplier), repeats=7)
    bare = least(lambda: scipy.fft.ifftn(scipy.fft.fftn(padded, axes=(1, 2, 3)), axes=(1, 2, 3)), repeats=7)
    return row(ours, voxels=voxels, padded=kernel.padded_shape[0], bare_process_s=bare.process_s)


def solve(voxel_mm: float) -> dict[str, Any]:
    """One loop beside a ball of fixed size, preconditioned and not, to the default residual, one core."""
    faces = gel_ball(voxel_mm * 1e-3, radius_m=BALL_M)
    loop = loops_m(3, radius_m=BALL_M)[1]
    impressed = impressed_field_of_loops_v_per_m(faces, [loop])
    impress = least(lambda: impressed_field_of_loops_v_per_m(faces, [loop]), repeats=3)
    helped = volume_problem(faces)
    plain = plain_library(np, memory_b=1)
    bare = volume_problem(faces, replace(helped.library, nearly_solved=plain.nearly_solved, stop_at=plain.stop_at))

    def solved(problem: VolumeProblem) -> int:
        return reply_currents(problem, impressed, relative_residual=1e-3, on_product=lambda _count: None).steps

    with_it, without = (least(lambda p=problem: solved(p), repeats=2) for problem in (helped, bare))
    return row(
        with_it,
        voxel_mm=voxel_mm,
        faces=len(faces.index),
        products=solved(helped),
        plain_products=solved(bare),
        plain_process_s=without.process_s,
        impressed_process_s=impress.process_s,
    )


def job(arguments: list[str]) -> dict[str, float]:
    """One run of the command line in a process of its own."""
    begun = time.perf_counter()
    command = [sys.executable, "-c", JOB, *arguments]
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)  # noqa: S603 - our own words
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise subprocess.CalledProcessError(child.returncode, command)
    wall_s = time.perf_counter() - begun
    return {"wall_s": wall_s, "process_s": used.ru_utime + used.ru_stime, "peak_mb": used.ru_maxrss / 1024}


def jobs() -> dict[str, Any]:
    """Run the main job into an empty store, then again with all pieces stored."""
    with TemporaryDirectory() as folder:
        arguments = ["run", str(EXAMPLE), "--out", f"{folder}/run", "--store", f"{folder}/store"]
        return {"brief": EXAMPLE.name, "all_computed": job(arguments), "all_stored": job(arguments)}


def measured(*, elements: list[int], voxels: list[int], voxels_mm: list[float]) -> dict[str, Any]:
    """All figures; the jobs first, in processes that have nothing to do with this one's memory."""
    found: dict[str, Any] = {"machine": machine(), "main_job": jobs()}
    print(found, flush=True)
    found["help_wall_s"] = min(help_seconds() for _ in range(5))
    found["wires"] = [wires(count) for count in elements]
    print(found["wires"], flush=True)
    with threadpool_limits(limits=1, user_api="blas"):  # as the job does while it solves the body
        found["products"] = [product(count) for count in voxels]
        print(found["products"], flush=True)
        found["solves"] = [solve(size) for size in voxels_mm]
    print(found["solves"], flush=True)
    return found


def main() -> None:
    """Measure and write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, help="folder that the files of figures are written to")
    parser.add_argument("--quick", action="store_true", help="small cases only, to see that all of it runs")
    asked = parser.parse_args()
    if asked.quick:
        found = {
            "two-cores": measured(elements=[8], voxels=[20], voxels_mm=[10.0]),
            "circuits": bench_circuits.quick(),
            "faults": bench_faults.quick(),
            "surfaces": bench_surfaces.quick(),
        }
    else:
        found = {
            "two-cores": measured(elements=[8, 16, 32, 64], voxels=[20, 40, 62], voxels_mm=[8.0, 6.0, 5.0, 4.0]),
            "circuits": bench_circuits.full(),
            "faults": bench_faults.full(),
            "surfaces": bench_surfaces.full(),
        }
    if asked.out is not None:
        for name, figures in found.items():
            (asked.out / f"{name}.json").write_text(json.dumps(figures, indent=2) + "\n", "utf-8")


if __name__ == "__main__":
    main()
