"""The body's solution on a device: products beside the bare transforms, whole solves, agreement with the processor.

Thirty-two loops round a ball of gel (62 voxels of 5 mm along each axis, 128 MHz), solved to 1e-3 and to 1e-4.
Seconds are process time on the processor, for two loops there, and time on the wall on the GPU.
Usage: python benchmarks/body_device.py {cpu,gpu} [FILE.json]
"""

import json
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import scipy.fft
from gel_ball import gel_ball, loops_m

from loopwright.fields.body.array_library import array_library, processor_library, to_host
from loopwright.fields.body.convolution import convolve, reply_multiplier, spectral_kernel
from loopwright.fields.body.excitation import impressed_field_of_loops_v_per_m
from loopwright.fields.body.solver import reply_currents, reply_magnetic_field_t, volume_problem
from loopwright.ground.device import Device

VOXEL_M = 0.005
LOOPS = 32

# A processor is shared with others, a GPU answers only to the clock on the wall.
clock = time.process_time if sys.argv[1:2] == ["cpu"] else time.perf_counter


def median_s(work: Callable[[], object], wait: Callable[[], object], repeats: int) -> float:
    """Median time of a piece of work, started warm. [s]"""
    for _ in range(2):
        work()
    times = []
    for _ in range(repeats):
        wait()
        start = clock()
        work()
        wait()
        times.append(clock() - start)
    return float(np.median(times))


def bare_transforms(library: Any, padded: tuple[int, int, int], rows: int) -> Callable[[], object]:
    """Three components forward and back, every axis padded from the start, by the array library's own best call."""
    field = library.namespace.ones((rows * 3, *padded), dtype=np.complex64)
    if library.namespace is np:
        return lambda: scipy.fft.ifftn(scipy.fft.fftn(field, axes=(1, 2, 3)), axes=(1, 2, 3))
    import cupyx.scipy.fft as planned  # noqa: PLC0415 - only where there is a GPU

    plan = planned.get_fft_plan(field, axes=(1, 2, 3))

    def work() -> None:
        planned.fftn(field, axes=(1, 2, 3), plan=plan, overwrite_x=True)
        planned.ifftn(field, axes=(1, 2, 3), plan=plan, overwrite_x=True)

    return work


def product_row(library: Any, wait: Callable[[], object], voxels: int, rows: int) -> dict[str, Any]:
    """One product per right-hand side beside the bare transforms. [ms]"""
    kernel = spectral_kernel((voxels,) * 3, 2.68, VOXEL_M, library)
    faces = library.namespace.ones((rows, 3, *kernel.face_shape), dtype=np.complex64)
    product = median_s(lambda: convolve(faces, kernel, reply_multiplier), wait, 7) / rows
    bare = median_s(bare_transforms(library, kernel.padded_shape, rows), wait, 7) / rows
    return {
        "voxels": voxels,
        "padded": kernel.padded_shape[0],
        "rows": rows,
        "product_ms": product * 1e3,
        "bare_transforms_ms": bare * 1e3,
        "ratio": product / bare,
    }


def solve_row(problem: Any, impressed: np.ndarray, wait: Callable[[], object], tolerance: float) -> dict[str, Any]:
    """One solve of all loops, warm: the best of three. [s]"""
    times, found = [], None
    for _ in range(3):
        wait()
        start = clock()
        found = reply_currents(problem, impressed, relative_residual=tolerance, on_product=lambda _count: None)
        wait()
        times.append(clock() - start)
    return {
        "loops": len(impressed),
        "unknowns": len(problem.faces.index),
        "relative_residual": tolerance,
        "most_products": found.steps,
        "solve_s": min(times),
        "all_solves_s": times,
        "batch": problem.rows_together,
    }


def agreement(problem: Any, impressed: np.ndarray, tolerance: float) -> dict[str, Any]:
    """Relative difference of two rows' currents and magnetic fields from the processor's."""
    here = volume_problem(problem.faces, processor_library())
    rows = impressed[:2]

    def solved(where: Any) -> Any:
        return reply_currents(where, rows, relative_residual=tolerance, on_product=lambda _count: None).solutions

    there, processor = solved(problem), solved(here)
    fields = [reply_magnetic_field_t(where, processor) for where in (problem, here)]
    return {
        "currents": float(np.linalg.norm(there - processor) / np.linalg.norm(processor)),
        "magnetic_field": float(np.linalg.norm(fields[0] - fields[1]) / np.linalg.norm(fields[1])),
        "relative_residual": tolerance,
    }


def main() -> None:
    """Measure one device and print, or write, what was found."""
    device = Device(sys.argv[1])
    library = array_library(device)
    wait = (lambda: None) if library.namespace is np else library.namespace.cuda.Device().synchronize
    rows = 1 if library.namespace is np else 32
    sizes = (20, 40, 62) if library.namespace is np else (62, 94, 126)
    result: dict[str, Any] = {"device": device.value, "products": []}
    for voxels in sizes:
        result["products"].append(product_row(library, wait, voxels, rows if voxels < 100 else max(rows // 4, 1)))
        print(result["products"][-1], flush=True)
    faces = gel_ball(VOXEL_M)
    start = clock()
    impressed = impressed_field_of_loops_v_per_m(faces, loops_m(LOOPS if rows > 1 else 2))
    result["impressed_fields_s"] = clock() - start
    problem = volume_problem(faces, library)
    result["solves"] = [solve_row(problem, impressed, wait, tolerance) for tolerance in (1e-3, 1e-4)]
    print(result["solves"], flush=True)
    if rows > 1:
        result["agreement"] = [agreement(problem, impressed, tolerance) for tolerance in (1e-4, 1e-5)]
        print(result["agreement"], flush=True)
        start = clock()
        to_host(library.namespace.asarray(reply_magnetic_field_t(problem, impressed)))
        result["magnetic_fields_s"] = clock() - start
        result["card"] = library.namespace.cuda.runtime.getDeviceProperties(0)["name"].decode()
    text = json.dumps(result, indent=2)
    print(text)
    if len(sys.argv) > 2:
        Path(sys.argv[2]).write_text(text, "utf-8")


if __name__ == "__main__":
    main()
