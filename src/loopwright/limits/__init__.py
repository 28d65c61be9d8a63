"""What must not be passed, by which edition of which rule, and how far away it is."""

from loopwright.limits.limit import Assessment, Limit, LimitKind, Verdict

__all__ = ["Assessment", "Limit", "LimitKind", "Verdict"]
