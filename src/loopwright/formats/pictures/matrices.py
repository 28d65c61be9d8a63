"""Matrices between elements as heat maps, with their numbers where there is room."""

import numpy as np
from matplotlib.colors import Normalize
from numpy.typing import NDArray

from loopwright.formats.pictures.style import FONT_POINTS, INK, WIDTH_IN, Picture, new_figure, plain, png

__all__ = ["matrix_picture"]

_MOST_WITH_NUMBERS = 16


def matrix_picture(
    values: NDArray[np.floating], *, element_names: tuple[str, ...], name: str, caption: str, label: str, largest: float
) -> Picture:
    """Draw the sizes of a matrix (elements, elements); the diagonal is left blank.

    Parameters
    ----------
    values : ndarray, shape (elements, elements)
        Sizes from 0 to ``largest``.
    element_names : tuple of str
        Written along both sides.
    name, caption, label : str
        Stem of the file, what the reader sees, and what the colours mean.
    largest : float
        Upper end of the colours.
    """
    count = len(values)
    shown = np.where(np.eye(count, dtype=bool), np.nan, values)
    side_in = min(5.4, max(2.6, 0.34 * count + 0.8))
    height = side_in + 0.55
    figure = new_figure(height_in=height)
    axes = figure.add_axes(((WIDTH_IN - side_in) / 2 / WIDTH_IN, 0.5 / height, side_in / WIDTH_IN, side_in / height))
    image = axes.imshow(shown, cmap="cividis", norm=Normalize(0.0, largest), interpolation="nearest")
    ticks = np.arange(count)
    axes.set_xticks(ticks, element_names, rotation=90 if _long(element_names) else 0)
    axes.set_yticks(ticks, element_names)
    plain(axes)
    axes.tick_params(length=0, labelsize=FONT_POINTS - (1 if count <= 20 else 2.5))
    for spine in axes.spines.values():
        spine.set_visible(False)
    if count <= _MOST_WITH_NUMBERS:
        _write_numbers(axes, shown, largest)
    bar_place = ((WIDTH_IN + side_in) / 2 / WIDTH_IN + 0.025, 0.5 / height, 0.13 / WIDTH_IN, side_in / height)
    bar = figure.colorbar(image, cax=figure.add_axes(bar_place))
    bar.set_label(label, fontsize=FONT_POINTS, color=INK)
    bar.ax.tick_params(labelsize=FONT_POINTS - 1, colors=INK, width=0.6, length=2.5)
    bar.outline.set_visible(False)
    return Picture(name=name, caption=caption, png=png(figure))


def _long(names: tuple[str, ...]) -> bool:
    return len(names) * max(len(name) for name in names) > 48


def _write_numbers(axes: object, shown: NDArray[np.floating], largest: float) -> None:
    decimals = 2 if largest > 0.2 else 3
    for row, column in np.argwhere(np.isfinite(shown)):
        value = float(shown[row, column])
        colour = "white" if value < 0.5 * largest else "black"
        text = f"{value:.{decimals}f}".removeprefix("0")
        axes.text(  # type: ignore[attr-defined]
            column, row, text, ha="center", va="center", fontsize=FONT_POINTS - 2, color=colour
        )
