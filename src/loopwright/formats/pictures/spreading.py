"""What spoils arrays that are built, and what one network costs all who wear the array."""

import numpy as np
from matplotlib.axes import Axes

from loopwright.circuits import BuiltSpread, WornFamily
from loopwright.formats.pictures.style import (
    FAINT,
    FONT_POINTS,
    HATCHES,
    INK,
    LINE_COLOURS,
    Picture,
    new_figure,
    plain,
    png,
)

__all__ = ["causes_picture", "worn_picture"]

#: Causes that get a bar; the table has all.
_MOST_BARS = 12


def causes_picture(built: BuiltSpread) -> Picture:
    """Draw what each cause explains of the noise loss and of the place of the best match."""
    shown = built.study.causes[:_MOST_BARS]
    lines = (*shown, built.study.unexplained)
    figure = new_figure(height_in=1.0 + 0.24 * len(lines))
    figure.subplots_adjust(left=0.27, right=0.98, top=1 - 0.32 / figure.get_figheight(),
                           bottom=0.42 / figure.get_figheight())  # fmt: skip
    axes = figure.add_subplot()
    place = np.arange(len(lines))[::-1]
    for number, (label, values) in enumerate(
        (("noise loss", [one.noise_loss for one in lines]), ("place of the best match", [one.shift for one in lines]))
    ):
        axes.barh(place + 0.19 - 0.38 * number, 100 * np.array(values), height=0.36, label=label,
                  color=LINE_COLOURS[number], hatch=HATCHES[number], edgecolor="white", linewidth=0.5)  # fmt: skip
    axes.axvline(0, color=FAINT, linewidth=0.6)
    axes.set_yticks(place, [one.name for one in lines])
    axes.set_xlabel("part of the variance [%]")
    plain(axes)
    axes.tick_params(axis="y", length=0)
    axes.legend(loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=2, frameon=False, fontsize=FONT_POINTS - 1,
                labelcolor=INK, borderaxespad=0.1)  # fmt: skip
    more = len(built.study.causes) - len(shown)
    return Picture(
        name="causes",
        caption="What each cause explains of the spread between built arrays, mean over the elements"
        + ("." if not more else "; the smaller ones are in the table."),
        png=png(figure),
    )


def worn_picture(worn: WornFamily) -> Picture:
    """Draw the penalty of every state, worst and mean of the elements, and the shift of the resonance."""
    names = [state.name for state in worn.states]
    figure = new_figure(height_in=1.1 + 0.24 * len(names))
    height = figure.get_figheight()
    figure.subplots_adjust(left=0.24, right=0.98, top=1 - 0.34 / height, bottom=0.44 / height, wspace=0.08)
    left, right = figure.subplots(1, 2, sharey=True, gridspec_kw={"width_ratios": (1.5, 1)})
    place = np.arange(len(names))[::-1]
    _penalties(left, worn, place)
    spans = 1e-6 * worn.shift_hz
    right.hlines(place, np.nanmin(spans, axis=1, initial=0, where=~np.isnan(spans)),
                 np.nanmax(spans, axis=1, initial=0, where=~np.isnan(spans)), color=FAINT, linewidth=1)  # fmt: skip
    for element in range(spans.shape[1]):
        right.plot(spans[:, element], place, "o", markersize=2.5, color=LINE_COLOURS[0], alpha=0.6)
    right.axvline(0, color=FAINT, linewidth=0.6)
    right.set_xlabel("resonance moves by [MHz]")
    for axes in (left, right):
        plain(axes)
        axes.tick_params(axis="y", length=0)
    left.set_yticks(place, names)
    left.legend(loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=4, frameon=False, fontsize=FONT_POINTS - 1,
                labelcolor=INK, borderaxespad=0.1)  # fmt: skip
    return Picture(
        name="worn",
        caption="Left: noise penalty of the fixed network in every state, worst element (marks) and mean of the "
        "elements (bars). Right: how far the resonance of each element moves.",
        png=png(figure),
    )


def _penalties(axes: Axes, worn: WornFamily, place: np.ndarray) -> None:
    nets = [("as found", worn.penalty)]
    if worn.robust is not None:
        nets.append(("robust", worn.robust.after))
    height = 0.72 / len(nets)
    for number, (label, penalty) in enumerate(nets):
        at = place + height * ((len(nets) - 1) / 2 - number)
        axes.barh(at, penalty.penalty_db.mean(axis=1), height=0.9 * height, color=LINE_COLOURS[number],
                  hatch=HATCHES[number], edgecolor="white", linewidth=0.5, label=f"{label}, mean")  # fmt: skip
        axes.plot(penalty.penalty_db.max(axis=1), at, "|", color=LINE_COLOURS[number], markersize=7, markeredgewidth=2,
                  label=f"{label}, worst")  # fmt: skip
    axes.set_xlim(left=0)
    axes.set_xlabel("noise penalty [dB]")
