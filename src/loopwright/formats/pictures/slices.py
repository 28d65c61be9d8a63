"""Maps in three orthogonal slices."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import LogNorm, Normalize
from matplotlib.figure import Figure
from numpy.typing import NDArray

from loopwright.dossier import MapKind, MapSet, ScalarMap
from loopwright.formats.pictures.style import (
    FAINT,
    FONT_POINTS,
    INK,
    WIDTH_IN,
    Picture,
    log_ticks,
    new_figure,
    plain,
    png,
    quantity_label,
)
from loopwright.formats.pictures.views import AXIAL, CORONAL, SAGITTAL, View, frame_view, outline, whole_mm

__all__ = ["colour_scale", "slices_picture"]

#: Of a ratio about one the middle is white and both ends dark, orange below and purple above: two hues that eyes which
#: confuse red and green keep apart; on grey paper the lines tell which side it is.
_COLOURS = {
    MapKind.SNR: "viridis",
    MapKind.INVERSE_G: "cividis",
    MapKind.FRACTION: "cividis",
    MapKind.KEPT: "cividis",
    MapKind.TRANSMIT: "PuOr",
    MapKind.LOCAL_SAR: "viridis",
}
#: A tenth below one and above it.
_LINES = {0.9: "dashed", 1.1: "solid"}
_LEAST_SPAN = 0.1
_VIEWS = (AXIAL, CORONAL, SAGITTAL)
_LEFT_IN, _GAP_IN, _BOTTOM_IN, _TOP_IN, _BAR_IN = 0.60, 0.56, 0.42, 0.36, 1.0
_TALLEST_IN = 4.2
_INVERSE_G_STEP = 0.05
_FROM_LEAST = (MapKind.INVERSE_G, MapKind.KEPT)
_BODY = 0.5  # share from which a voxel is drawn as body


def colour_scale(kind: MapKind, scalars: tuple[ScalarMap, ...], region: NDArray[np.bool_]) -> Normalize:
    """Return one colour scale for all maps of a kind, so that their pictures can be compared.

    Fractions run from 0 to 1; 1/g runs from the least of the region, down to the next step of 0.05, to 1. SNR runs over
    the middle 98 % of the region, by its logarithm where that spans more than a factor of five: close-fitting arrays
    see the skin far better than the centre. B1+ over that without the array runs as far below one as above it; local
    SAR from nought.
    """
    if kind in (MapKind.TRANSMIT, MapKind.LOCAL_SAR):
        return _over_the_body(kind, np.concatenate([s.values.ravel() for s in scalars if s.kind is kind]))
    values = np.concatenate([s.values[region] for s in scalars if s.kind is kind] or [np.zeros(0)])
    values = values[np.isfinite(values) & ((values > 0) | (kind is not MapKind.SNR))]
    if kind is MapKind.FRACTION or values.size == 0:
        return Normalize(0.0, 1.0)
    if kind is MapKind.KEPT:
        least, most = float(values.min()), max(1.0, float(values.max()))
        return Normalize(_INVERSE_G_STEP * int(least / _INVERSE_G_STEP), most)
    if kind is MapKind.INVERSE_G:
        steps = min(int(float(values.min()) / _INVERSE_G_STEP), round(1 / _INVERSE_G_STEP) - 1)
        return Normalize(_INVERSE_G_STEP * steps, 1.0)
    low, high = (float(v) for v in np.percentile(values, [1, 99]))
    return LogNorm(low, high) if high > 5 * low else Normalize(0.0, high)


def _over_the_body(kind: MapKind, values: NDArray[np.floating]) -> Normalize:
    """Scale of maps that are judged wherever they have a value: about one for ratios, from nought for SAR."""
    finite = values[np.isfinite(values)]
    if kind is MapKind.LOCAL_SAR:
        return Normalize(0.0, float(finite.max(initial=np.finfo(np.float32).tiny)))
    beyond = float(np.quantile(np.abs(finite - 1), 0.999)) if finite.size else 0.0
    span = min(max(_LEAST_SPAN, beyond), 1.0)
    return Normalize(1 - span, 1 + span)


def slices_picture(scalar: ScalarMap, maps: MapSet, scale: Normalize) -> Picture:
    """Draw a map in the three slices of the set, over the outline of the body."""
    axes_mm = tuple(1e3 * np.asarray(axis) for axis in (maps.x_m, maps.y_m, maps.z_m))
    bounds = _bounds_mm(maps, axes_mm)
    figure, places = _page(bounds)
    for view, place in zip(_VIEWS, places, strict=True):
        _slice(figure, place, view, scalar, maps, axes_mm, bounds, scale)
    _colour_bar(figure, scalar, scale)
    at = ", ".join(f"{axis} = {whole_mm(1e3 * value)}" for axis, value in zip("xyz", maps.slices_m, strict=True))
    from_least = f"; colours from {scale.vmin:.2f}" if scalar.kind in _FROM_LEAST and scale.vmin else ""
    spacing = "; logarithmic colours" if isinstance(scale, LogNorm) else from_least
    lines = " Lines at 0.9 (dashed) and 1.1 (solid)." if scalar.kind is MapKind.TRANSMIT else ""
    caption = f"{scalar.title} in the slices nearest to {at}{spacing}.{lines}{_grey(scalar, maps)}"
    return Picture(name=scalar.name, caption=caption, png=png(figure))


def _grey(scalar: ScalarMap, maps: MapSet) -> str:
    """Tell what grey means, where there is any: most maps fill the body, a slab of slices does not."""
    missing = (maps.body_fraction >= _BODY) & ~np.isfinite(scalar.values)
    return " Grey: body without a value of the map." if missing.any() else ""


def _bounds_mm(maps: MapSet, axes_mm: tuple[NDArray[np.floating], ...]) -> NDArray[np.float64]:
    """Return (axis, low and high) of the body with a margin."""
    bounds = np.empty((3, 2))
    for axis in range(3):
        others = tuple(a for a in range(3) if a != axis)
        inside = axes_mm[axis][maps.body_fraction.max(axis=others) > 0]
        bounds[axis] = inside.min(), inside.max()
    margin = 0.12 * float((bounds[:, 1] - bounds[:, 0]).max())
    return bounds + np.array([-margin, margin])


def _page(bounds_mm: NDArray[np.floating]) -> tuple[Figure, list[tuple[float, float, float, float]]]:
    """Return a figure and one place per view, all at the same scale; places as left, bottom, width, height."""
    size = bounds_mm[:, 1] - bounds_mm[:, 0]
    wide = [size[view.across] for view in _VIEWS]
    tall = [size[view.up] for view in _VIEWS]
    room = WIDTH_IN - _LEFT_IN - 2 * _GAP_IN - _BAR_IN
    per_mm = min(room / sum(wide), _TALLEST_IN / max(tall))
    height = max(tall) * per_mm + _BOTTOM_IN + _TOP_IN
    left = _LEFT_IN + (room - per_mm * sum(wide)) / 2
    places = []
    for w, h in zip(wide, tall, strict=True):
        bottom = _BOTTOM_IN + (max(tall) - h) * per_mm / 2
        places.append((left / WIDTH_IN, bottom / height, w * per_mm / WIDTH_IN, h * per_mm / height))
        left += w * per_mm + _GAP_IN
    return new_figure(height_in=height), places


def _slice(
    figure: Figure,
    place: tuple[float, float, float, float],
    view: View,
    scalar: ScalarMap,
    maps: MapSet,
    axes_mm: tuple[NDArray[np.floating], ...],
    bounds_mm: NDArray[np.floating],
    scale: Normalize,
) -> None:
    axis = view.along
    index = int(np.argmin(np.abs(axes_mm[axis] - 1e3 * maps.slices_m[axis])))
    values = np.take(scalar.values, index, axis=axis)
    share = np.take(maps.body_fraction, index, axis=axis)
    axes = figure.add_axes(place)
    extent = _extent_mm(view, axes_mm)
    kept: dict[str, Any] = {"extent": extent, "interpolation": "nearest", "origin": "upper"}
    axes.imshow(view.oriented(np.where(share >= _BODY, 0.12, np.nan)), cmap="Greys", vmin=0, vmax=1, **kept)
    axes.imshow(view.oriented(values), cmap=_COLOURS[scalar.kind], norm=scale, **kept)
    if scalar.kind is MapKind.TRANSMIT:
        _lines(axes, view, values, axes_mm)
    outline(axes, view, share, axes_mm, colour=INK)
    frame_view(axes, view, bounds_mm)
    plain(axes)
    axes.set_title(f"{view.title}\n{'xyz'[axis]} = {whole_mm(axes_mm[axis][index])}", pad=3, fontsize=FONT_POINTS - 1)


def _lines(axes: Axes, view: View, values: NDArray[np.floating], axes_mm: tuple[NDArray[np.floating], ...]) -> None:
    """Lines a tenth below one, dashed, and a tenth above it."""
    picture = values.T if view.across < view.up else values
    for level, style in _LINES.items():
        if np.isfinite(picture).any() and np.nanmin(picture) < level < np.nanmax(picture):
            axes.contour(axes_mm[view.across], axes_mm[view.up], picture, levels=[level], colors=[INK],
                         linestyles=[style], linewidths=0.8)  # fmt: skip


def _extent_mm(view: View, axes_mm: tuple[NDArray[np.floating], ...]) -> tuple[float, float, float, float]:
    """Return left, right, bottom, top of the outermost pixels' edges."""
    x, y = axes_mm[view.across], axes_mm[view.up]
    half = (x[1] - x[0]) / 2
    across = (x[0] - half, x[-1] + half) if view.across_sign > 0 else (x[-1] + half, x[0] - half)
    up = (y[0] - half, y[-1] + half) if view.up_sign > 0 else (y[-1] + half, y[0] - half)
    return float(across[0]), float(across[1]), float(up[0]), float(up[1])


def _colour_bar(figure: Figure, scalar: ScalarMap, scale: Normalize) -> None:
    height = figure.get_figheight()
    place = (1 - (_BAR_IN - 0.30) / WIDTH_IN, (_BOTTOM_IN + 0.1) / height, 0.13 / WIDTH_IN, 1 - 1.0 / height)
    axes = figure.add_axes(place)
    straight = "max" if scalar.kind is MapKind.SNR else ("min" if scale.vmin else "neither")
    extend = "both" if isinstance(scale, LogNorm) or scalar.kind is MapKind.TRANSMIT else straight
    bar = figure.colorbar(ScalarMappable(norm=scale, cmap=_COLOURS[scalar.kind]), cax=axes, extend=extend)
    if isinstance(scale, LogNorm):
        log_ticks(bar.ax.yaxis)
    bar.set_label(quantity_label(scalar), fontsize=FONT_POINTS - 1, color=INK)
    bar.outline.set_edgecolor(FAINT)
    bar.ax.tick_params(labelsize=FONT_POINTS - 1.5, colors=INK, width=0.6, length=2.5)
