"""Three rings with traps beside a made-up body, in a made-up field: all that cases are answered from."""

from functools import cache

import numpy as np

from circuits.made_array import network_of
from circuits.ring_model import rings
from loopwright.circuits.faults.listing import fault_cases, normal_cases
from loopwright.transmit.driven_array import driven_array
from loopwright.transmit.exposure import Exposure
from wired_rings import TRAPS, emf_v, wired

EXPOSURE = Exposure(peak_b1_plus_t=20e-6, rms_b1_plus_t=3.2e-6, duration_s=900.0)
NAMES = ("E01", "E02", "E03")
NODES = 8


@cache
def driven(wiring=TRAPS, *, elements=3, gaps=4, **keys):
    """5 V at every open gap at 20 uT, a twentieth of a turn later from element to element."""
    outcome = wired(wiring, elements=elements, gaps=gaps, **keys)
    network = network_of(rings(elements=elements, gaps=gaps, nodes=NODES, coupling=0.05))
    angle = 2 * np.pi * np.arange(NODES) / NODES
    ring_m = 0.04 * np.stack([np.cos(angle), np.sin(angle), 0 * angle], axis=-1)
    return driven_array(
        network,
        np.concatenate([ring_m + np.array([0.1 * e, 0, 0]) for e in range(elements)]),
        names=NAMES[:elements],
        ports=outcome.ports,
        circuits=outcome.circuits,
        open_v_per_t=emf_v(elements, gaps) / 20e-6,
    )


@cache
def cases(wiring=TRAPS, **keys):
    circuits = driven(wiring, **keys).circuits
    return (*normal_cases(circuits), *fault_cases(circuits, names=NAMES[: len(circuits)]))


def case_named(text, wiring=TRAPS, **keys):
    """Return the first case whose name holds the text."""
    return next(case for case in cases(wiring, **keys) if text in case.name)
