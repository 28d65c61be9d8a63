"""The array on the body, seen from four sides."""

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patheffects import withStroke
from numpy.typing import NDArray

from loopwright.dossier import ElementLine, LayoutEvidence, MapSet
from loopwright.formats.pictures.style import (
    FAINT,
    FONT_POINTS,
    INK,
    LINE_COLOURS,
    WIDTH_IN,
    Picture,
    new_figure,
    plain,
    png,
)
from loopwright.formats.pictures.views import ABOVE, AXIAL, BEHIND, CORONAL, SAGITTAL, View, frame_view, outline

__all__ = ["Mark", "layout_picture", "layout_views"]

_SIDES = (CORONAL, BEHIND, SAGITTAL)
_TALLEST_IN = 3.3
_HALO = (withStroke(linewidth=2.2, foreground="white"),)
_TITLES = {CORONAL: "from the front", BEHIND: "from behind", SAGITTAL: "from the left", AXIAL: "from the feet",
           ABOVE: "from the head"}  # fmt: skip
#: An element so far above the middle of the body, as a share of its half height, lies towards the head.
_TOWARDS_HEAD = 0.1
_MARGIN_IN, _GAP_IN, _TOP_IN, _BOTTOM_IN = 0.50, 0.62, 0.28, 0.46


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A place on the array [m]: a disc with a label, or a cross where that is empty."""

    at_m: tuple[float, float, float]
    label: str


def layout_picture(layout: LayoutEvidence, maps: MapSet) -> Picture:
    """Draw the centre-lines over the outline of the body; elements on the far side are grey and carry no name."""
    figure = layout_views(layout, maps)
    short = short_names(tuple(element.name for element in layout.elements))
    caption = "Centre-lines of the elements over the outline of the body. Grey: far side, named in another view."
    pieces = {name.rpartition("-")[0]: label.rstrip("0123456789") for name, label in short.items() if name != label}
    if pieces:
        caption += f" Names are shortened: {', '.join(f'{label} {piece}' for piece, label in pieces.items())}."
    return Picture(name="layout", caption=caption, png=png(figure))


def layout_views(layout: LayoutEvidence, maps: MapSet, *, marks: tuple[Mark, ...] = ()) -> Figure:
    """Return the four views of the array on the body, with marks on them."""
    axes_mm = tuple(1e3 * np.asarray(axis) for axis in (maps.x_m, maps.y_m, maps.z_m))
    bounds = _bounds_mm(layout.elements, maps, axes_mm)
    short = short_names(tuple(element.name for element in layout.elements))
    views = views_of(layout.elements, maps)
    figure, places = _page(bounds[:, 1] - bounds[:, 0], views)
    for view, place in zip(views, places, strict=True):
        axes = figure.add_axes(place)
        _view(axes, view, layout.elements, short, maps, axes_mm, bounds)
        _marks(axes, view, marks, _middle_mm(maps, axes_mm))
        axes.set_title(_TITLES[view], fontsize=FONT_POINTS, pad=3)
    return figure


def _marks(axes: Axes, view: View, marks: tuple[Mark, ...], middle_mm: NDArray[np.floating]) -> None:
    """Draw crosses and numbered discs, pale where the body hides them; the first disc stands above the others."""
    for number, mark in enumerate(marks):
        at_mm = 1e3 * np.asarray(mark.at_m)
        near = bool(view.nearness(at_mm - middle_mm) > -1e-6)
        across, up = at_mm[view.across], at_mm[view.up]
        above = 4 + 1.0 / (1 + number) if near else 3.5
        if not mark.label:
            axes.plot(across, up, marker="x", color=INK, alpha=1.0 if near else 0.25, markersize=5,
                      markeredgewidth=1.3, zorder=above)  # fmt: skip
            continue
        axes.plot(across, up, marker="o", color="white" if not near else INK, markeredgecolor=INK if near else FAINT,
                  markersize=9, zorder=above + 1)  # fmt: skip
        axes.text(across, up, mark.label, color="white" if near else FAINT, fontsize=FONT_POINTS - 1.5, ha="center",
                  va="center_baseline", weight="bold", zorder=above + 1.01)  # fmt: skip


def views_of(elements: tuple[ElementLine, ...], maps: MapSet) -> tuple[View, ...]:
    """Three sides, and the end towards which most elements lie: the head for a cap, else the feet."""
    axes_mm = tuple(1e3 * np.asarray(axis) for axis in (maps.x_m, maps.y_m, maps.z_m))
    inside = axes_mm[2][maps.body_fraction.max(axis=(0, 1)) > 0]
    above = np.array([1e3 * element.centre_m[2] for element in elements]) - (inside.min() + inside.max()) / 2
    towards_head = above > _TOWARDS_HEAD * (inside.max() - inside.min()) / 2
    return (*_SIDES, ABOVE if towards_head.sum() > len(elements) / 2 else AXIAL)


def short_names(names: tuple[str, ...]) -> dict[str, str]:
    """Labels by name: pieces, whose elements are called ``piece-01``, by as many letters as tell them apart.

    >>> short_names(("anterior-01", "posterior-02", "E03"))
    {'anterior-01': 'A01', 'posterior-02': 'P02', 'E03': 'E03'}
    """
    pieces = {name.rpartition("-")[0] for name in names} - {""}
    letters = next(n for n in range(1, 41) if n == 40 or len({piece[:n] for piece in pieces}) == len(pieces))
    parts = {name: name.rpartition("-") for name in names}
    return {
        name: f"{piece[:letters].capitalize()}{number}" if piece and number.isdigit() else name
        for name, (piece, _, number) in parts.items()
    }


def _bounds_mm(
    elements: tuple[ElementLine, ...], maps: MapSet, axes_mm: tuple[NDArray[np.floating], ...]
) -> NDArray[np.floating]:
    """Return (axis, low and high) of body and array together, with a margin."""
    points = 1e3 * np.concatenate([element.vertices_m for element in elements])
    inside = [axes_mm[a][maps.body_fraction.max(axis=tuple(b for b in range(3) if b != a)) > 0] for a in range(3)]
    low = np.minimum(points.min(axis=0), [axis.min() for axis in inside])
    high = np.maximum(points.max(axis=0), [axis.max() for axis in inside])
    margin = 0.10 * float((high - low).max())
    return np.stack([low - margin, high + margin], axis=1)


def _middle_mm(maps: MapSet, axes_mm: tuple[NDArray[np.floating], ...]) -> NDArray[np.floating]:
    """Middle of the box round the body, shape (3,): an array on one side is near in one view and far in the other."""
    inside = [axes_mm[a][maps.body_fraction.max(axis=tuple(b for b in range(3) if b != a)) > 0] for a in range(3)]
    return np.array([(axis.min() + axis.max()) / 2 for axis in inside])


def _page(
    size_mm: NDArray[np.floating], views: tuple[View, ...]
) -> tuple[Figure, list[tuple[float, float, float, float]]]:
    """Return a figure and one place per view in two rows of two, all at one scale."""
    rows = (views[:2], views[2:])
    widest = max(sum(size_mm[view.across] for view in row) for row in rows)
    tallest = max(size_mm[view.up] for view in views)
    per_mm = min((WIDTH_IN - 2 * _MARGIN_IN - _GAP_IN) / widest, _TALLEST_IN / tallest)
    heights = [max(size_mm[view.up] for view in row) * per_mm for row in rows]
    total = sum(heights) + 2 * (_TOP_IN + _BOTTOM_IN)
    places, top = [], total
    for row, height in zip(rows, heights, strict=True):
        left = (WIDTH_IN - _GAP_IN - per_mm * sum(size_mm[view.across] for view in row)) / 2 + 0.1
        for view in row:
            wide, tall = size_mm[view.across] * per_mm, size_mm[view.up] * per_mm
            bottom = top - _TOP_IN - height + (height - tall) / 2
            places.append((left / WIDTH_IN, bottom / total, wide / WIDTH_IN, tall / total))
            left += wide + _GAP_IN
        top -= height + _TOP_IN + _BOTTOM_IN
    return new_figure(height_in=total), places


def _view(
    axes: Axes,
    view: View,
    elements: tuple[ElementLine, ...],
    short: dict[str, str],
    maps: MapSet,
    axes_mm: tuple[NDArray[np.floating], ...],
    bounds_mm: NDArray[np.floating],
) -> None:
    shadow = maps.body_fraction.max(axis=view.along)
    outline(axes, view, shadow, axes_mm, colour=FAINT)
    centres = np.array([element.centre_m for element in elements])
    nearness = view.nearness(centres - 1e-3 * _middle_mm(maps, axes_mm))
    for index in np.argsort(nearness):
        element = elements[index]
        ring = 1e3 * np.concatenate([element.vertices_m, element.vertices_m[:1]])
        near = nearness[index] > -1e-6
        colour = LINE_COLOURS[index % len(LINE_COLOURS)] if near else "#cccccc"
        axes.plot(ring[:, view.across], ring[:, view.up], color=colour, linewidth=1.2 if near else 0.7,
                  zorder=2 if near else 1)  # fmt: skip
        if near:
            middle = ring[:-1].mean(axis=0)
            axes.text(middle[view.across], middle[view.up], short[element.name], color=colour, fontsize=FONT_POINTS - 1,
                      ha="center", va="center", zorder=3, path_effects=_HALO)  # fmt: skip
    frame_view(axes, view, bounds_mm)
    plain(axes)
