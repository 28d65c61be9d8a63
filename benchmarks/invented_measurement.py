"""Make examples/one-element-measured.s1p: what an analyser might have shown of the element of one-element.yaml.

    python benchmarks/invented_measurement.py examples

The element is that of the brief, built of the values that are bought, with a few parts off, more resistance than was
computed, a little line to the plane of calibration, and noise. The same numbers every time.
"""

import sys
from pathlib import Path

import numpy as np

from loopwright import bodies, circuits, fields
from loopwright.bench import Kind, Priors, bench_model
from loopwright.brief import Brief, read_brief
from loopwright.fields.wires.polynomial import interpolate
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent
from loopwright.job import coarse_voxel_m, dressed_array, driven_array, tuned_on
from loopwright.questions import wired_array

#: Factors of the parts that are off, of the loop's inductance and resistance, and the line left over. [m]
PARTS_OFF = {"C match": 1.035, "C tune 4": 0.945, "L series": 1.02}
INDUCTANCE_OFF, RESISTANCE_OFF, LENGTH_M = 1.01, 1.15, 1.5e-3
NOISE = 1e-3
POINTS = 401


def invented(brief: Brief) -> str:
    """Write the file's text."""
    means = Means(progress=Silent(), store=Forgetful())
    body = bodies.place(brief.body, frequency_hz=brief.scanner.frequency_hz)
    coarse_body = bodies.place(brief.body, frequency_hz=body.frequency_hz, voxel_m=coarse_voxel_m(brief))
    dressed = dressed_array(brief, body, coarse_body, means)
    driven = driven_array(brief, dressed, fields.chosen_excitation(brief.computation.excitation, dressed, body))
    reply, array = tuned_on(brief, body, driven, means)
    outcome = wired_array(brief, driven.network, reply, array, means)
    return written(outcome)


def written(outcome: circuits.CircuitOutcome) -> str:
    """Write what the first element with its faults would show."""
    ports, f0 = outcome.ports, outcome.ports.frequency_hz
    at_hz = np.linspace(f0 - 5e6, f0 + 5e6, POINTS)
    model = bench_model(
        frequencies_hz=at_hz,
        frequency_hz=f0,
        port_ohm=interpolate(ports.frequencies_hz, ports.impedance_ohm, at_hz),
        operation_ohm=ports.at_operation_ohm,
        port_element=ports.port_element,
        circuits=outcome.bought.circuits,
        priors=Priors(),
        reference_ohm=50.0,
    )
    factors = {Kind.INDUCTANCE: INDUCTANCE_OFF, Kind.RESISTANCE: RESISTANCE_OFF}
    off = [
        LENGTH_M / one.width
        if one.kind is Kind.LENGTH
        else np.log(PARTS_OFF.get(one.part, factors.get(one.kind, 1.0))) / one.width
        for one in model.differences
    ]
    seen = model.scattering_with(np.array(off))[:, 0, 0]
    rng = np.random.default_rng(34)
    seen = seen + NOISE * (rng.standard_normal(POINTS) + 1j * rng.standard_normal(POINTS))
    rows = [f"{f / 1e6:.4f} {s.real:.5f} {s.imag:.5f}" for f, s in zip(at_hz, seen, strict=True)]
    return "\n".join([*HEADER, "# MHz S RI R 50", *rows]) + "\n"


HEADER = (
    "! INVENTED: no coil was measured. Made by benchmarks/invented_measurement.py from examples/one-element.yaml,",
    "! bought values, C match 3.5 % high, C tune 4 5.5 % low, L series 2 % high; loop of 1 % more inductance and 15 %",
    "! more resistance; 1.5 mm of line to the plane of calibration; noise of 0.001.",
)

if __name__ == "__main__":
    folder = Path(sys.argv[1])
    text = (folder / "one-element.yaml").read_text("utf-8")
    (folder / "one-element-measured.s1p").write_text(invented(read_brief(text, "one-element.yaml")), "utf-8")
