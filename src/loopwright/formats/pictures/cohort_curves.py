"""Pictures of a study over patients: SNR and 1/g of every array over age or size."""

from collections.abc import Callable
from math import ceil
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import NullLocator
from numpy.typing import NDArray

from loopwright.cohort import CaseFigures, Cohort
from loopwright.dossier import display_unit
from loopwright.formats.pictures.style import (
    FONT_POINTS,
    INK,
    LINE_COLOURS,
    Picture,
    log_ticks,
    new_figure,
    plain,
    png,
)

__all__ = ["MARKERS", "STYLES", "g_over_patients", "short", "snr_over_patients"]

Real = NDArray[np.float64]

STYLES = ("-", "--", ":", "-.")
#: From conception to birth at term. [a]
_BEFORE_BIRTH = 40 / 52.18
#: Ages that are written at an axis, and room beside the outermost as a part of the axis.
_AGES, _MARGIN = (0.0, 0.5, 1.0, 2.0, 4.0, 7.0, 10.0, 15.0, 20.0, 40.0, 80.0), 0.05
#: Names in one row of a legend.
_IN_A_ROW = 6
MARKERS = ("o", "s", "^", "D", "v", "P", "X")


def snr_over_patients(cohort: Cohort) -> Picture:
    """Draw SNR of the outer layer and of the centre over the patients."""
    symbol = display_unit(cohort.unit).symbol
    per_si = display_unit(cohort.unit).per_si
    unit = f" [{symbol}]" if symbol else ""
    panels = [
        (f"{cohort.quantity}, outer layer{unit}", _of_images("outer_snr_median"), per_si),
        (f"{cohort.quantity}, centre{unit}", _of_images("centre_snr"), per_si),
    ]
    return _over_patients(
        cohort, panels, name="snr_over_patients", scale="log",
        caption=f"{cohort.quantity} of every array over the patients: median of the outer layer, mean at the centre.",
    )  # fmt: skip


def g_over_patients(cohort: Cohort) -> Picture:
    """Draw the mean of 1/g over the patients."""
    panels = [
        (f"1/g, mean, {name} [1]", _of_acceleration(number, "inverse_g_mean"), 1.0)
        for number, name in enumerate(cohort.accelerations[:3])
    ]
    left = len(cohort.accelerations) - len(panels)
    more = f" {left} more are in the table." if left else ""
    return _over_patients(
        cohort, panels, name="g_over_patients", scale="linear",
        caption=f"Mean of 1/g over the region, for every array over the patients.{more}",
    )  # fmt: skip


def _over_patients(
    cohort: Cohort,
    panels: list[tuple[str, Callable[[CaseFigures], float], float]],
    *,
    name: str,
    scale: str,
    caption: str,
) -> Picture:
    """One panel for each figure, one line for each array, over age where all ages are known, else circumference."""
    ages = cohort.ages_years
    across = 1e3 * cohort.circumference_m if ages is None else ages
    label = "circumference [mm]" if ages is None else "age [years]"
    order = np.argsort(across, kind="stable")
    figure = new_figure(height_in=3.1)
    figure.subplots_adjust(left=0.085, right=0.985, top=0.86, bottom=0.145, wspace=0.27)
    for number, (title, value, per_si) in enumerate(panels):
        axes = figure.add_subplot(1, len(panels), number + 1)
        values = per_si * cohort.matrix(value)
        for array, line in enumerate(values):
            known = order[np.isfinite(line[order])]
            axes.plot(across[known], line[known], markersize=4, linewidth=1.2, label=short(cohort.arrays[array]),
                      **_curve(array))  # fmt: skip
        axes.set_yscale(scale)
        if scale == "log":
            log_ticks(axes.yaxis)
        else:
            axes.set_ylim(0, 1.04)
        if ages is not None:
            _since_conception(axes, across)
        axes.set_xlabel(label)
        axes.set_ylabel(title)
        axes.grid(visible=True, which="major", color="#e6e6e6", linewidth=0.6)
        axes.set_axisbelow(True)
        plain(axes)
    handles, labels = figure.axes[0].get_legend_handles_labels()
    columns = ceil(len(labels) / ceil(len(labels) / _IN_A_ROW))
    figure.legend(handles, labels, loc="upper center", ncols=columns, frameon=False, fontsize=FONT_POINTS - 1,
                  labelcolor=INK, handlelength=3)  # fmt: skip
    return Picture(name=name, caption=caption, png=png(figure))


def _since_conception(axes: Axes, ages_years: Real) -> None:
    """Spread ages as growth does: over the logarithm of the time since conception."""
    axes.set_xscale(
        "function", functions=(lambda age: np.log(age + _BEFORE_BIRTH), lambda at: np.exp(at) - _BEFORE_BIRTH)
    )
    low, high = float(ages_years.min()), float(ages_years.max())
    spread = np.log((high + _BEFORE_BIRTH) / (low + _BEFORE_BIRTH)) or 1.0
    factor = float(np.exp(_MARGIN * spread))
    axes.set_xlim((low + _BEFORE_BIRTH) / factor - _BEFORE_BIRTH, (high + _BEFORE_BIRTH) * factor - _BEFORE_BIRTH)
    axes.set_xticks([age for age in _AGES if low - 1e-9 <= age <= high + 1e-9] or [low, high])
    axes.xaxis.set_major_formatter("{x:g}")
    axes.xaxis.set_minor_locator(NullLocator())


def _of_images(field: str) -> Callable[[CaseFigures], float]:
    return lambda found: float("nan") if found.images is None else getattr(found.images, field)


def _of_acceleration(number: int, field: str) -> Callable[[CaseFigures], float]:
    return lambda found: float("nan") if found.images is None else getattr(found.images.accelerations[number], field)


def _curve(number: int) -> dict[str, Any]:
    """Colour, dashes and mark of one array, so that no two can be taken for each other in grey."""
    return {
        "color": LINE_COLOURS[number % len(LINE_COLOURS)],
        "linestyle": STYLES[number % len(STYLES)],
        "marker": MARKERS[number % len(MARKERS)],
    }


def short(label: str) -> str:
    """Return a name as there is room for."""
    return label if len(label) <= 22 else f"{label[:21]}…"
