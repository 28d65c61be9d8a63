"""Made-up elements wired as a brief asks: what the stages after the fields need of them, in a tenth of a second."""

from functools import cache

import numpy as np

from brief.base_brief import brief_with
from circuits.made_array import WARM, dressed, network_of, reply_of
from circuits.ring_model import rings
from loopwright.circuits import tune, wire_up
from loopwright.circuits.under_field.array_under_field import array_under_field
from loopwright.ground.progress import Silent

TRAPS = "capacitive match with traps"
OWN = {
    "wiring": "own",
    "receiver": ["feed", "return 1"],
    "parts": [
        {"name": "C1", "part": "capacitor", "between": ["gap 1", "return 1"], "value": "free", "rating": "500 V"},
        {"name": "lead", "part": "choke", "between": ["gap 1", "feed"], "value": "free", "start": "15 nH"},
        {"name": "C2", "part": "capacitor", "between": ["gap 2", "return 2"], "value": "free", "tolerance": "1 %"},
        {"name": "damp", "part": "resistor", "between": ["gap 2", "return 2"], "value": "4.7 kohm"},
    ],
}


def request_of(wiring, *, gaps, **keys):
    circuit = OWN if wiring == "own" else {"wiring": wiring}
    return brief_with(circuit={**circuit, **keys}, array__tiling__gaps=str(gaps)).circuit


@cache
def wired(wiring=TRAPS, *, elements=3, gaps=4, coupling=0.05, **keys):
    """Three rings beside a body; ``keys`` are further keys of the circuit, texts only."""
    network = network_of(rings(elements=elements, gaps=gaps, nodes=8, coupling=coupling))
    reply, conductor = reply_of(network), dressed(elements, gaps)
    tuned = tune(network, reply, dressed=conductor, temperatures=WARM)
    if wiring == "match at the end of a line":
        keys["line"] = {"length": "90 mm"}
    return wire_up(
        request_of(wiring, gaps=gaps, **keys),
        network,
        reply,
        tuned=tuned,
        other_series_resistance_ohm=conductor.other_series_resistance_ohm,
        progress=Silent(),
    )


@cache
def in_field(wiring=TRAPS, *, elements=3, gaps=4, b1_plus_t=20e-6, **keys):
    """The same in a field that induces 5 V at every open gap, by element a twentieth of a turn later each."""
    outcome = wired(wiring, elements=elements, gaps=gaps, **keys)
    return array_under_field(outcome, emf_v=emf_v(elements, gaps), b1_plus_t=b1_plus_t)


def emf_v(elements, gaps):
    return np.repeat(5.0 * np.exp(0.1j * np.pi * np.arange(elements)), gaps)
