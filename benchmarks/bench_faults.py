"""Every electrical fault of a large array after the field solution: currents, B1+ in a region, heat, detection.

Rows of B in the region are made up, of the size and type that a body solution gives: what is timed does not depend on
what they hold.

Usage: python benchmarks/bench_faults.py [--out benchmarks/results/faults.json] [--quick]
"""

import argparse
import json
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from bench_circuits import FREQUENCY_HZ, circuit, row_of_loops
from measuring import machine
from numpy.typing import NDArray
from threadpoolctl import threadpool_limits

from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.faults.cases import ArrayCase
from loopwright.circuits.faults.listing import as_case, fault_cases, normal_cases, transmit_conditions
from loopwright.circuits.faults.rules import possible_faults
from loopwright.transmit.answers import answer_case
from loopwright.transmit.batch import port_currents_a_per_t
from loopwright.transmit.detection import detections
from loopwright.transmit.driven_array import DrivenArray
from loopwright.transmit.exposure import Exposure

VOXELS = 20_000
EXPOSURE = Exposure(peak_b1_plus_t=20e-6, rms_b1_plus_t=3.2e-6, duration_s=900.0)
#: Cases whose maps are held at once; 64 maps of 20,000 voxels are 10 MB.
_AT_ONCE = 64
# EMF of a loop of 80 mm that faces the field, and field of its current some centimetres away.
_EMF_V_PER_T, _FIELD_T_PER_A = 4.0e6, 1e-6


def driven(elements: int) -> DrivenArray:
    """Loops in a row in a field that meets each of them at another angle."""
    ports = row_of_loops(elements)
    gaps = len(ports.port_element)
    phase = np.exp(2j * np.pi * ports.port_element / elements)
    return DrivenArray(
        names=tuple(f"E{e + 1:02d}" for e in range(elements)),
        ports=ports,
        circuits=(circuit(),) * elements,
        node_current=np.eye(gaps, dtype=np.complex128),
        node_element=ports.port_element,
        node_length_m=np.full(gaps, 0.06),
        loss_matrix_ohm=np.eye(gaps) * 0.05,
        open_v_per_t=_EMF_V_PER_T * phase / (gaps // elements),
        open_current_a_per_t=np.zeros(gaps, dtype=np.complex128),
    )


def cases_of(array: DrivenArray, faults: int | None) -> tuple[ArrayCase, ...]:
    """Return so many faults of each element while plugged, or all faults and normal conditions for None."""
    if faults is None:
        return (*normal_cases(array.circuits), *fault_cases(array.circuits, names=array.names))
    plugged, _ = transmit_conditions(array.circuits)
    first = [
        ArrayCase(
            name=f"{name}: {one.words}",
            states=tuple(plugged.with_faults(one.fault) if e == element else plugged for e in range(len(array.names))),
            failed=(element,),
            family=plugged.name,
        )
        for element, name in enumerate(array.names)
        for one in possible_faults(array.circuits[element])[:faults]
    ]
    return (as_case(plugged, len(array.names)), *first)


def field_rows(gaps: int) -> NDArray[np.complex64]:
    """B1+ of a current in each gap, voxel by voxel, made up, (P, V). [T/A]"""
    rng = np.random.default_rng(5)
    rows = rng.standard_normal((gaps, VOXELS)) + 1j * rng.standard_normal((gaps, VOXELS))
    return (_FIELD_T_PER_A * rows).astype(np.complex64)


def changes(currents_a_per_t: NDArray[np.complex128], rows: NDArray[np.complex64]) -> NDArray[np.float64]:
    """Mean change of B1+ over the voxels, and that which 1 % of them exceed, (cases, 2)."""
    found = np.empty((len(currents_a_per_t), 2))
    for first in range(0, len(found), _AT_ONCE):
        here = slice(first, first + _AT_ONCE)
        size = np.abs(np.abs(1 + currents_a_per_t[here].astype(np.complex64) @ rows) - 1)
        found[here, 0] = size.mean(axis=1)
        found[here, 1] = np.partition(size, -VOXELS // 100, axis=1)[:, -VOXELS // 100]
    return found


def timed(work: Callable[[], Any]) -> tuple[Any, float]:
    """What the work gives, and how long it took on the wall. [s]"""
    begun = time.perf_counter()
    found = work()
    return found, time.perf_counter() - begun


def study(elements: int, faults: int | None) -> dict[str, Any]:
    """Times of one list of cases, step by step, on the wall."""
    array = driven(elements)
    z, f = array.ports.at_operation_ohm, FREQUENCY_HZ
    cases, list_s = timed(lambda: cases_of(array, faults))
    currents, current_s = timed(
        lambda: port_currents_a_per_t(z, array.circuits, cases, open_v_per_t=array.open_v_per_t, frequency_hz=f)
    )
    rows = field_rows(len(z))
    _, change_s = timed(lambda: changes(currents, rows))
    some = slice(None, None, max(1, len(cases) // 40))
    alone = np.stack([
        gap_currents_a(array_state(z, array.circuits, case.states, frequency_hz=f), array.open_v_per_t)
        for case in cases[some]
    ])  # fmt: skip
    differ = np.abs(currents[some] - alone).max(axis=1) / np.abs(alone).max(axis=1)
    _, answer_s = timed(lambda: [answer_case(array, case, EXPOSURE) for case in cases])
    _, detection_s = timed(
        lambda: detections(
            array.ports, array.circuits, cases, names=array.names, received_open_v_per_t=array.open_v_per_t.conj()
        )
    )
    return {
        "elements": elements,
        "ports": len(z),
        "cases": len(cases),
        "voxels": VOXELS,
        "list_wall_s": list_s,
        "currents_wall_s": current_s,
        "b1_wall_s": change_s,
        "answers_wall_s": answer_s,
        "detection_wall_s": detection_s,
        "largest_difference": float(differ.max()),
    }


def measured(studies: Sequence[tuple[int, int | None]]) -> dict[str, Any]:
    """Times of lists by elements and faults of each; one core, the products of large matrices too."""
    with threadpool_limits(limits=1, user_api="blas"):
        return {"machine": machine(), "studies": [study(*case) for case in studies]}


def full() -> dict[str, Any]:
    """All cases that the page tells."""
    return measured([(32, 20), (32, None)])


def quick() -> dict[str, Any]:
    """Small cases only, to see that all of it runs."""
    return measured([(3, 20)])


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
