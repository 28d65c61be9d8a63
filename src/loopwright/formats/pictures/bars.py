"""Where the resistance of each element comes from."""

import numpy as np

from loopwright.dossier import NetworkEvidence
from loopwright.formats.pictures.style import FONT_POINTS, HATCHES, INK, LINE_COLOURS, Picture, new_figure, plain, png

__all__ = ["resistance_picture"]


def resistance_picture(network: NetworkEvidence, *, element_names: tuple[str, ...]) -> Picture:
    """Draw the parts of each element's resistance as stacked bars, with the coil noise figure above."""
    figure = new_figure(height_in=3.0)
    figure.subplots_adjust(left=0.075, right=0.99, top=0.84, bottom=0.17)
    axes = figure.add_subplot()
    place = np.arange(len(element_names))
    floor = np.zeros(len(element_names))
    for number, (mechanism, values) in enumerate(network.resistance_ohm.items()):
        axes.bar(
            place,
            values,
            bottom=floor,
            width=0.74,
            label=mechanism,
            color=LINE_COLOURS[number % len(LINE_COLOURS)],
            hatch=HATCHES[number % len(HATCHES)],
            edgecolor="white",
            linewidth=0.5,
        )
        floor = floor + values
    small = FONT_POINTS - (1 if len(element_names) <= 20 else 2.5)
    for x, y, loss in zip(place, floor, network.coil_noise_figure_db, strict=True):
        axes.annotate(f"{loss:.2f}", (x, y), xytext=(0, 2), textcoords="offset points", ha="center", fontsize=small)
    axes.set_xticks(place, element_names, rotation=90 if len(element_names) > 20 else 0)
    axes.set_xlim(-0.6, len(element_names) - 0.4)
    axes.set_ylim(0, 1.08 * float(floor.max()))
    axes.set_ylabel("series resistance [Ω]")
    axes.set_xlabel("element")
    plain(axes)
    axes.tick_params(axis="x", length=0, labelsize=small)
    axes.legend(loc="lower center", bbox_to_anchor=(0.5, 1.02), ncols=5, frameon=False, fontsize=FONT_POINTS - 1,
                labelcolor=INK, handlelength=2.2)  # fmt: skip
    return Picture(
        name="resistance",
        caption="Series resistance of each element by cause; the number above is its coil noise figure [dB]. "
        "Radiation is outside the noise.",
        png=png(figure),
    )
