"""The worst cases while the scanner transmits as bars, and what crossed diodes do to B1+ as the field rises."""

from math import isfinite
from textwrap import fill

import numpy as np
from matplotlib.axes import Axes

from loopwright.dossier.transmit_words import change_percent, heat_was_asked, ranked_cases
from loopwright.formats.pictures.style import (
    FAINT,
    FONT_POINTS,
    HATCHES,
    INK,
    LINE_COLOURS,
    Picture,
    log_ticks,
    new_figure,
    plain,
    png,
)
from loopwright.limits import CaseTold, DiodeFollowed, LimitName, RankedFault, WhileTransmitting

__all__ = ["faults_picture", "onset_picture"]

_SHOWN = 12
_LETTERS = 50
_STYLES = ("-", "--", ":", "-.")
_Ranked = tuple[RankedFault, CaseTold]


def faults_picture(told: WhileTransmitting) -> Picture:
    """Draw the worst cases: surface temperature against its limit where heat was asked for, else current; B1+."""
    shown = ranked_cases(told)[:_SHOWN]
    height_in = 1.0 + 0.31 * len(shown)
    figure = new_figure(height_in=height_in)
    figure.subplots_adjust(left=0.40, right=0.985, top=1 - 0.32 / height_in, bottom=0.45 / height_in, wspace=0.09)
    left, right = figure.subplots(1, 2, sharey=True)
    caption = _surfaces(left, shown, told) if heat_was_asked(told) else _currents(left, shown)
    _changes(right, shown, told)
    left.set_yticks(np.arange(len(shown)), [_label(ranked, case) for ranked, case in shown])
    left.set_ylim(len(shown) - 0.4, -0.6)
    for axes in (left, right):
        axes.grid(visible=True, axis="x", color="#e6e6e6", linewidth=0.6)
        axes.set_axisbelow(True)
        plain(axes)
        axes.tick_params(axis="y", length=0, labelsize=FONT_POINTS - 1.5)
    return Picture(
        name="transmit_faults",
        caption=f"The {len(shown)} worst cases, in their order. {caption} Right: change of B1+ against no array, bar: "
        "mean of the region; line: from what one voxel in a hundred falls short of to what one in a hundred exceeds; "
        "dashed: limits.",
        png=png(figure),
    )


def _label(ranked: RankedFault, case: CaseTold) -> str:
    """Rank and name of a case, on two lines at most."""
    return fill(f"{ranked.rank}  {case.case.name}", _LETTERS, max_lines=2, placeholder=" …")


def _surfaces(axes: Axes, shown: tuple[_Ranked, ...], told: WhileTransmitting) -> str:
    limit, rest_c = told.limit_set.named(LimitName.SURFACE), told.surface_at_rest_c
    for place, (ranked, _) in enumerate(shown):
        if ranked.row.surface_c is None or not isfinite(ranked.row.surface_c):
            axes.text(rest_c, place, " not computed", va="center", fontsize=FONT_POINTS - 1.5, color=FAINT)
            continue
        _bar(axes, place, rest_c, ranked.row.surface_c - rest_c, LINE_COLOURS[0], HATCHES[0])
        known = ranked.row.surface_uncertainty_c
        if known is not None:
            axes.errorbar(ranked.row.surface_c, place, xerr=known, color=INK, capsize=2, linewidth=0.9)
    axes.axvline(limit.value, color=LINE_COLOURS[1], linestyle="--", linewidth=1.2)
    axes.annotate(f"{limit.value:g} °C", (limit.value, 1.0), xycoords=("data", "axes fraction"), xytext=(0, 2),
                  textcoords="offset points", ha="center", fontsize=FONT_POINTS - 1, color=LINE_COLOURS[1])  # fmt: skip
    largest = max((r.row.surface_c + (r.row.surface_uncertainty_c or 0) for r, _ in shown
                   if r.row.surface_c is not None), default=rest_c)  # fmt: skip
    axes.set_xlim(rest_c, max(largest, limit.value) + 0.06 * (max(largest, limit.value) - rest_c))
    axes.set_xlabel("hottest surface on the patient [°C]")
    return (
        f"Left: hottest surface on the patient in the end, from the {rest_c:.1f} °C at rest; whiskers: "
        "half-width; dashed: limit, for adults' skin."
    )


def _currents(axes: Axes, shown: tuple[_Ranked, ...]) -> str:
    for place, (_, case) in enumerate(shown):
        _bar(axes, place, 0.0, case.largest_current_a, LINE_COLOURS[0], HATCHES[0])
    axes.set_xlabel("largest current, peak [A]")
    return "Left: largest current along any conductor; heat was not asked for."


def _changes(axes: Axes, shown: tuple[_Ranked, ...], told: WhileTransmitting) -> None:
    for place, (_, case) in enumerate(shown):
        driven = case.b1.as_driven
        _bar(axes, place, 0.0, change_percent(driven.mean), LINE_COLOURS[2], HATCHES[1])
        low, high = change_percent(driven.lowest_percent), change_percent(driven.highest_percent)
        axes.plot([low, high], [place, place], color=INK, linewidth=0.9, marker="|", markersize=5)
    for name in (LimitName.LEAST_B1, LimitName.GREATEST_B1):
        axes.axvline(change_percent(told.limit_set.named(name).value), color=LINE_COLOURS[1], linestyle="--",
                     linewidth=1.0)  # fmt: skip
    axes.axvline(0.0, color=FAINT, linewidth=0.8)
    axes.set_xlabel("change of B1+ [%]")


def _bar(axes: Axes, place: int, start: float, length: float, colour: str, hatch: str) -> None:
    axes.barh(place, length, left=start, height=0.62, color=colour, hatch=hatch, edgecolor="white", linewidth=0.4)


def onset_picture(told: WhileTransmitting) -> Picture:
    """Draw the change of B1+ below, at and above the onset of crossed diodes, condition by condition."""
    figure = new_figure(height_in=2.8)
    figure.subplots_adjust(left=0.09, right=0.985, top=0.88, bottom=0.17)
    axes = figure.add_subplot()
    peak_ut = 1e6 * told.exposure.peak_b1_plus_t
    acting = [1e6 * one.acts_t for one in told.diodes if isfinite(one.acts_t)]
    first_ut = min([*acting, peak_ut]) / 10
    for number, condition in enumerate(dict.fromkeys(one.condition for one in told.diodes)):
        own = sorted((one for one in told.diodes if one.condition == condition), key=lambda one: one.acts_t)
        field_ut, change = _curve(own, first_ut, peak_ut)
        axes.plot(field_ut, change, color=LINE_COLOURS[number % len(LINE_COLOURS)], marker="os^D"[number % 4],
                  linestyle=_STYLES[number % len(_STYLES)], markersize=3.5, linewidth=1.2, label=condition)  # fmt: skip
    axes.axhline(0.0, color=FAINT, linewidth=0.8)
    axes.set_xscale("log")
    log_ticks(axes.xaxis)
    axes.set_xlabel("peak B1+ of a pulse [µT]")
    axes.set_ylabel("change of mean B1+ [%]")
    axes.grid(visible=True, color="#e6e6e6", linewidth=0.6)
    axes.set_axisbelow(True)
    plain(axes)
    axes.legend(frameon=False, fontsize=FONT_POINTS - 1, loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=2)
    return Picture(
        name="transmit_onset",
        caption="Crossed diodes that follow the field: change of B1+ in the mean of the region against the peak of a "
        "pulse. Marks are computed: for fields too weak for any diode, where each pair begins to act, at the peak of "
        "the sequence; the leftmost mark stands for all weaker fields. Between them lines, no values. Flip "
        "angles of a pulse are off by as much.",
        png=png(figure),
    )


def _curve(own: list[DiodeFollowed], first_ut: float, peak_ut: float) -> tuple[list[float], list[float]]:
    """Fields [µT] and changes [%] of one condition, its pairs in the order in which they act."""
    onsets = [one for one in own if isfinite(one.acts_t)]
    points = [
        (first_ut, own[0].b1_below),
        *((1e6 * one.acts_t, one.b1_at_onset) for one in onsets),
        (peak_ut, own[0].b1_at_peak),
    ]
    return [field for field, _ in points], [change_percent(ratio) for _, ratio in points]
