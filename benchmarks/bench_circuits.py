"""Circuits: one state of a large array beside a bare LU of its size, values of sixteen coupled elements, and draws.

Usage: python benchmarks/bench_circuits.py [--out benchmarks/results/circuits.json] [--quick]
"""

import argparse
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from measuring import least, machine, row
from numpy.typing import NDArray
from scipy.linalg import lu_factor
from threadpoolctl import threadpool_limits

from loopwright.circuits import NoiseTemperatures, Resistances
from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.parts import CrossedDiodes, NoiseParameters, PinDiode, Preamplifier
from loopwright.circuits.ready import PartsKit, capacitive_match, trap_across
from loopwright.circuits.spread.sensitivities import sensitivities
from loopwright.circuits.spread.spreads import Cause, ImpedanceSpread, PartSpread, conductor_spread
from loopwright.circuits.spread.tolerance import Limits, tolerance_study
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.values.synthesis import Wanted, synthesise
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.progress import Silent

FREQUENCY_HZ = 123.2e6
GAPS = 4
# Of a loop of 80 mm, with the body: reactance and resistance; coupling to the next in the row falls by half each step.
REACTANCE_OHM, RESISTANCE_OHM, COUPLING = 140.0, 6.0, 0.08
KIT = PartsKit(
    capacitor_q=1500,
    inductor_q=150,
    pin_diode=PinDiode(forward_resistance_ohm=0.35, reverse_resistance_ohm=5e3, reverse_capacitance_f=0.3e-12),
    crossed_diodes=CrossedDiodes(
        conducting_resistance_ohm=0.5, blocking_resistance_ohm=5e3, blocking_capacitance_f=0.3e-12
    ),
    receiver=Preamplifier(input_ohm=2 + 0j, noise=NoiseParameters(least_noise_figure_db=0.5, noise_resistance_ohm=5.0)),
)


def circuit() -> ElementCircuit:
    """Match, two traps, tuning capacitor."""
    traps = tuple(
        trap_across(gap, KIT, capacitance_f=30e-12, inductance_h=55.6e-9, diode=diode)
        for gap, diode in ((2, KIT.crossed_diodes), (3, KIT.pin_diode))
    )
    return capacitive_match(KIT, gap_count=GAPS, match_f=60e-12, tune_f=30e-12, series_h=26e-9, traps=traps)


def row_of_loops(elements: int) -> ArrayPorts:
    """Loops of one current each in a row, resistances between 0.7 and 1.3 of the mean."""
    rng = np.random.default_rng(3)
    apart = np.abs(np.subtract.outer(np.arange(elements), np.arange(elements)))
    share = np.where(apart == 0, 1.0, COUPLING * 0.5 ** (apart - 1.0))
    root = np.sqrt(RESISTANCE_OHM * rng.uniform(0.7, 1.3, elements))
    resistance = np.where(apart == 0, 1.0, 0.3 * 0.5 ** (apart - 1.0)) * np.outer(root, root)
    # A current that differs from gap to gap meets the loop's own capacitance, a few kiloohm.
    ring = -3e3j * (np.eye(GAPS) - np.ones((GAPS, GAPS)) / GAPS)
    frequencies_hz = FREQUENCY_HZ * (1 + 0.04 * np.array([-1, -0.5, 0, 0.5, 1]))

    def ports(f: float) -> NDArray[np.complex128]:
        loops = resistance + 1j * REACTANCE_OHM * share * f / FREQUENCY_HZ
        one_turn = np.ones((GAPS, GAPS)) / GAPS**2
        return np.asarray(np.kron(loops, one_turn) + np.kron(np.eye(elements), ring * FREQUENCY_HZ / f))

    none = np.zeros((elements * GAPS,) * 2, dtype=np.complex128)
    return ArrayPorts(
        frequency_hz=FREQUENCY_HZ,
        frequencies_hz=frequencies_hz,
        impedance_ohm=np.stack([ports(f) for f in frequencies_hz.tolist()]),
        port_element=np.repeat(np.arange(elements), GAPS),
        resistances=Resistances(
            body_ohm=ports(FREQUENCY_HZ).real.astype(complex),
            conductor_ohm=none,
            capacitor_ohm=none,
            other_ohm=none,
            radiation_ohm=none,
        ),
        temperatures=NoiseTemperatures(body_temperature_k=310.0, coil_temperature_k=293.0),
    )


def state(elements: int) -> dict[str, Any]:
    """One state of the array beside the LU of a matrix of its size, one core."""
    ports = row_of_loops(elements)
    z, circuits, states = ports.at_operation_ohm, [circuit()] * elements, [RECEIVING] * elements
    ours = least(lambda: array_state(z, circuits, states, frequency_hz=FREQUENCY_HZ), repeats=30)
    bare = least(lambda: lu_factor(z), repeats=30)
    return row(ours, elements=elements, ports=len(z), lu_process_s=bare.process_s, lu_wall_s=bare.wall_s)


def values(elements: int) -> dict[str, Any]:
    """Three values in each element, all elements together, and what a per cent of every part does; one core."""
    ports, circuits = row_of_loops(elements), [circuit()] * elements
    wanted = Wanted(free=("C match", "C tune 4", "L series"))
    found = synthesise(ports, circuits, wanted, progress=Silent())
    ours = least(lambda: synthesise(ports, circuits, wanted, progress=Silent()), repeats=3)
    slopes = least(lambda: sensitivities(ports, found.circuits, found.wanted_ohm), repeats=3)
    return row(
        ours,
        elements=elements,
        coupling_times_quality=COUPLING * REACTANCE_OHM / RESISTANCE_OHM,
        iterations=found.iterations,
        largest_loss_db=float(np.max(found.noise_figure_loss_db)),
        largest_reactance_ohm=float(np.max(np.abs(found.seen_ohm.imag))),
        least_decoupling_db=float(np.min(found.decoupling_db)),
        sensitivities_process_s=slopes.process_s,
    )


def draws(elements: int, count: int) -> dict[str, Any]:
    """Arrays with every part, every place and every conductor off, each solved at three frequencies."""
    ports = row_of_loops(elements)
    wanted = Wanted(free=("C match", "C tune 4", "L series"))
    circuits = synthesise(ports, [circuit()] * elements, wanted, progress=Silent()).circuits
    names = ("C match", "L series", "C tune 4", "C trap 2", "C trap 3", "L trap 2", "L trap 3")
    causes: tuple[Cause, ...] = (
        *(PartSpread(name=name, parts=(name,), relative=0.02) for name in names),
        ImpedanceSpread(name="placement", change_ohm=_moves_ohm(ports)),
        conductor_spread("conductor", 0.1, np.kron(np.eye(elements), np.ones((GAPS, GAPS))) * 0.02, ports.port_element),
    )

    def study() -> None:
        tolerance_study(
            ports, circuits, causes, limits=Limits(noise_loss_db=0.2), step_hz=2.5e6, count=count, seed=1,
            progress=Silent(),
        )  # fmt: skip

    return row(least(study, repeats=1), elements=elements, draws=count, frequencies=3, causes=len(causes))


def _moves_ohm(ports: ArrayPorts) -> NDArray[np.complex128]:
    """Four moves of every element, each a change of its coupling to all others, at three frequencies."""
    rng = np.random.default_rng(4)
    size = len(ports.port_element)
    moves = np.zeros((3, 4 * ports.element_count, size, size), dtype=np.complex128)
    for move in range(4 * ports.element_count):
        way = 0.02j * rng.standard_normal(size) * (ports.port_element != move // 4)
        moves[:, move, ports.port_element == move // 4] = way
        moves[:, move] += moves[:, move].swapaxes(-1, -2)
    return moves


def measured(
    *, arrays: Sequence[int], synthesised: Sequence[int], studies: Sequence[tuple[int, int]]
) -> dict[str, Any]:
    """Figures of states and values by the number of elements, and of draws by elements and count; one core."""
    with threadpool_limits(limits=1, user_api="blas"):
        return {
            "machine": machine(),
            "states": [state(elements) for elements in arrays],
            "values": [values(elements) for elements in synthesised],
            "draws": [draws(*case) for case in studies],
        }


def full() -> dict[str, Any]:
    """All cases that the page tells."""
    return measured(arrays=(1, 8, 32), synthesised=(4, 16, 32), studies=((16, 10_000),))


def quick() -> dict[str, Any]:
    """Small cases only, to see that all of it runs."""
    return measured(arrays=(4,), synthesised=(4,), studies=((4, 200),))


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
