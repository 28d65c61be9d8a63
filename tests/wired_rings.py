"""Made-up elements wired as a brief asks: what the stages after the fields need of them, in a tenth of a second."""

from functools import cache

from brief.base_brief import brief_with
from circuits.made_array import WARM, dressed, network_of, reply_of
from circuits.ring_model import rings
from loopwright.circuits import tune, wire_up
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
