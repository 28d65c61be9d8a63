"""Made-up wired elements as they are built and as they are worn: what dossier and formats need of the two."""

from functools import cache

import numpy as np

from brief.base_brief import brief_with
from circuits.made_array import dressed, network_of
from circuits.ring_model import rings
from loopwright.circuits import BuiltSpread, worn_family
from loopwright.circuits.spread.built import BUILT_LIMITS, PlacementCheck, requested_causes
from loopwright.circuits.spread.tolerance import Limits, tolerance_study
from loopwright.ground.progress import Silent
from wired_rings import TRAPS, wired

CAUSES = [
    {"name": "one sheet", "kind": "capacitors", "spread": "3 %", "shared_by": "array"},
    {"name": "coils", "parts": "L series", "spread": "1 %"},
]


@cache
def built(elements=3):
    """Four hundred arrays; the figures of misplaced ones are invented."""
    outcome, limits = wired(elements=elements), Limits(noise_loss_db=0.2)
    asked = {"draws": "400", "own_tolerances": "left out", "parts": CAUSES}
    request = brief_with(circuit={"wiring": TRAPS}, tolerances=asked).tolerances
    causes, _ = requested_causes(request, outcome.request, outcome.circuits, cut_to=outcome.bought.cut_to)
    study = tolerance_study(
        outcome.ports, outcome.circuits, causes, limits=limits, step_hz=1.5e6, count=400, seed=1, progress=Silent()
    )
    told_db = np.linspace(0.1, 0.3, elements)
    solved_db = told_db.copy()
    solved_db[1] += 0.05
    check = PlacementCheck(error=np.array([0.02, 0.11]), told_db=told_db[None], solved_db=solved_db[None])
    return BuiltSpread(request=request, limits=limits, study=study, placement=check, notes=BUILT_LIMITS)


@cache
def worn(robust="yes", *, elements=3):
    """Light, heavy and lonely."""
    asked = {"loads": ["0.4", "2.5"], "neighbours": "away too", "robust": robust}
    family = brief_with(circuit={"wiring": TRAPS}, family=asked).family
    network = network_of(rings(elements=elements, gaps=4, nodes=8, coupling=0.05))
    outcome = wired(elements=elements)
    return worn_family(family, outcome, dressed=dressed(elements, 4), network=network, progress=Silent())
