"""Limits and rows for tests."""

from loopwright.ground.sources import Flag, Source
from loopwright.limits import FaultRow, Limit, LimitKind


def limit(value=10.0, kind=LimitKind.AT_MOST):
    """A limit of some length."""
    source = Source(key="", where="invented", flag=Flag.COMMON_PRACTICE)
    return Limit(
        name="length", quantity="length", kind=kind, value=value, unit="mm", edition="common practice", source=source
    )


def row(name, **values):
    """A case of which little is known."""
    return FaultRow(**{"name": name, "family": "unplugged", "noticed_by": (), "largest_current_a": 0.1} | values)
