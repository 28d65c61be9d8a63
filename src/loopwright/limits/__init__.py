"""What must not be passed, by which edition of which rule, and how far away it is."""

from loopwright.limits.assessing import assess, margin_of, worst_of
from loopwright.limits.cautions import CAUTIONS, Caution
from loopwright.limits.limit import Assessment, Limit, LimitKind, Verdict
from loopwright.limits.limit_set import LimitName, LimitSet, edited, packaged_limits
from loopwright.limits.ranking import FaultRow, RankedFault, ranked
from loopwright.limits.spacing import Spacing, assess_spacing, least_spacing

__all__ = [
    "CAUTIONS",
    "Assessment",
    "Caution",
    "FaultRow",
    "Limit",
    "LimitKind",
    "LimitName",
    "LimitSet",
    "RankedFault",
    "Spacing",
    "Verdict",
    "assess",
    "assess_spacing",
    "edited",
    "least_spacing",
    "margin_of",
    "packaged_limits",
    "ranked",
    "worst_of",
]
