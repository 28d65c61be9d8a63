"""Pictures of a study over patients: matrices of gap and SNR, sizes, histograms of gaps."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import Normalize
from numpy.typing import NDArray

from loopwright.cohort import GAP_EDGES_M, Cohort, SizeSet
from loopwright.formats.pictures.cohort_curves import MARKERS, STYLES, g_over_patients, short, snr_over_patients
from loopwright.formats.pictures.style import (
    FAINT,
    FONT_POINTS,
    HATCHES,
    INK,
    LINE_COLOURS,
    WIDTH_IN,
    Picture,
    new_figure,
    plain,
    png,
)

__all__ = ["draw_cohort"]

Real = NDArray[np.float64]

_MOST_WITH_NUMBERS = 24


def draw_cohort(cohort: Cohort) -> tuple[Picture, ...]:
    """Draw every picture that the page names."""
    pictures = [_gap_matrix(cohort), _histograms(cohort)]
    if cohort.by_gap is not None or cohort.by_snr is not None:
        pictures.append(_sizes(cohort))
    if cohort.images_known:
        pictures += [_snr_matrix(cohort), snr_over_patients(cohort)]
        if cohort.accelerations:
            pictures.append(g_over_patients(cohort))
    return tuple(pictures)


def _gap_matrix(cohort: Cohort) -> Picture:
    limit = cohort.request.limits.gap_m
    told = "" if limit is None else f" A ring marks what keeps the limit of {1e3 * limit:g} mm{_and_spans(cohort)}."
    gaps_mm = 1e3 * cohort.gap_percentile_95_m
    kept = np.zeros(gaps_mm.shape, dtype=np.bool_) if limit is None else _kept(cohort, limit)
    return _matrix(
        cohort, gaps_mm, kept, name="gap_matrix", label="gap, 95th percentile [mm]", largest=_top(gaps_mm), decimals=1,
        caption="Gap beyond the stand-off of every array on every patient; crossed out where an array does not go on."
        f"{told}",
    )  # fmt: skip


def _snr_matrix(cohort: Cohort) -> Picture:
    loss = cohort.request.limits.snr_loss
    told = "" if loss is None else f" A ring marks what loses no more than {100 * loss:g} %."
    kept = np.zeros(cohort.snr_ratio.shape, dtype=np.bool_) if loss is None else cohort.snr_ratio >= 1 - loss
    return _matrix(
        cohort, cohort.snr_ratio, kept, name="snr_matrix", largest=1.0, decimals=2,
        label=f"outer {cohort.quantity} over the best [1]",
        caption=f"Median {cohort.quantity} of the outer layer, over that of the best array on the same patient.{told}",
    )  # fmt: skip


def _and_spans(cohort: Cohort) -> str:
    least = cohort.request.limits.spanned_share
    return "" if least is None else f" and spans {100 * least:g} % of the circumference"


def _kept(cohort: Cohort, limit_m: float) -> NDArray[np.bool_]:
    """Which arrays keep a gap, and span as much as is asked, on which patients (arrays, patients)."""
    least = cohort.request.limits.spanned_share or 0.0
    return np.asarray((cohort.gap_percentile_95_m <= limit_m) & (cohort.spanned_share >= least))


def _top(values: Real) -> float:
    finite = values[np.isfinite(values)]
    return max(float(finite.max(initial=0.0)), 1.0)


def _order(cohort: Cohort) -> NDArray[np.intp]:
    """Patients from the smallest to the largest."""
    return np.argsort(cohort.circumference_m, kind="stable")


def _matrix(
    cohort: Cohort,
    values: Real,
    kept: NDArray[np.bool_],
    *,
    name: str,
    label: str,
    largest: float,
    decimals: int,
    caption: str,
) -> Picture:
    """Arrays down, patients across from the smallest to the largest."""
    order = _order(cohort)
    shown, rings = values[:, order], kept[:, order]
    rows, columns = shown.shape
    height = 1.25 + 0.3 * rows
    figure = new_figure(height_in=height)
    axes = figure.add_axes((0.2, 0.85 / height, 0.68, 0.3 * rows / height))
    image = axes.imshow(shown, cmap="cividis", norm=Normalize(0.0, largest), interpolation="nearest", aspect="auto")
    names = [f"{cohort.patients[n].name}\n{1e3 * cohort.circumference_m[n]:.0f}" for n in order]
    step = max(1, columns // 16)
    axes.set_xticks(np.arange(0, columns, step), names[::step])
    axes.set_yticks(np.arange(rows), [short(array) for array in cohort.arrays])
    axes.set_xlabel("patient, circumference [mm]")
    plain(axes)
    axes.tick_params(length=0)
    for spine in axes.spines.values():
        spine.set_visible(False)
    for row, column in np.ndindex(shown.shape):
        _mark(axes, (row, column), shown, ringed=rings, largest=largest, decimals=decimals)
    bar = figure.colorbar(image, cax=figure.add_axes((0.9, 0.85 / height, 0.13 / WIDTH_IN, 0.3 * rows / height)))
    bar.set_label(label, fontsize=FONT_POINTS - 1, color=INK)
    bar.ax.tick_params(labelsize=FONT_POINTS - 1, colors=INK, width=0.6, length=2.5)
    bar.outline.set_visible(False)
    return Picture(name=name, caption=caption, png=png(figure))


def _mark(
    axes: Axes, at: tuple[int, int], shown: Real, *, ringed: NDArray[np.bool_], largest: float, decimals: int
) -> None:
    """Number, cross and ring of one entry of a matrix."""
    row, column = at
    value = shown[at]
    if not np.isfinite(value):
        axes.plot(column, row, marker="x", color=FAINT, markersize=6)
        return
    colour = "white" if value < 0.5 * largest else "black"
    if shown.shape[1] <= _MOST_WITH_NUMBERS:
        axes.text(
            column, row, f"{value:.{decimals}f}", ha="center", va="center", fontsize=FONT_POINTS - 2, color=colour
        )
    if ringed[at]:
        axes.plot(column, row, marker="o", markersize=16, markerfacecolor="none", markeredgecolor=colour,
                  markeredgewidth=0.9)  # fmt: skip


def _sizes(cohort: Cohort) -> Picture:
    """One line for each smallest set: the circumferences that each of its arrays serves."""
    sets = [(f"gap ≤ {1e3 * found.limit:g} mm", found) for found in (cohort.by_gap,) if found is not None]
    sets += [
        (f"{cohort.quantity} loss ≤ {100 * found.limit:g} %", found) for found in (cohort.by_snr,) if found is not None
    ]
    lines = sum(max(1, len(found.arrays)) for _, found in sets)
    height = 0.85 + 0.3 * lines
    figure = new_figure(height_in=height)
    figure.subplots_adjust(left=0.32, right=0.98, top=1 - 0.12 / height, bottom=0.45 / height)
    axes = figure.add_subplot()
    labels: list[str] = []
    for which, (told, found) in enumerate(sets):
        for array in found.arrays or (None,):
            labels.append(f"{told}: {short(cohort.arrays[array]) if array is not None else 'none'}")
            if array is not None:
                _band(axes, len(labels) - 1, array, found, cohort, which)
    axes.plot(1e3 * cohort.circumference_m, np.full(len(cohort.patients), -0.6), linestyle="", marker="|", color=INK)
    axes.set_yticks(np.arange(len(labels)), labels)
    axes.set_ylim(len(labels) - 0.4, -0.8)
    axes.use_sticky_edges = False
    axes.margins(x=0.03)
    axes.set_xlabel("circumference of the patients [mm]")
    axes.grid(visible=True, axis="x", color="#e6e6e6", linewidth=0.6)
    axes.set_axisbelow(True)
    plain(axes)
    axes.tick_params(axis="y", length=0)
    return Picture(
        name="sizes",
        caption="The smallest set of sizes for each limit: dots are patients whom an array serves, the bar is its "
        "band. Strokes on top: all patients.",
        png=png(figure),
    )


def _band(axes: Axes, line: int, array: int, found: SizeSet, cohort: Cohort, which: int) -> None:
    """Dots for the patients that an array of a set serves, and a bar over its band."""
    misfit = cohort.gap_percentile_95_m if found is cohort.by_gap else 1 - cohort.snr_ratio
    served = np.nan_to_num(misfit[array], nan=np.inf) <= found.limit
    if found is cohort.by_gap:
        served = _kept(cohort, found.limit)[array]
    girth_mm = 1e3 * cohort.circumference_m
    axes.plot(girth_mm[served], np.full(int(served.sum()), line), linestyle="", marker=MARKERS[which],
              color=LINE_COLOURS[which], markersize=5, zorder=3)  # fmt: skip
    band = next((one for one in found.bands or () if one.array == array), None)
    if band is not None:
        ends = girth_mm[list(band.patients)]
        pad = 0.004 * max(float(np.ptp(girth_mm)), 1.0)
        axes.barh(line, float(np.ptp(ends)) + 2 * pad, left=ends.min() - pad, height=0.5, color=LINE_COLOURS[which],
                  alpha=0.3, hatch=HATCHES[which], edgecolor="white", linewidth=0.5)  # fmt: skip


def _histograms(cohort: Cohort) -> Picture:
    """How the gaps of every array are spread, over the patients of its band, or of all where there are no bands."""
    found = cohort.by_gap
    bands = {} if found is None or not found.bands else {band.array: band.patients for band in found.bands}
    chosen = list(bands) or [n for n in range(len(cohort.arrays)) if _stiff(n, cohort)] or [0]
    everybody = tuple(range(len(cohort.patients)))
    figure = new_figure(height_in=2.7)
    figure.subplots_adjust(left=0.085, right=0.985, top=0.95, bottom=0.17)
    axes = figure.add_subplot()
    reach_mm = 2.0
    for number, array in enumerate(chosen[: len(LINE_COLOURS)]):
        worn = [one for one in (cohort.figures(array, n) for n in bands.get(array, everybody)) if one is not None]
        if not worn:
            continue
        shares = np.mean([one.fit.gap_shares for one in worn], axis=0)
        reach_mm = max(reach_mm, 1e3 * max(one.fit.gap_largest_m for one in worn))
        label = f"{short(cohort.arrays[array])} (patients: {len(worn)})"
        axes.stairs(100 * shares[:-1], 1e3 * GAP_EDGES_M[:-1], color=LINE_COLOURS[number], linewidth=1.4,
                    linestyle=STYLES[number % 4], label=label)  # fmt: skip
    axes.set_xlim(0, min(1.05 * reach_mm, 60))
    axes.set_xlabel("gap beyond the stand-off [mm]")
    axes.set_ylabel("of the conductors' length [%]")
    axes.legend(frameon=False, fontsize=FONT_POINTS - 1, labelcolor=INK)
    plain(axes)
    over = "the patients of its size band" if bands else "all patients on whom it goes"
    return Picture(
        name="gap_histograms",
        caption=f"How the gaps of each array are spread along its conductors, mean over {over}; bins of 1 mm.",
        png=png(figure),
    )


def _stiff(number: int, cohort: Cohort) -> bool:
    """Whether any gap of an array is not zero."""
    return bool(np.nanmax(np.nan_to_num(cohort.gap_percentile_95_m[number])) > 1e-6)
