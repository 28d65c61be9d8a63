"""Pictures of a comparison: which element size for which depth, and every design over depth."""

from math import ceil
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D

from loopwright.designs import Comparison, SizeRow
from loopwright.dossier import display_unit, label_of, varied_keys
from loopwright.formats.pictures.style import (
    FAINT,
    FONT_POINTS,
    INK,
    LINE_COLOURS,
    Picture,
    log_ticks,
    new_figure,
    plain,
    png,
)

__all__ = ["draw_comparison"]

_STYLES = ("-", "--", ":", "-.")
_MARKERS = ("o", "s", "^", "D", "v", "P", "X")
_MOST_PANELS = 6
_MOST_NAMED = 7
_MOST_GREY = 12


def draw_comparison(comparison: Comparison) -> tuple[Picture, ...]:
    """Draw both pictures."""
    return (_size_picture(comparison), _depth_picture(comparison))


def _size_picture(comparison: Comparison) -> Picture:
    """SNR against element size, one curve per depth, one panel for each set of the other choices."""
    rows = _best_rows(comparison)
    columns = min(3, len(rows))
    lines = ceil(len(rows) / columns)
    height_in = 0.75 + 2.35 * lines
    figure = new_figure(height_in=height_in)
    panels = figure.subplots(lines, columns, sharex=True, sharey=True, squeeze=False)
    figure.subplots_adjust(
        left=0.085, right=0.985, top=1 - 0.62 / height_in, bottom=0.42 / height_in, wspace=0.08, hspace=0.34
    )
    for axes, row in zip(panels.flat, rows, strict=False):
        _size_panel(axes, row, comparison)
    for axes in panels.flat[len(rows) :]:
        axes.set_visible(False)
    for axes in panels[:, 0]:
        axes.set_ylabel(_value(comparison, "median of the region"))
    for number, axes in enumerate(panels.flat[: len(rows)]):
        if number + columns >= len(rows):
            axes.set_xlabel("element size [mm]")
            axes.tick_params(labelbottom=True)
    figure.legend(handles=_depth_keys(comparison), loc="upper center", ncols=len(comparison.depths) + 1, frameon=False,
                  fontsize=FONT_POINTS - 1, labelcolor=INK, handlelength=3)  # fmt: skip
    left_out = len(comparison.rows) - len(rows)
    more = f" The {left_out} sets of other choices with less at every depth are left out." if left_out else ""
    return Picture(
        name="size_for_depth",
        caption=f"Which element size for which depth: {comparison.quantity} of the optimum combination, median over "
        "the points of the imaging region at each depth below the skin. Bars: change between the two grids. Large "
        f"ringed mark: the best of all designs at that depth.{more}",
        png=png(figure),
    )


def _best_rows(comparison: Comparison) -> tuple[SizeRow, ...]:
    """Panels worth drawing: those with the most at any depth, in the order of the brief."""
    merit = [
        max(float(verdict.ratio[index]) for verdict in comparison.depths for index in row.designs)
        for row in comparison.rows
    ]
    chosen = sorted(np.argsort(merit, kind="stable")[::-1][:_MOST_PANELS])
    return tuple(comparison.rows[number] for number in chosen)


def _size_panel(axes: Axes, row: SizeRow, comparison: Comparison) -> None:
    for number, verdict in enumerate(comparison.depths):
        fine = np.array([comparison.results[index].figures.depths[number].median for index in row.designs])
        coarse = np.array([comparison.results[index].coarse_median[number] for index in row.designs])
        axes.errorbar(1e3 * row.sizes_m, fine, yerr=np.abs(fine - coarse), markersize=4, linewidth=1.2, elinewidth=0.8,
                      capsize=2, **_curve(number))  # fmt: skip
        if verdict.best in row.designs:
            at = row.designs.index(verdict.best)
            axes.plot(1e3 * row.sizes_m[at], fine[at], marker="o", markersize=11, markerfacecolor="none",
                      markeredgecolor=INK, markeredgewidth=1.0)  # fmt: skip
    axes.set_yscale("log")
    log_ticks(axes.yaxis)
    axes.margins(x=0.08)
    axes.grid(visible=True, which="major", color="#e6e6e6", linewidth=0.6)
    axes.set_axisbelow(True)
    varied = varied_keys(comparison)
    told = [f"{key.replace('_', '-')} {text}" for key, text in reversed(row.others) if key in varied]
    axes.set_title("\n".join(told), loc="left", fontsize=FONT_POINTS, color=INK)
    plain(axes)


def _depth_keys(comparison: Comparison) -> list[Line2D]:
    keys = [Line2D([], [], markersize=4, linewidth=1.2, label=f"{1e3 * verdict.depth_m:g} mm deep", **_curve(n))
            for n, verdict in enumerate(comparison.depths)]  # fmt: skip
    best = Line2D([], [], linestyle="", marker="o", markersize=9, markerfacecolor="none", markeredgecolor=INK,
                  label="best of all")  # fmt: skip
    return [*keys, best]


def _curve(number: int) -> dict[str, Any]:
    """Colour, dashes and mark of one depth, so that no two can be taken for each other in grey."""
    return {
        "color": LINE_COLOURS[number % len(LINE_COLOURS)],
        "linestyle": _STYLES[number % len(_STYLES)],
        "marker": _MARKERS[number % len(_MARKERS)],
    }


def _depth_picture(comparison: Comparison) -> Picture:
    """SNR of every design over the best one's at that depth, and the best one's itself."""
    figure = new_figure(height_in=3.4)
    figure.subplots_adjust(left=0.085, right=0.985, top=0.97, bottom=0.135, wspace=0.24)
    left, right = figure.subplots(1, 2, width_ratios=(1, 1))
    depth_mm = 1e3 * comparison.profile_depth_m
    profiles = np.array([result.figures.profile for result in comparison.results])
    best = profiles.max(axis=0)
    named = _named(comparison)
    for index, profile in enumerate(profiles):
        rank = named.index(index) if index in named else None
        style = (
            {"color": FAINT, "linewidth": 0.5, "zorder": 1}
            if rank is None
            else {"color": LINE_COLOURS[rank], "linestyle": _STYLES[rank % len(_STYLES)], "linewidth": 1.4, "zorder": 2}
        )
        label = None if rank is None else _short(label_of(index, comparison))
        left.plot(depth_mm, profile, label=label, **style)
        right.plot(depth_mm, 100 * profile / best, **style)
    left.set_yscale("log")
    log_ticks(left.yaxis)
    left.set_ylabel(_value(comparison, "median of the region"))
    right.set_ylabel("of the best design at that depth [%]")
    right.set_ylim(0, 104)
    for axes in (left, right):
        axes.set_xlabel("depth below the skin [mm]")
        axes.grid(visible=True, which="major", color="#e6e6e6", linewidth=0.6)
        axes.set_axisbelow(True)
        for verdict in comparison.depths:
            axes.axvline(1e3 * verdict.depth_m, color=FAINT, linewidth=0.7, linestyle=":")
        plain(axes)
    _name_designs(left, right, named)
    others = [result.name for index, result in enumerate(comparison.results) if index not in named]
    more = f" and {len(others) - _MOST_GREY} more" if len(others) > _MOST_GREY else ""
    grey = f" In grey: {', '.join(others[:_MOST_GREY])}{more}." if others else ""
    return Picture(
        name="designs_over_depth",
        caption=f"{comparison.quantity} against depth, median over the points of the region at that depth. Named: the "
        f"best at each depth asked for (dotted), then those that come closest.{grey}",
        png=png(figure),
    )


def _name_designs(left: Axes, right: Axes, named: tuple[int, ...]) -> None:
    """Put the names beside the ratios, where there is room, in the order of merit."""
    keys, labels = left.get_legend_handles_labels()
    order = np.argsort(np.argsort(named))  # lines were drawn in the order of the designs
    right.legend([keys[n] for n in order], [labels[n] for n in order], frameon=True, framealpha=0.85, edgecolor="none",
                 fontsize=FONT_POINTS - 1.5, labelcolor=INK, handlelength=3, loc="lower right")  # fmt: skip


def _named(comparison: Comparison) -> tuple[int, ...]:
    """Designs that get a colour: the best at each depth, then those whose worst depth is least bad."""
    best = [verdict.best for verdict in comparison.depths]
    steadiness = np.min([verdict.ratio for verdict in comparison.depths], axis=0)
    return tuple(dict.fromkeys([*best, *(int(index) for index in np.argsort(-steadiness))]))[:_MOST_NAMED]


def _short(label: str) -> str:
    return label if len(label) <= 48 else f"{label[:47]}…"


def _value(comparison: Comparison, which: str) -> str:
    symbol = display_unit(comparison.unit).symbol
    return f"{comparison.quantity}, {which}" + (f" [{symbol}]" if symbol else "")
