"""A printed capacitor with its tabs, to scale, sizes in millimetres."""

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from loopwright.conductors import PrintedGap, Tab, TabKind
from loopwright.dossier import PRINTED_PICTURE, PrintedEvidence
from loopwright.formats.pictures.style import FAINT, FONT_POINTS, INK, WIDTH_IN, Picture, new_figure, png

__all__ = ["printed_picture"]

_PLATE, _TAB, _APART, _LOWER = "#c9c9c9", "#dddddd", "white", "#f4f1e8"
_SIDE_MM, _LINK_MM, _LABEL_POINTS = 3.0, 0.3, FONT_POINTS - 1
_TALLEST_IN, _SHORTEST_IN = 5.2, 2.6


def printed_picture(evidence: PrintedEvidence) -> Picture:
    """Draw the capacitor of the element whose value lies in the middle: upper print grey, lower print outlined."""
    order = sorted(range(len(evidence.gaps)), key=lambda n: evidence.gaps[n].target_f)
    middle = order[len(order) // 2]
    gap, line = evidence.gaps[middle], evidence.lines[middle]
    margin, apart = 1e3 * evidence.margin_m, 1e3 * evidence.gap_between_m
    rows = _rows(gap, apart, margin)
    wide, tall = _extent(gap, rows, apart)
    height_in = min(max((WIDTH_IN - 0.2) * tall / wide, _SHORTEST_IN), _TALLEST_IN)
    figure = new_figure(height_in=height_in)
    axes = figure.add_axes((0.01, 0.01, 0.98, 0.98))
    _draw(axes, gap, rows, apart, margin)
    axes.set_aspect("equal")
    axes.axis("off")
    picture = png(figure)
    return Picture(
        name=PRINTED_PICTURE,
        caption=f"Printed capacitor of {line.name}, {1e12 * gap.target_f:.3g} pF in each of {line.gaps} gaps, to "
        "scale, sizes in mm; tabs with one size are square. Grey: upper print, with the tabs that are cut (T, at the "
        "cross) and those printed apart that can be bridged (B, white). Dashed: lower print, notched below the necks, "
        "its parts joined beside the upper one. Leads leave at opposite ends.",
        png=picture,
    )


def _rows(gap: PrintedGap, apart: float, margin: float) -> list[tuple[Tab, float, int]]:
    """Tabs with the left edge of each and the side on which it lies, filled along the plate from the left. [mm]"""
    ladder, placed = gap.ladder, []
    ends = {1: 0.0, -1: 0.0}
    for tab in ladder.tabs:
        side = min(ends, key=lambda one: (ends[one], -one))
        placed.append((tab, ends[side], side))
        ends[side] += 1e3 * tab.plate.length_m + max(apart, 2 * margin + 0.3)
    return placed


def _extent(gap: PrintedGap, rows: list[tuple[Tab, float, int]], apart: float) -> tuple[float, float]:
    body = gap.ladder.body
    right = max(1e3 * body.length_m, *(left + 1e3 * tab.plate.length_m for tab, left, _ in rows))
    reach = sum(max((1e3 * tab.plate.width_m for tab, _, at in rows if at == side), default=0.0) for side in (1, -1))
    return right + 2 * _SIDE_MM + 2, 1e3 * body.width_m + reach + 2 * apart + 4


def _draw(axes: Axes, gap: PrintedGap, rows: list[tuple[Tab, float, int]], apart: float, margin: float) -> None:
    body = gap.ladder.body
    long, wide = 1e3 * body.length_m, 1e3 * body.width_m
    right = max(long, *(left + 1e3 * tab.plate.length_m for tab, left, _ in rows))
    _lower(axes, -margin, -wide / 2 - margin, long + 2 * margin, wide + 2 * margin)
    _upper(axes, 0, -wide / 2, long, wide, _PLATE)
    lead = wide / 2
    axes.add_patch(Rectangle((-_SIDE_MM, -lead / 2), _SIDE_MM, lead, facecolor=_PLATE, edgecolor=INK, linewidth=0.6))
    _lower(axes, long + margin, -lead / 2, _SIDE_MM - margin, lead)
    for side in (1, -1):
        _row_links(axes, [(tab, left) for tab, left, at in rows if at == side], side, (long, wide / 2), apart, margin)
    for tab, left, side in rows:
        _tab(axes, tab, left, side, wide / 2, apart, margin)
    _size(axes, (0, long), -0.12 * wide, f"{long:.2f}")
    axes.annotate("", (0.12 * long, -wide / 2), (0.12 * long, wide / 2), arrowprops=_ARROW)
    axes.text(0.12 * long + 0.15, 0.12 * wide, f"{wide:.2f}", fontsize=FONT_POINTS, color=INK, va="center")
    tops = [1e3 * tab.plate.width_m for tab, _, side in rows if side == 1] or [0.0]
    bottoms = [1e3 * tab.plate.width_m for tab, _, side in rows if side == -1] or [0.0]
    axes.set_xlim(-_SIDE_MM - 0.3, right + _SIDE_MM + 0.3)
    axes.set_ylim(-wide / 2 - apart - max(bottoms) - 1.6, wide / 2 + apart + max(tops) + 1.6)


_ARROW = {"arrowstyle": "<->", "color": INK, "linewidth": 0.7, "shrinkA": 0, "shrinkB": 0, "mutation_scale": 7}


def _row_links(
    axes: Axes, row: list[tuple[Tab, float]], side: int, corner: tuple[float, float], apart: float, margin: float
) -> None:
    """Join the lower plates of a row to each other and, at its left end, to the large one; carry the upper rail on."""
    if not row:
        return
    long, edge = corner
    last, left = row[-1]
    neck, link = left + 500 * last.plate.length_m, max(margin, _LINK_MM)
    if neck > long:
        axes.plot([long, neck], [side * edge] * 2, color=INK, linewidth=1.6, solid_capstyle="butt", zorder=2)
    first = side * (edge + apart) if side == 1 else -edge - apart - link
    _lower(axes, -link, first, neck + link, link)
    beside = edge - 2 * link  # along the side of the large plate, where a print without margin still touches it
    _lower(axes, -link, beside if side == 1 else -edge - apart - link, link, apart + 3 * link)


def _size(axes: Axes, ends: tuple[float, float], height: float, text: str) -> None:
    axes.annotate("", (ends[0], height), (ends[1], height), arrowprops=_ARROW)
    axes.text(sum(ends) / 2, height, text, fontsize=FONT_POINTS, color=INK, ha="center", va="bottom")


def _upper(axes: Axes, x: float, y: float, wide: float, tall: float, colour: str) -> None:
    axes.add_patch(Rectangle((x, y), wide, tall, facecolor=colour, edgecolor=INK, linewidth=0.8, zorder=2))


def _lower(axes: Axes, x: float, y: float, wide: float, tall: float) -> None:
    axes.add_patch(
        Rectangle((x, y), wide, tall, facecolor=_LOWER, edgecolor=FAINT, linewidth=0.7, linestyle="--", zorder=1)
    )


def _tab(axes: Axes, tab: Tab, left: float, side: int, edge: float, apart: float, margin: float) -> None:
    long, deep = 1e3 * tab.plate.length_m, 1e3 * tab.plate.width_m
    near = edge + apart
    bottom = near if side == 1 else -near - deep
    _lower(axes, left - margin, bottom - margin, long + 2 * margin, deep + 2 * margin)
    _upper(axes, left, bottom, long, deep, _TAB if tab.kind is TabKind.CUT else _APART)
    for start in (edge, near - margin):  # no lower print below a neck
        foot = start if side == 1 else -start - margin
        axes.add_patch(
            Rectangle((left + long / 2 - _LINK_MM, foot), 2 * _LINK_MM, margin, facecolor="white", zorder=1.5)
        )
    middle, joint = left + long / 2, side * (edge + apart / 2)
    if tab.kind is TabKind.CUT:
        axes.plot([middle] * 2, [side * edge, side * near], color=INK, linewidth=1.6, solid_capstyle="butt", zorder=2)
        axes.plot([middle], [joint], marker="x", color=INK, markersize=5, markeredgewidth=1.0, zorder=3)
    else:
        for start in (edge, edge + 0.65 * apart):
            axes.plot([middle] * 2, [side * start, side * (start + 0.35 * apart)], color=INK, linewidth=1.6,
                      solid_capstyle="butt", zorder=2)  # fmt: skip
    axes.text(middle, bottom + deep + margin + 0.1 if side == 1 else bottom - margin - 0.1,
              f"{tab.name}\n{_sides(long, deep)}", fontsize=_LABEL_POINTS, color=INK, ha="center",
              va="bottom" if side == 1 else "top", linespacing=1.1)  # fmt: skip


def _sides(long: float, deep: float) -> str:
    return f"{deep:.2f}" if abs(long - deep) < 0.005 else f"{long:.2f} × {deep:.2f}"
