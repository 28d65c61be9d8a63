"""The table of faults, the worst first."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import isnan

from loopwright.limits.assessing import assess, margin_of, not_met_by_estimate
from loopwright.limits.limit import Assessment, Limit, LimitKind
from loopwright.limits.limit_set import LimitName, LimitSet

__all__ = ["FaultRow", "RankedFault", "ranked"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultRow:
    """What one case of the array came to; None, or not a number, stands for what was not computed.

    Attributes
    ----------
    name, family : str
        The case, and the normal condition that it departs from.
    noticed_by : tuple of str
        What would notice it, in words: bias monitor, prescan; empty for nothing.
    largest_current_a : float
        Along any element, at the rms field. [A]
    surface_c, surface_uncertainty_c : float or None
        Hottest surface on the patient, and the half-width of its interval. [degC]
    mean_b1_change_percent : float or None
        Mean of B1+ in the region against no array, with its sign.
    least_local_b1, greatest_local_b1 : float or None
        B1+ over that without the array, in the worst part of the region.
    local_sar_ratio : float or None
        Largest 10 g average over that without the array. No limit is held against it.
    rating_over_stress : float or None
        Least of all parts.
    ratings_exceeded : int
        Parts that bear more than their rating.
    fuse_opens_after_s : float or None
        Time until the first fuse opens; None where none does. [s]
    estimated_because : str
        Why B1+ is an estimate, of which no limit is said to be met; empty where it is none.
    """

    name: str
    family: str
    noticed_by: tuple[str, ...]
    largest_current_a: float
    surface_c: float | None = None
    surface_uncertainty_c: float | None = None
    mean_b1_change_percent: float | None = None
    least_local_b1: float | None = None
    greatest_local_b1: float | None = None
    local_sar_ratio: float | None = None
    rating_over_stress: float | None = None
    ratings_exceeded: int = 0
    fuse_opens_after_s: float | None = None
    estimated_because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedFault:
    """A row in its place.

    Attributes
    ----------
    rank : int
        From 1, the worst.
    row : FaultRow
    assessments : tuple of Assessment
        Surface temperature, mean, least and greatest local B1+, ratings, in this order.
    used : float
        Largest part of an allowance that is used up, 1 at the limit; 0 where nothing was assessed.
    used_of : str
        Name of the limit whose allowance that is; empty where nothing was assessed.
    """

    rank: int
    row: FaultRow
    assessments: tuple[Assessment, ...]
    used: float
    used_of: str


def ranked(rows: Iterable[FaultRow], limits: LimitSet, *, surface_at_rest_c: float) -> tuple[RankedFault, ...]:
    """Put cases in order, the worst first.

    Parameters
    ----------
    rows : iterable of FaultRow
        The cases, each name once.
    limits : LimitSet
        What they are held against.
    surface_at_rest_c : float
        Temperature of the surface on the patient while nothing is dissipated, from which a rise counts. [degC]

    Returns
    -------
    tuple of RankedFault

    Notes
    -----
    The order, each rule among those that are equal by the rules before:

    1. Cases beyond a limit, by how far: the largest part of an allowance that is used. The allowance is the way from
       rest to the limit: of temperature from the surface at rest, of B1+ from no change; of a rating its margin over
       that found. Where a value has an uncertainty, its far end counts.
    2. The least margin of temperature; cases without a temperature after all that have one.
    3. The part of an allowance that is used, within the limits.
    4. Most ratings exceeded.
    5. What nothing notices before what something notices.
    6. The largest current, then the name, so that the order is always the same.
    """
    held = [_held(row, limits, surface_at_rest_c) for row in rows]
    held.sort(key=_order)
    return tuple(
        RankedFault(rank=rank, row=row, assessments=assessments, used=used, used_of=used_of)
        for rank, (row, assessments, used, used_of) in enumerate(held, start=1)
    )


#: Limits of B1+, which fields out of place cannot be said to meet.
_OF_B1 = (LimitName.MEAN_B1, LimitName.LEAST_B1, LimitName.GREATEST_B1)
_Held = tuple[FaultRow, tuple[Assessment, ...], float, str]


def _held(row: FaultRow, limits: LimitSet, surface_at_rest_c: float) -> _Held:
    change = None if row.mean_b1_change_percent is None else abs(row.mean_b1_change_percent)
    against = (
        (LimitName.SURFACE, row.surface_c, row.surface_uncertainty_c, surface_at_rest_c),
        (LimitName.MEAN_B1, change, None, 0.0),
        (LimitName.LEAST_B1, row.least_local_b1, None, 1.0),
        (LimitName.GREATEST_B1, row.greatest_local_b1, None, 1.0),
        (LimitName.RATING, row.rating_over_stress, None, None),
    )
    assessments, parts = [], [(0.0, "")]
    for name, value, uncertainty, rest in against:
        limit = limits.named(name)
        computed = value is not None and not isnan(value)
        why = f"in the case {row.name!r}" if computed else f"not computed in the case {row.name!r}"
        found = assess(limit, value, uncertainty=uncertainty, why=why)
        assessments.append(not_met_by_estimate(found, row.estimated_because if name in _OF_B1 else ""))
        if value is not None and computed:
            parts.append((_used(limit, value, uncertainty or 0.0, rest), limit.name))
    used, used_of = max(parts, key=lambda part: part[0])
    return row, tuple(assessments), used, used_of


def _used(limit: Limit, value: float, uncertainty: float, rest: float | None) -> float:
    """Part of the allowance that is used up at the far end of the interval; infinite where there is no allowance."""
    far = value + uncertainty if limit.kind is LimitKind.AT_MOST else value - uncertainty
    if rest is None:
        return limit.value / far if far > 0 else float("inf")
    way, allowed = (far - rest, limit.value - rest)
    if limit.kind is LimitKind.AT_LEAST:
        way, allowed = -way, -allowed
    if allowed <= 0:
        return float("inf") if way > 0 else 0.0
    return max(way / allowed, 0.0)


def _order(held: _Held) -> tuple[float, float, float, int, bool, float, str]:
    row, assessments, used, _ = held
    margin = margin_of(assessments[0])
    return (
        -max(used, 1.0),
        float("inf") if margin is None else margin,
        -used,
        -row.ratings_exceeded,
        bool(row.noticed_by),
        -row.largest_current_a,
        row.name,
    )
