"""Which of several designs of an array serves which depth?

From each design's image quality (:mod:`loopwright.imaging`), tuned array (:mod:`loopwright.circuits`) and conductor to
its figures at the depths that are asked for, and from the figures of all designs to the best at each depth, to those
that the grid cannot tell from it, and to those that another design beats in everything. Every design is judged at the
same points of the body, moved to exactly the depth that is named.
"""

from loopwright.designs.beating import SPREAD, Beating, beating
from loopwright.designs.comparing import CLOSE, LEVEL, Comparison, DepthVerdict, DesignResult, compare
from loopwright.designs.conductor_choice import BUDGET_DB, CoilLoss, ConductorChoice, ConductorLine, conductor_choice
from loopwright.designs.cutting import Cuts
from loopwright.designs.depths import JudgedPoints, judged_points, profile_points, sampled_at
from loopwright.designs.draping import DrapedArray, DrapedFilm, draped_array
from loopwright.designs.excitation import CommonExcitation, common_excitation
from loopwright.designs.figures import AcceleratedFigures, DepthFigures, DesignFigures, figures_of
from loopwright.designs.loading import BareLoop, Load, LoadingEquivalence, check_loads, loading_equivalence
from loopwright.designs.mass import conductor_length_m, conductor_mass_kg, conductor_mass_kg_per_m
from loopwright.designs.optimum import optimum_size_m
from loopwright.designs.rigid_rival import choose_conductor
from loopwright.designs.sizes import Optimum, SizeEdge, SizeRow

__all__ = [
    "BUDGET_DB",
    "CLOSE",
    "LEVEL",
    "SPREAD",
    "AcceleratedFigures",
    "BareLoop",
    "Beating",
    "CoilLoss",
    "CommonExcitation",
    "Comparison",
    "ConductorChoice",
    "ConductorLine",
    "Cuts",
    "DepthFigures",
    "DepthVerdict",
    "DesignFigures",
    "DesignResult",
    "DrapedArray",
    "DrapedFilm",
    "JudgedPoints",
    "Load",
    "LoadingEquivalence",
    "Optimum",
    "SizeEdge",
    "SizeRow",
    "beating",
    "check_loads",
    "choose_conductor",
    "common_excitation",
    "compare",
    "conductor_choice",
    "conductor_length_m",
    "conductor_mass_kg",
    "conductor_mass_kg_per_m",
    "draped_array",
    "figures_of",
    "judged_points",
    "loading_equivalence",
    "optimum_size_m",
    "profile_points",
    "sampled_at",
]
