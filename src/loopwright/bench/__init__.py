"""What does the bench say about the design?

From a measured network and the circuits of :mod:`loopwright.circuits` to what differs from the design, how well that is
known, and which part to turn. Files are read in ``formats``.
"""

from loopwright.bench.doubts import doubts_about
from loopwright.bench.fitting import BenchFit, fit
from loopwright.bench.loops import FittedLoops, LoopFigures, fitted_loops
from loopwright.bench.measured import MeasuredNetwork, cautions_of, complaints_about, within
from loopwright.bench.model import BenchModel, Difference, Kind, Priors, bench_model
from loopwright.bench.neighbours import ports_beside_others
from loopwright.bench.turning import Turn, turns, with_load

__all__ = [
    "BenchFit",
    "BenchModel",
    "Difference",
    "FittedLoops",
    "Kind",
    "LoopFigures",
    "MeasuredNetwork",
    "Priors",
    "Turn",
    "bench_model",
    "cautions_of",
    "complaints_about",
    "doubts_about",
    "fit",
    "fitted_loops",
    "ports_beside_others",
    "turns",
    "with_load",
    "within",
]
