"""What patients and phantoms add to one element."""

import numpy as np

from loopwright.designs import LoadingEquivalence
from loopwright.formats.pictures.style import FAINT, HATCHES, LINE_COLOURS, Picture, new_figure, plain, png

__all__ = ["loading_picture"]

_ROW_IN = 0.24


def loading_picture(found: LoadingEquivalence) -> Picture:
    """Draw one bar for each body, patients above phantoms, all in the order of what they add."""
    groups = [("patient", found.patients), ("phantom", found.phantoms)]
    loads = [(role, load) for role, group in groups for load in sorted(group, key=lambda load: load.fine_ohm)]
    height_in = 1.0 + _ROW_IN * len(loads)
    figure = new_figure(height_in=height_in)
    figure.subplots_adjust(left=0.30, right=0.97, top=1 - 0.35 / height_in, bottom=0.55 / height_in)
    axes = figure.add_subplot()
    for number, (role, _) in enumerate(groups):
        mine = [place for place, (kind, _) in enumerate(loads) if kind == role]
        axes.barh(
            mine,
            [loads[place][1].fine_ohm for place in mine],
            xerr=[loads[place][1].uncertainty_ohm for place in mine],
            height=0.7,
            color=LINE_COLOURS[number],
            hatch=HATCHES[number],
            edgecolor="white",
            linewidth=0.5,
            ecolor=FAINT,
            label=f"{role}s",
        )
    for patient in found.patients:
        axes.axvline(patient.fine_ohm, color=FAINT, linewidth=0.6, linestyle=":")
    axes.set_yticks(np.arange(len(loads)), [load.name for _, load in loads])
    axes.invert_yaxis()
    axes.set_xlabel("resistance added to the element [Ω]")
    plain(axes)
    axes.legend(frameon=False, ncols=2, loc="lower right", bbox_to_anchor=(1.0, 1.0), fontsize=7)
    return Picture(
        name="loading",
        caption="Resistance that each body adds to the element; whiskers are the change between two grids, dotted "
        "lines carry the patients down to the phantoms.",
        png=png(figure),
    )
