"""What must not be passed, by which edition of which rule, and how far away it is."""

from loopwright.limits.assessing import assess, margin_of, worst_of
from loopwright.limits.case_told import CaseTold
from loopwright.limits.cautions import CAUTIONS, Caution
from loopwright.limits.heat_told import HotPlace, SurfaceHeat, WholeCoil
from loopwright.limits.limit import Assessment, Limit, LimitKind, Verdict
from loopwright.limits.limit_set import LimitName, LimitSet, edited, packaged_limits
from loopwright.limits.ranking import FaultRow, RankedFault, ranked
from loopwright.limits.spacing import Spacing, assess_spacing, least_spacing
from loopwright.limits.while_transmitting import BodyAlone, DiodeFollowed, ScalarInBody, WhileTransmitting

__all__ = [
    "CAUTIONS",
    "Assessment",
    "BodyAlone",
    "CaseTold",
    "Caution",
    "DiodeFollowed",
    "FaultRow",
    "HotPlace",
    "Limit",
    "LimitKind",
    "LimitName",
    "LimitSet",
    "RankedFault",
    "ScalarInBody",
    "Spacing",
    "SurfaceHeat",
    "Verdict",
    "WhileTransmitting",
    "WholeCoil",
    "assess",
    "assess_spacing",
    "edited",
    "least_spacing",
    "margin_of",
    "packaged_limits",
    "ranked",
    "worst_of",
]
