"""Pictures of a study over patients: SNR and 1/g of every array over age or size."""

from collections.abc import Callable
from typing import Any

import numpy as np

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

STYLES = ("-", "--", ":", "-.")
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
        axes.set_xlabel(label)
        axes.set_ylabel(title)
        axes.grid(visible=True, which="major", color="#e6e6e6", linewidth=0.6)
        axes.set_axisbelow(True)
        plain(axes)
    handles, labels = figure.axes[0].get_legend_handles_labels()
    figure.legend(handles, labels, loc="upper center", ncols=min(len(labels), 6), frameon=False,
                  fontsize=FONT_POINTS - 1, labelcolor=INK, handlelength=3)  # fmt: skip
    return Picture(name=name, caption=caption, png=png(figure))


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
