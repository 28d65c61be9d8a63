"""Flat patterns of films as drawings for the cutter and the printer: DXF and SVG, true to scale, in millimetres.

Layers of the DXF, and groups of the SVG, are named by what they hold.
"""

import io
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray

from loopwright.designs import DrapedArray
from loopwright.formats.atomic import write_whole
from loopwright.layouts import FilmPattern, conductor_edges_m

__all__ = ["LAYERS", "pattern_dxf", "pattern_svg", "write_pattern_dxf", "write_pattern_svg", "write_patterns"]

Real = NDArray[np.float64]

#: Layer: colour number of the DXF and colour of the SVG.
LAYERS = {
    "FILM_OUTLINE": (7, "#000000"),
    "CONDUCTOR_EDGE": (5, "#0072B2"),
    "ELEMENT_CENTRE_LINE": (8, "#9a9a9a"),
    "CONDUCTOR_GAP": (1, "#D55E00"),
    "SLIT": (6, "#CC79A7"),
    "MARK": (3, "#009E73"),
    "NAME": (8, "#222222"),
}
_MM_PER_M = 1e3
_INSUNITS_MM = 4
_TEXT_MM, _MARK_MM, _MARGIN_MM, _LINE_MM = 4.0, 2.0, 5.0, 0.2
#: A gap is drawn as a line across the conductor, so many of its widths long.
_GAP_OVER_WIDTH = 2.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Line:
    layer: str
    points_mm: Real
    closed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Text:
    layer: str
    text: str
    middle_mm: tuple[float, float]


def write_pattern_dxf(path: Path, pattern: FilmPattern) -> None:
    """Write a pattern as DXF; see `pattern_dxf`."""
    write_whole(path, pattern_dxf(pattern))


def write_pattern_svg(path: Path, pattern: FilmPattern) -> None:
    """Write a pattern as SVG; see `pattern_svg`."""
    write_whole(path, pattern_svg(pattern))


def write_patterns(directory: Path, draped: DrapedArray | None) -> None:
    """Write the flat film of an array as ``pattern.dxf`` and ``.svg``; with its slits as ``pattern_slit``."""
    if draped is None or draped.film is None:
        return
    for stem, pattern in (("pattern", draped.pattern), ("pattern_slit", draped.slit_pattern)):
        if pattern is not None:
            write_pattern_dxf(directory / f"{stem}.dxf", pattern)
            write_pattern_svg(directory / f"{stem}.svg", pattern)


def pattern_dxf(pattern: FilmPattern) -> bytes:
    """Content of a DXF file (R2010, millimetres) of a pattern as seen from outside the body, x right and y up."""
    import ezdxf  # noqa: PLC0415 - slow to load, and only drawings need it
    from ezdxf.enums import TextEntityAlignment  # noqa: PLC0415 - as above

    with _always_alike():
        document = ezdxf.new("R2010", setup=False)  # type: ignore[attr-defined]
    document.header["$INSUNITS"] = _INSUNITS_MM
    for name, (colour, _) in LAYERS.items():
        document.layers.add(name, color=colour)
    space = document.modelspace()
    for line in _lines(pattern):
        space.add_lwpolyline(line.points_mm.tolist(), close=line.closed, dxfattribs={"layer": line.layer})
    for text in _texts(pattern):
        entity = space.add_text(text.text, height=_TEXT_MM, dxfattribs={"layer": text.layer})
        entity.set_placement(text.middle_mm, align=TextEntityAlignment.MIDDLE_CENTER)
    content = io.StringIO()
    with _always_alike():
        document.write(content)
    return content.getvalue().encode("utf-8")


@contextmanager
def _always_alike() -> Iterator[None]:
    """Drawings without the time and the chance numbers that make each one differ."""
    import ezdxf  # noqa: PLC0415 - as above

    options = ezdxf.options  # type: ignore[attr-defined]
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def pattern_svg(pattern: FilmPattern) -> bytes:
    """Content of an SVG file of a pattern, one user unit to the millimetre, x right and y up as seen from outside."""
    corners = np.concatenate([line.points_mm for line in _lines(pattern)])
    (left, low), (right, high) = corners.min(axis=0) - _MARGIN_MM, corners.max(axis=0) + _MARGIN_MM
    width, height = right - left, high - low
    size = f'width="{width:.3f}mm" height="{height:.3f}mm" viewBox="{left:.3f} {-high:.3f} {width:.3f} {height:.3f}"'
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', f'<svg xmlns="http://www.w3.org/2000/svg" {size}>']
    for layer, (_, colour) in LAYERS.items():
        lines.append(f'<g id="{layer}" fill="none" stroke="{colour}" stroke-width="{_LINE_MM}">')
        lines += [_svg_line(line) for line in _lines(pattern) if line.layer == layer]
        lines += [_svg_text(text, colour) for text in _texts(pattern) if text.layer == layer]
        lines.append("</g>")
    return "\n".join([*lines, "</svg>", ""]).encode("utf-8")


def _lines(pattern: FilmPattern) -> Iterator[_Line]:
    def line(layer: str, points_m: Real, *, closed: bool) -> _Line:
        return _Line(layer=layer, points_mm=_MM_PER_M * points_m, closed=closed)

    yield line("FILM_OUTLINE", pattern.outline_m, closed=True)
    for slit in pattern.slits_m:
        yield line("SLIT", slit, closed=True)
    for element in pattern.elements:
        yield line("ELEMENT_CENTRE_LINE", element.outline_m, closed=True)
        outer, inner = conductor_edges_m(element, width_m=pattern.conductor_width_m)
        yield from (line("CONDUCTOR_EDGE", edge, closed=True) for edge in (outer, inner))
        for node in element.gap_nodes:
            ends = np.stack([outer[node], inner[node]])
            middle = ends.mean(axis=0)
            yield line("CONDUCTOR_GAP", middle + _GAP_OVER_WIDTH * (ends - middle), closed=False)
    for place in pattern.marks_m.values():
        for arm in ([_MARK_MM, 0.0], [0.0, _MARK_MM]):
            ends = np.array([np.negative(arm), arm]) / _MM_PER_M
            yield line("MARK", np.asarray(place) + ends, closed=False)


def _texts(pattern: FilmPattern) -> Iterator[_Text]:
    for element in pattern.elements:
        x, y = element.centre_m
        yield _Text(layer="NAME", text=element.name, middle_mm=(_MM_PER_M * x, _MM_PER_M * y))
    for name, (x, y) in pattern.marks_m.items():
        yield _Text(layer="MARK", text=name, middle_mm=(_MM_PER_M * x, _MM_PER_M * y + _MARK_MM + _TEXT_MM / 2))


def _svg_line(line: _Line) -> str:
    shape = "polygon" if line.closed else "polyline"
    points = " ".join(f"{x:.4f},{-y:.4f}" for x, y in line.points_mm)  # y runs downwards in SVG
    return f'<{shape} points="{points}"/>'


def _svg_text(text: _Text, colour: str) -> str:
    x, y = text.middle_mm
    place = f'x="{x:.3f}" y="{-y:.3f}" font-size="{_TEXT_MM}" text-anchor="middle" dominant-baseline="central"'
    return f'<text {place} fill={quoteattr(colour)} stroke="none">{escape(text.text)}</text>'
