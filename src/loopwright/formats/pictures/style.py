"""How every picture looks: sizes, colours that survive grey print and colour blindness, and the way to PNG."""

import io
from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import LogLocator, NullFormatter, StrMethodFormatter

from loopwright.dossier import MapKind, ScalarMap, display_unit

__all__ = [
    "FAINT",
    "FONT_POINTS",
    "HATCHES",
    "INK",
    "LINE_COLOURS",
    "WIDTH_IN",
    "Picture",
    "log_ticks",
    "new_figure",
    "plain",
    "png",
    "quantity_label",
]

#: Width of a picture on the page. [inch]
WIDTH_IN = 7.4
FONT_POINTS = 8.0
INK = "#222222"
FAINT = "#9a9a9a"

#: Colours that remain distinct to colour-blind eyes (M. Okabe and K. Ito, 2008; values from memory), yellow left out.
LINE_COLOURS = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#56B4E9", "#E69F00", "#000000")

#: One pattern per part of a stacked bar, so that it can be read without colour.
HATCHES = ("", "////", "....", "\\\\\\\\", "xx")

_DOTS_PER_INCH = 150


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A finished picture: ``name`` is the stem of its file, ``png`` its content."""

    name: str
    caption: str
    png: bytes


def new_figure(*, height_in: float) -> Figure:
    """Return an empty figure of the page's width, without any global plotting state."""
    figure = Figure(figsize=(WIDTH_IN, height_in), dpi=_DOTS_PER_INCH, facecolor="white")
    FigureCanvasAgg(figure)
    return figure


def plain(axes: Axes) -> None:
    """Take the frame back to what is needed, in the ink and size of the page."""
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set_color(FAINT)
    axes.tick_params(colors=INK, labelsize=FONT_POINTS - 1, width=0.6, length=3)
    for label in (axes.xaxis.label, axes.yaxis.label, axes.title):
        label.set_fontsize(FONT_POINTS)
        label.set_color(INK)


def quantity_label(scalar: ScalarMap) -> str:
    """Name what a map shows and its unit on paper, as an axis carries them."""
    if scalar.kind in (MapKind.TRANSMIT, MapKind.LOCAL_SAR):
        return f"{scalar.kind.value} [{scalar.unit}]"
    name = scalar.quantity if scalar.quantity == "sensitivity" else scalar.kind.value
    symbol = display_unit(scalar.unit).symbol
    return f"{name} [{symbol}]" if symbol else name


class _ReadableLocator(LogLocator):
    """Ticks at 1, 2 and 5; where the axis spans no decade, which would leave two or three of them, between them too."""

    def tick_values(self, vmin: float, vmax: float) -> Sequence[float]:
        low, high = sorted((vmin, vmax))
        self.set_params(subs=(1.0, 2.0, 5.0) if high > 10 * low else (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 7.0))
        return super().tick_values(vmin, vmax)


def log_ticks(axis: Axis) -> None:
    """Label a logarithmic axis in plain numbers at 1, 2 and 5, a short one more closely; small ticks at every digit."""
    axis.set_major_locator(_ReadableLocator())
    axis.set_minor_locator(LogLocator(subs=tuple(range(1, 10))))
    axis.set_major_formatter(StrMethodFormatter("{x:g}"))
    axis.set_minor_formatter(NullFormatter())
    axis.set_tick_params(which="minor", length=1.5, width=0.5, color=FAINT)


def png(figure: Figure) -> bytes:
    """Return the figure as PNG, byte for byte the same for the same content."""
    content = io.BytesIO()
    figure.savefig(content, format="png", metadata={"Software": None})
    return content.getvalue()
