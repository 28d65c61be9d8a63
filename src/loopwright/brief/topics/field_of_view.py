"""Field of view: it holds the body, for all of the body gives signal."""

from collections.abc import Iterator

from loopwright.brief.forms import Trouble
from loopwright.brief.topics.facts import AXES, Facts
from loopwright.ground.units import engineering_text

__all__ = ["ends_m", "fold_over", "reach_told", "size_m"]


def fold_over(facts: Facts, direction: str, view_m: float) -> Iterator[Trouble]:
    """Refuse a field of view [m] into which the body folds even without acceleration."""
    body_m = size_m(facts, direction)
    if body_m is not None and view_m < body_m * (1 - 1e-9):
        yield Trouble(
            key="field_of_view",
            found=f"{engineering_text(view_m, 'm')} along {direction}",
            allowed=f"at least the body, {engineering_text(body_m, 'm')} along {direction}",
            remedy="write a larger field of view: all of the body gives signal, and would fold over",
        )


def size_m(facts: Facts, direction: str) -> float | None:
    """Size of all of the body along an axis, where it is known. [m]"""
    ends = ends_m(facts, direction)
    return None if ends is None else ends[1] - ends[0]


def ends_m(facts: Facts, axis: str) -> tuple[float, float] | None:
    """Least and greatest coordinate of all of the body along an axis, where it is known. [m]"""
    if facts.box_m is None:
        return None
    lower, upper = facts.box_m
    return lower[AXES.index(axis)], upper[AXES.index(axis)]


def reach_told(ends: tuple[float, float]) -> str:
    """Where a body lies between two coordinates [m], in words."""
    low, high = (engineering_text(end, "m") for end in ends)
    return f"within {high} of 0 mm" if ends[0] == -ends[1] else f"from {low} to {high}"
