"""A value and its uncertainty held against a limit: met, not met, or not assessed."""

from collections.abc import Iterable
from dataclasses import replace
from math import isfinite, isnan

from loopwright.ground.errors import OutsideModelError
from loopwright.limits.limit import Assessment, Limit, LimitKind, Verdict

__all__ = ["assess", "margin_of", "not_met_by_estimate", "worst_of"]

_INSIDE = "the limit lies inside the uncertainty"
_NO_UNCERTAINTY = "no uncertainty is known"


def assess(limit: Limit, value: float | None, *, uncertainty: float | None, why: str) -> Assessment:
    """Hold a value against a limit.

    Parameters
    ----------
    limit : Limit
        What must not be passed; a value that lies on it keeps it.
    value : float or None
        In the unit of the limit; None, or not a number, where nothing was computed.
    uncertainty : float or None
        Half-width of the interval in which the value lies, in the same unit; None where none is known, and the value
        alone is held against the limit.
    why : str
        Where the value was found, or why there is none.

    Returns
    -------
    Assessment
        Met only where the whole interval keeps the limit, not met only where all of it passes the limit.

    Raises
    ------
    OutsideModelError
        If the uncertainty is negative or not finite.
    """
    if uncertainty is not None and not (isfinite(uncertainty) and uncertainty >= 0):
        raise OutsideModelError(f"uncertainty = {uncertainty:g} must be finite and not negative")
    if value is None or isnan(value):
        return Assessment(limit=limit, value=None, uncertainty=None, verdict=Verdict.NOT_ASSESSED, why=why)
    near, far = (_room(limit, value) - (uncertainty or 0.0), _room(limit, value) + (uncertainty or 0.0))
    verdict = Verdict.MET if near >= 0 else Verdict.NOT_MET if far < 0 else Verdict.NOT_ASSESSED
    said = _INSIDE if verdict is Verdict.NOT_ASSESSED else _NO_UNCERTAINTY if uncertainty is None else ""
    return Assessment(
        limit=limit, value=value, uncertainty=uncertainty, verdict=verdict, why="; ".join(filter(None, (why, said)))
    )


def margin_of(assessment: Assessment) -> float | None:
    """How far the near end of the interval keeps off the limit, in its unit; negative beyond it, None without value."""
    if assessment.value is None:
        return None
    return _room(assessment.limit, assessment.value) - (assessment.uncertainty or 0.0)


def not_met_by_estimate(found: Assessment, because: str) -> Assessment:
    """The same assessment, not assessed where it is met by a value of which something else is not known.

    Parameters
    ----------
    found : Assessment
    because : str
        What is not known; nothing changes where it is empty.
    """
    if not because or found.verdict is not Verdict.MET:
        return found
    return replace(found, verdict=Verdict.NOT_ASSESSED, why=f"{found.why}; {because}")


def worst_of(assessments: Iterable[Assessment]) -> Assessment:
    """The assessment that speaks for several of one limit.

    Parameters
    ----------
    assessments : iterable of Assessment
        Of the same limit, as in several states.

    Returns
    -------
    Assessment
        One that is not met where there is any, else one that is not assessed, else one that is met; among equals that
        with the least margin, one without a value first, then the earliest.

    Raises
    ------
    OutsideModelError
        If there is none, or they are of several limits.
    """
    several = tuple(assessments)
    if len({(one.limit.name, one.limit.value) for one in several}) != 1:
        raise OutsideModelError("assessments of one limit are needed, and at least one of them")
    return min(several, key=_order)


def _order(assessment: Assessment) -> tuple[int, float]:
    margin = margin_of(assessment)
    order = (Verdict.NOT_MET, Verdict.NOT_ASSESSED, Verdict.MET).index(assessment.verdict)
    return order, float("-inf") if margin is None else margin


def _room(limit: Limit, value: float) -> float:
    return limit.value - value if limit.kind is LimitKind.AT_MOST else value - limit.value
