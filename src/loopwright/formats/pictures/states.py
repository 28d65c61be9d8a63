"""Loop current of every state of the circuits in the transmit field."""

import numpy as np
from matplotlib.ticker import StrMethodFormatter
from numpy.typing import NDArray

from loopwright.circuits import ArrayUnderField
from loopwright.dossier.numbers import printed_in_steps
from loopwright.formats.pictures.style import FONT_POINTS, HATCHES, LINE_COLOURS, Picture, new_figure, plain, png

__all__ = ["state_bars", "states_picture"]

_MATCHED = "power-matched loads in place of receivers"


def state_bars(found: ArrayUnderField) -> tuple[tuple[str, NDArray[np.float64]], ...]:
    """Mean gap currents of the elements by state, the one with the least of its largest first. [A]"""
    by_state = {state.name: np.array([e.mean_current_a for e in state.elements]) for state in found.states}
    by_state[_MATCHED] = found.matched_a
    by_state["nothing acts in one, the others detuned"] = found.intact_a
    return tuple(sorted(by_state.items(), key=lambda item: float(item[1].max())))


def states_picture(found: ArrayUnderField) -> Picture:
    """Draw the loop current of the median and of the worst element as bars, state by state, on a logarithmic axis."""
    ranked = state_bars(found)
    height_in = 0.9 + 0.33 * len(ranked)
    figure = new_figure(height_in=height_in)
    figure.subplots_adjust(left=0.36, right=0.93, top=1 - 0.3 / height_in, bottom=0.5 / height_in)
    axes = figure.add_subplot()
    place = np.arange(len(ranked))
    several = len(found.tuned_a) > 1
    shown = (("worst element", 1.0), ("median element", 0.5)) if several else (("the element", 1.0),)
    height = 0.8 / len(shown)
    for rank, (label, share) in enumerate(shown):
        values = np.array([float(np.quantile(current, share)) for _, current in ranked])
        at = place + (0.4 - height * (rank + 0.5))
        axes.barh(at, values, height=0.92 * height, left=0, label=label, color=LINE_COLOURS[rank],
                  hatch=HATCHES[rank], edgecolor="white", linewidth=0.4)  # fmt: skip
        for y, value in zip(at.tolist(), values.tolist(), strict=True):
            axes.annotate(printed_in_steps(value, "A", digits=2), (value, y), xytext=(3, 0),
                          textcoords="offset points", va="center", fontsize=FONT_POINTS - 1.5)  # fmt: skip
    axes.set_xscale("log")
    least = min(float(current.min()) for _, current in ranked)
    axes.set_xlim(left=10 ** np.floor(np.log10(least) - 0.2))
    axes.set_yticks(place, [name for name, _ in ranked])
    axes.set_xlabel("mean gap current, peak [A]")
    plain(axes)
    axes.xaxis.set_major_formatter(StrMethodFormatter("{x:g}"))
    axes.tick_params(axis="y", length=0)
    if several:
        axes.legend(frameon=False, fontsize=FONT_POINTS - 1, loc="lower left", bbox_to_anchor=(0, 1.0), ncols=2)
    return Picture(
        name="states",
        caption=f"Loop current of every state at {printed_in_steps(found.b1_plus_t, 'T')} peak B1+, on a logarithmic "
        "axis.",
        png=png(figure),
    )
