"""Impressed fields of loops on the faces of the benchmark ball, beside every segment taken exactly, in one run.

Usage: python benchmarks/impressed_fields.py [LOOPS]
"""

import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np
from gel_ball import gel_ball, loops_m

from loopwright.fields.body.excitation import impressed_field_of_loops_v_per_m
from loopwright.fields.body.faces import CurrentFaces
from loopwright.fields.wires import vector_potential_kernel
from loopwright.ground.constants import MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S


def segment_by_segment(faces: CurrentFaces, loops: list[np.ndarray]) -> np.ndarray:
    """Every segment exactly, no averages over near faces."""
    omega = 2 * np.pi * faces.frequency_hz
    centres, families = faces.centres_m(), faces.families()
    field = np.empty((len(loops), len(centres)), dtype=np.complex64)
    for row, loop in enumerate(loops):
        for axis in range(3):
            own = families == axis
            whole = vector_potential_kernel(centres[own], loop, omega / SPEED_OF_LIGHT_M_PER_S)
            field[row, own] = -1j * omega * MU_0_H_PER_M * whole[:, axis]
    return field


def timed(work: Callable[[], np.ndarray]) -> tuple[float, Any]:
    """Best of three, time on the wall, after one run to compile. [s]"""
    work()
    times = []
    for _ in range(3):
        start = time.perf_counter()
        found = work()
        times.append(time.perf_counter() - start)
    return min(times), found


def main() -> None:
    """Measure and print."""
    faces = gel_ball(5e-3)
    loops = loops_m(int(sys.argv[1]) if len(sys.argv) > 1 else 4)
    exact_s, exact = timed(lambda: segment_by_segment(faces, loops))
    fast_s, fast = timed(lambda: impressed_field_of_loops_v_per_m(faces, loops))
    error = np.abs(fast - exact).max() / np.abs(exact).max()
    print(
        f"{len(faces.index)} faces, {len(loops)} loops: {fast_s / len(loops):.3f} s a loop; every segment exactly "
        f"{exact_s / len(loops):.3f} s; ratio {exact_s / fast_s:.1f}; differs by {error:.1e} of the largest"
    )


if __name__ == "__main__":
    main()
