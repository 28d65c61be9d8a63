"""Limits that take the place of packaged ones, or stand beside them."""

from typing import Literal

from loopwright.brief.records.record import Record

__all__ = ["LimitRequest"]


class LimitRequest(Record):
    """One limit.

    Attributes
    ----------
    name
        Of a packaged limit, which it then replaces, or a new one.
    value, unit
        As the rule prints it; the unit is ``1`` where the value is a pure number.
    edition
        Document and edition, or ``common practice``.
    why
        Why it takes the place of the packaged one, or why it is added.
    quantity, kind
        Of a new limit: of what, and on which side values have to stay. None for a packaged one.
    """

    name: str
    value: float
    unit: str
    edition: str
    why: str
    quantity: str | None = None
    kind: Literal["at most", "at least"] | None = None
