"""Which designs another one beats: in nothing worse, and in something better by more than that is known."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.designs.figures import DesignFigures

__all__ = ["SPREAD", "Beating", "beating"]

Real = NDArray[np.float64]

#: Gain that counts where no second grid tells how well a figure is known, and difference of masses that does not:
#: two coils built from one drawing differ by about as much (common practice).
SPREAD = 0.05

#: Figures that differ by less are equal but for rounding.
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Beating:
    """Who beats whom.

    Attributes
    ----------
    by : tuple of int or None
        For each design one that beats it: of several the one with the most SNR at the first depth.
    left_out : tuple of str
        Figures that are not known for every design, and so decide nothing.
    """

    by: tuple[int | None, ...]
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Merit:
    """Something that counts.

    ``value`` (designs,): more is better. ``least_gain`` (designs, designs), or one for all: a row's design is better
    than a column's where the ratio of their values exceeds 1 by more. ``slack``: it is no worse down to 1 less this.
    """

    name: str
    value: Real
    least_gain: Real | float
    slack: float = _ROUNDING


def beating(figures: tuple[DesignFigures, ...], coarse_median: tuple[tuple[float, ...], ...]) -> Beating:
    """Find which designs are beaten.

    Parameters
    ----------
    figures : tuple of DesignFigures
        Figures of each design on the finer grid.
    coarse_median : tuple of tuple of float
        For each design its medians at the depths on the coarser grid, in the unit of the figures.

    Notes
    -----
    What counts: the median at each depth, the median there under each acceleration, few elements, little conductor. The
    winner's medians are nowhere lower, it has no more elements, and its conductor is not heavier by more than 5 %. In
    one thing it has to be better by more than that is known: a median by more than the change of the ratio of the two
    designs between the grids; an accelerated median, which one grid tells, and the mass by 5 %; the number of elements
    at all. As only masses have slack, no chain of designs that beat each other closes.
    """
    merits = _merits(figures, np.array(coarse_median))
    known = [merit for merit in merits if np.isfinite(merit.value).all() and np.isfinite(merit.least_gain).all()]
    pairs = (len(figures), len(figures))
    no_worse, better = np.ones(pairs, dtype=np.bool_), np.zeros(pairs, dtype=np.bool_)
    for merit in known:
        own, other = merit.value[:, None], merit.value[None, :]
        no_worse &= own >= other * (1 - merit.slack)
        better |= own > other * (1 + merit.least_gain + _ROUNDING)
    first = np.array([design.depths[0].median for design in figures])
    found: list[int | None] = []
    for beats in (no_worse & better).T:
        winners = np.flatnonzero(beats)
        # The choice among several must not hang on the order of the designs.
        found.append(int(winners[np.argmax(first[winners])]) if winners.size else None)
    return Beating(by=tuple(found), left_out=tuple(merit.name for merit in merits if merit not in known))


def _merits(figures: tuple[DesignFigures, ...], coarse_median: Real) -> list[_Merit]:
    merits = []
    for number, at in enumerate(figures[0].depths):
        depth = f"{1e3 * at.depth_m:g} mm"
        fine, coarse = np.array([design.depths[number].median for design in figures]), coarse_median[:, number]
        change = np.abs(fine[:, None] / fine - coarse[:, None] / coarse)
        merits.append(_Merit(name=f"median at {depth}", value=fine, least_gain=change))
        for which, accelerated in enumerate(figures[0].accelerations):
            left = np.array([design.depths[number].accelerated_median[which] for design in figures])
            name = f"median at {depth}, {accelerated.name}"
            merits.append(_Merit(name=name, value=left, least_gain=SPREAD))
    count = np.array([design.element_count for design in figures])
    mass = [design.conductor_mass_kg for design in figures]
    lightness = np.array([np.nan if own is None else 1 / own for own in mass])
    merits.append(_Merit(name="number of elements", value=1 / count, least_gain=0.0))
    merits.append(_Merit(name="conductor", value=lightness, least_gain=SPREAD, slack=1 - 1 / (1 + SPREAD)))
    return merits
