"""Smith charts: what receivers see over the band, at 50 ohm."""

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits import CircuitOutcome
from loopwright.dossier.circuit import smith_names
from loopwright.formats.pictures.style import FAINT, FONT_POINTS, INK, LINE_COLOURS, Picture, new_figure, png

__all__ = ["smith_grid", "smith_pictures"]

REFERENCE_OHM = 50.0
_RESISTANCES = (0.2, 0.5, 1.0, 2.0, 5.0)
_STYLES = ("-", "--", "-.", ":")
_GRID = "#c9c9c9"
#: Where along the band the frequency is written, as parts of the way from its middle to its ends.
_MARKS = (-1.0, -0.5, 0.0, 0.5, 1.0)


def smith_pictures(outcome: CircuitOutcome, *, element_names: tuple[str, ...]) -> tuple[Picture, ...]:
    """Draw all channels in one chart, and the first elements in one each."""
    singles = tuple(
        _picture(outcome, (number,), element_names, name, f"What the receiver of {element_names[number]} sees, all "
                 f"others in place, at {REFERENCE_OHM:g} Ω; ring: the source that is wanted.")
        for number, name in enumerate(smith_names(element_names))
    )  # fmt: skip
    every = tuple(range(len(element_names)))
    caption = (
        f"What every receiver sees, all others in place, at {REFERENCE_OHM:g} Ω; ring: the source that is wanted; dot: "
        "the frequency of the run."
    )
    several = " Coloured: the first elements." if len(every) > len(_STYLES) else ""
    return (_picture(outcome, every, element_names, "smith", caption + several), *singles)


def _picture(
    outcome: CircuitOutcome, elements: tuple[int, ...], names: tuple[str, ...], name: str, caption: str
) -> Picture:
    figure = new_figure(height_in=4.6)
    axes = figure.add_axes((0.17, 0.02, 0.62, 0.94))
    smith_grid(axes)
    frequencies_mhz = 1e-6 * outcome.sweep.frequencies_hz
    for rank, element in reversed(tuple(enumerate(elements))):
        trace = _reflection(outcome.sweep.seen_ohm[:, element])
        named = rank < len(_STYLES)
        colour = LINE_COLOURS[rank] if named else FAINT
        axes.plot(trace.real, trace.imag, color=colour, linewidth=1.5 if named else 0.6,
                  linestyle=_STYLES[rank] if named else "-", label=names[element] if named else None)  # fmt: skip
        middle = trace[len(trace) // 2]
        axes.plot(middle.real, middle.imag, marker="o", markersize=4 if named else 2, color=colour, linestyle="")
        if len(elements) == 1:
            _mark(axes, trace, frequencies_mhz)
    wanted = _reflection(outcome.source_ohm[list(elements)])
    axes.plot(wanted.real, wanted.imag, marker="o", markersize=9, markerfacecolor="none", markeredgecolor=INK,
              linestyle="")  # fmt: skip
    handles, labels = axes.get_legend_handles_labels()
    axes.legend(handles[::-1], labels[::-1], frameon=False, fontsize=FONT_POINTS - 1, loc="upper left",
                bbox_to_anchor=(0.96, 1.0))  # fmt: skip
    low, high = frequencies_mhz[0], frequencies_mhz[-1]
    axes.text(1.02, -1.0, f"{low:.1f} to {high:.1f} MHz\n{REFERENCE_OHM:g} Ω in the middle", fontsize=FONT_POINTS - 1,
              color=INK, va="bottom")  # fmt: skip
    return Picture(name=name, caption=caption, png=png(figure))


def smith_grid(axes: Axes) -> None:
    """Draw circles of constant resistance and arcs of constant reactance, numbers in ohm."""
    axes.set_aspect("equal")
    axes.axis("off")
    axes.set_xlim(-1.16, 1.16)
    axes.set_ylim(-1.12, 1.12)
    sweep = np.concatenate((-np.geomspace(1e3, 1e-3, 400), np.geomspace(1e-3, 1e3, 400)))
    for r in _RESISTANCES:
        circle = _reflection(REFERENCE_OHM * (r + 1j * sweep))
        axes.plot(circle.real, circle.imag, color=_GRID, linewidth=0.6)
        end = (r - 1) / (r + 1)
        axes.text(end + 0.01, 0.015, f"{r * REFERENCE_OHM:g}", fontsize=FONT_POINTS - 2, color=INK)
    along = np.concatenate(([0.0], np.geomspace(1e-3, 1e3, 400)))
    for x in _RESISTANCES:
        for sign, word in ((1, "j"), (-1, "−j")):
            arc = _reflection(REFERENCE_OHM * (along + 1j * sign * x))
            axes.plot(arc.real, arc.imag, color=_GRID, linewidth=0.6)
            edge = arc[0] * 1.07
            axes.text(edge.real, edge.imag, f"{word}{x * REFERENCE_OHM:g}", fontsize=FONT_POINTS - 2, color=INK,
                      ha="center", va="center")  # fmt: skip
    rim = np.exp(1j * np.linspace(0, 2 * np.pi, 361))
    axes.plot(rim.real, rim.imag, color=FAINT, linewidth=0.9)
    axes.plot((-1, 1), (0, 0), color=FAINT, linewidth=0.6)
    axes.text(-1.03, 0.0, "0 Ω", fontsize=FONT_POINTS - 2, color=INK, ha="right", va="center")
    axes.text(1.03, 0.0, "∞", fontsize=FONT_POINTS - 1, color=INK, va="center")


def _mark(axes: Axes, trace: NDArray[np.complexfloating], frequencies_mhz: NDArray[np.floating]) -> None:
    """Write the frequency at a few points of the only trace: inside its bend, and beside the middle of the chart."""
    centre = trace.mean()
    for along in _MARKS:
        at = round((len(trace) - 1) / 2 * (1 + along))
        point = trace[at]
        inward = (centre - point) / abs(centre - point) if abs(point) > 0.15 else np.exp(-1j * np.pi / 4)
        place = point + 0.07 * inward
        axes.plot(point.real, point.imag, marker="o", markersize=3.5, color=INK, linestyle="")
        axes.text(place.real, place.imag, f"{frequencies_mhz[at]:.1f} MHz", fontsize=FONT_POINTS - 1, color=INK,
                  ha="center" if abs(inward.real) < 0.5 else "left" if inward.real > 0 else "right", va="center",
                  bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 0.8})  # fmt: skip


def _reflection(impedance_ohm: ArrayLike) -> NDArray[np.complex128]:
    z = np.asarray(impedance_ohm, dtype=np.complex128)
    return np.asarray((z - REFERENCE_OHM) / (z + REFERENCE_OHM))
