"""A film on a body, drawn on the flat film: how far it is off the skin, how much it is strained, and its outline."""

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from numpy.typing import NDArray

from loopwright.designs import DrapedArray
from loopwright.formats.pictures.style import FAINT, FONT_POINTS, INK, LINE_COLOURS, Picture, new_figure, plain, png
from loopwright.layouts import FilmGaps, FilmPattern, FilmStrain, GorePlan, conductor_edges_m, elements_cut

__all__ = ["draped_pictures", "gap_picture", "pattern_picture", "strain_picture"]

Real = NDArray[np.float64]

#: Even in lightness, and the same to colour-blind eyes.
_COLOURS = "cividis"
_BINS = 30
_TALLEST_IN, _MAP_IN = 4.2, 4.2


def draped_pictures(draped: DrapedArray | None) -> tuple[Picture, ...]:
    """Draw how an array lies on its body: gap, strain and flat drawing, as far as it has them."""
    if draped is None or draped.pattern is None:
        return ()
    film, pattern, follow = draped.film, draped.pattern, draped.follow
    if film is None:
        return () if follow is None else (stretch_picture(pattern, follow, limit=draped.stretch_limit),)
    return (
        gap_picture(pattern, film.gaps, limit_m=film.request.gap_limit_m),
        *(() if follow is None else (strain_picture(pattern, follow, limit=film.request.compression_limit),)),
        pattern_picture(draped.slit_pattern or pattern),
    )


def gap_picture(pattern: FilmPattern, gaps: FilmGaps, *, limit_m: float) -> Picture:
    """Draw the gap over the flat film, hatched above a limit [m], and its histogram by area."""
    figure, axes = _map_beside(pattern, width_in=_MAP_IN)
    gap_mm = 1e3 * gaps.gap_m
    of_triangles = gap_mm[gaps.grid.triangles].mean(axis=1)
    _triangles(figure, axes[0], gaps.grid.nodes_m, gaps.grid.triangles, of_triangles, label="gap to the skin [mm]")
    above = of_triangles > 1e3 * limit_m
    _hatched(axes[0], gaps.grid.nodes_m, gaps.grid.triangles[above])
    _conductors(axes[0], pattern, colour="white")
    worst = 1e3 * gaps.grid.nodes_m[gaps.worst_node]
    axes[0].plot(*worst, marker="x", color=LINE_COLOURS[1], markersize=6, markeredgewidth=1.6)
    shares = 100 * gaps.grid.node_areas_m2 / gaps.grid.node_areas_m2.sum()
    axes[1].hist(gap_mm, bins=_BINS, weights=shares, color=LINE_COLOURS[4], edgecolor="white", linewidth=0.4)
    lines = ((gaps.median_m, "median", "-"), (gaps.p95_m, "95 % below", "--"), (limit_m, "limit", ":"))
    for value_m, name, style in lines:
        axes[1].axvline(
            1e3 * value_m, color=INK, linestyle=style, linewidth=1.2, label=f"{name} {1e3 * value_m:.1f} mm"
        )
    axes[1].set_xlabel("gap to the skin [mm]")
    axes[1].set_ylabel("share of the film's area [%]")
    axes[1].set_xlim(left=0)
    axes[1].legend(fontsize=FONT_POINTS - 1, loc="upper right", facecolor="white", edgecolor="none", framealpha=0.9)
    plain(axes[1])
    share = 100 * gaps.share_above(limit_m)
    caption = (
        f"Distance of the film's underside from the skin on the flat film, the widest ({gap_mm.max():.1f} mm) at the "
        f"cross; {share:.0f} % of the area is above {1e3 * limit_m:g} mm (hatched). Right: its histogram by area."
    )
    return Picture(name="film_gap", caption=caption, png=png(figure))


def strain_picture(pattern: FilmPattern, strain: FilmStrain, *, limit: float) -> Picture:
    """Draw how much the film is shortened over the flat film, hatched where it is more than it takes."""
    caption = (
        f"By how much the film would have to shorten to follow the skin; {100 * strain.share_wrinkled(limit):.0f} % of "
        f"its area by more than {100 * limit:g} % (hatched), where it wrinkles or lifts. Largest: "
        f"{100 * strain.compression.max():.1f} %."
    )
    return _strained(pattern, strain, strain.compression, limit=limit, label="shortening [%]", caption=caption)


def stretch_picture(pattern: FilmPattern, strain: FilmStrain, *, limit: float) -> Picture:
    """Draw the larger principal strain by size over the flat carrier, hatched where it is more than it takes."""
    size = np.abs(strain.principal).max(axis=1)
    share = np.average(size > limit, weights=strain.grid.areas_m2)
    caption = (
        f"By how much the carrier is stretched or gathered where it follows the skin, the larger of the two; "
        f"{100 * share:.0f} % of its area by more than {100 * limit:g} % (hatched). Largest stretch "
        f"{100 * max(strain.principal.max(), 0):.1f} %, largest shortening {100 * strain.compression.max():.1f} %."
    )
    return _strained(pattern, strain, size, limit=limit, label="size of the strain [%]", caption=caption)


def _strained(
    pattern: FilmPattern, strain: FilmStrain, values: Real, *, limit: float, label: str, caption: str
) -> Picture:
    figure, axes = _map_beside(pattern, width_in=_MAP_IN)
    nodes, triangles = strain.grid.nodes_m, strain.grid.triangles
    _triangles(figure, axes[0], nodes, triangles, 100 * values, label=label)
    _hatched(axes[0], nodes, triangles[values > limit])
    _conductors(axes[0], pattern, colour="white")
    shares = 100 * strain.grid.areas_m2 / strain.grid.areas_m2.sum()
    axes[1].hist(100 * values, bins=_BINS, weights=shares, color=LINE_COLOURS[4], edgecolor="white", linewidth=0.4)
    axes[1].axvline(100 * limit, color=INK, linestyle=":", linewidth=1.2, label=f"limit {100 * limit:g} %")
    axes[1].set_xlabel(label)
    axes[1].set_ylabel("share of the film's area [%]")
    axes[1].set_xlim(left=0)
    axes[1].legend(fontsize=FONT_POINTS - 1, loc="upper right", facecolor="white", edgecolor="none", framealpha=0.9)
    plain(axes[1])
    return Picture(name="film_strain", caption=caption, png=png(figure))


def pattern_picture(pattern: FilmPattern, gores: GorePlan | None = None) -> Picture:
    """Draw the flat film: outline, conductors at their width, slits or gores, and marks."""
    width_mm, height_mm = 1e3 * np.ptp(pattern.outline_m, axis=0)
    figure = new_figure(height_in=min(_TALLEST_IN, 6.6 * height_mm / width_mm) + 0.6)
    axes = figure.add_axes((0.09, 0.13, 0.88, 0.84))
    _closed(axes, pattern.outline_m, color=INK, linewidth=1.2)
    for slit in pattern.slits_m:
        axes.fill(*(1e3 * slit).T, facecolor=LINE_COLOURS[3], edgecolor=LINE_COLOURS[3], linewidth=0.6)
    for gore in gores.outlines_m if gores is not None else ():
        _closed(axes, gore, color=LINE_COLOURS[3], linewidth=0.8, linestyle="--")
    _conductors(axes, pattern, colour=LINE_COLOURS[0])
    for element in pattern.elements:
        gaps = 1e3 * element.outline_m[list(element.gap_nodes)]
        axes.plot(gaps[:, 0], gaps[:, 1], linestyle="", marker="s", markersize=3, color=LINE_COLOURS[1])
        x, y = element.centre_m
        axes.text(1e3 * x, 1e3 * y, element.name, ha="center", va="center", fontsize=FONT_POINTS - 1)
    for name, (x, y) in pattern.marks_m.items():
        inwards = -1 if x > pattern.outline_m[:, 0].mean() else 1  # so that the words stay on the film
        axes.plot(1e3 * x, 1e3 * y, marker="x", color=LINE_COLOURS[2], markersize=6)
        axes.annotate(name, (1e3 * x, 1e3 * y), xytext=(5 * inwards, 4), textcoords="offset points",
                      ha="right" if inwards < 0 else "left", fontsize=FONT_POINTS - 1,
                      color=LINE_COLOURS[2])  # fmt: skip
    _flat_axes(axes)
    caption = "The flat film as seen from outside: conductors at their width, gaps as squares" + (
        ", what is cut away filled." if pattern.slits_m else ", gores dashed." if gores is not None else "."
    )
    if cut := elements_cut(pattern):
        caption += f" Slits go through the conductors of {', '.join(cut)}."
    return Picture(name="film_pattern", caption=caption, png=png(figure))


def _map_beside(pattern: FilmPattern, *, width_in: float) -> tuple[Figure, tuple[Axes, Axes]]:
    """Return a figure with room for a map true to scale and for a histogram beside it."""
    width_mm, height_mm = 1e3 * np.ptp(pattern.outline_m, axis=0)
    tall_in = min(_TALLEST_IN, max(1.8, (width_in - 0.5) * height_mm / width_mm)) + 1.1
    figure = new_figure(height_in=tall_in)
    bottom = 0.45 / tall_in
    left = figure.add_axes((0.08, bottom, width_in / 7.4 - 0.07, 0.96 - bottom))
    return figure, (left, figure.add_axes((0.69, bottom, 0.29, 0.90 - bottom)))


def _triangles(
    figure: Figure, axes: Axes, nodes_m: Real, triangles: NDArray[np.int64], values: Real, *, label: str
) -> None:
    mesh = PolyCollection(
        list(1e3 * nodes_m[triangles]), array=values, cmap=_COLOURS, edgecolors="face", linewidths=0.2
    )
    mesh.set_clim(0, max(float(values.max()), 1e-9))
    axes.add_collection(mesh)
    axes.autoscale_view()
    bar = figure.colorbar(mesh, ax=axes, orientation="horizontal", fraction=0.05, pad=0.16, aspect=40)
    bar.set_label(label, fontsize=FONT_POINTS, color=INK)
    bar.ax.tick_params(labelsize=FONT_POINTS - 1, colors=INK, width=0.6, length=3)
    bar.outline.set_visible(False)
    _flat_axes(axes)


def _hatched(axes: Axes, nodes_m: Real, triangles: NDArray[np.int64]) -> None:
    if len(triangles):
        axes.add_collection(
            PolyCollection(
                list(1e3 * nodes_m[triangles]), facecolors="none", edgecolors=FAINT, hatch="////", linewidths=0
            )
        )


def _conductors(axes: Axes, pattern: FilmPattern, *, colour: str) -> None:
    for element in pattern.elements:
        for edge in conductor_edges_m(element, width_m=pattern.conductor_width_m):
            _closed(axes, edge, color=colour, linewidth=0.7)


def _closed(axes: Axes, outline_m: Real, **style: Any) -> None:
    ring = 1e3 * np.concatenate([outline_m, outline_m[:1]])
    axes.plot(ring[:, 0], ring[:, 1], **style)


def _flat_axes(axes: Axes) -> None:
    axes.set_aspect("equal")
    axes.set_xlabel("along the film, x [mm]")
    axes.set_ylabel("across it, y [mm]")
    plain(axes)
