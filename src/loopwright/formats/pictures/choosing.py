"""SNR of a close coil over that of a rigid one, against how much further out the rigid one stands."""

import numpy as np

from loopwright.dossier import ChoiceEvidence
from loopwright.formats.pictures.style import FAINT, FONT_POINTS, LINE_COLOURS, Picture, new_figure, plain, png

__all__ = ["break_even_picture"]

_STYLES = ("-", "--", ":", "-.")


def break_even_picture(evidence: ChoiceEvidence) -> Picture:
    """Draw one panel for each depth; a line crosses 1 where the two coils break even."""
    choice = evidence.choice
    depths = choice.depths_m[:3]
    below_in = 0.5 + 0.16 * len(evidence.names)  # names of conductors are long: one to a line
    figure = new_figure(height_in=2.5 + below_in)
    figure.subplots_adjust(left=0.08, right=0.985, top=0.91, bottom=below_in / (2.5 + below_in), wspace=0.12)
    panels = np.atleast_1d(figure.subplots(1, len(depths), sharey=True))
    for number, (axes, depth_m) in enumerate(zip(panels, depths, strict=True)):
        for rank, (name, line) in enumerate(zip(evidence.names, choice.lines, strict=True)):
            axes.plot(
                1e3 * choice.further_out_m,
                line.snr_over_rigid[:, number],
                color=LINE_COLOURS[rank % len(LINE_COLOURS)],
                linestyle=_STYLES[rank % len(_STYLES)],
                marker="os^D"[rank % 4],
                markersize=3.5,
                linewidth=1.4,
                label=name,
            )
        axes.axhline(1.0, color=FAINT, linewidth=0.8)
        axes.set_title(f"{1e3 * depth_m:g} mm below the skin", fontsize=FONT_POINTS)
        axes.set_xlabel("rigid coil further out by [mm]")
        axes.set_xlim(left=0)
        plain(axes)
    panels[0].set_ylabel("SNR over that of the rigid coil [1]")
    handles, labels = panels[0].get_legend_handles_labels()
    figure.legend(handles, labels, frameon=False, fontsize=FONT_POINTS - 1, loc="lower center", ncols=1)
    return Picture(
        name="break_even",
        caption=f"SNR of {choice.element} over that of the same loop on a rigid shell, made of {evidence.rigid_name}: "
        "above 1 the close coil is better."
        + (" The first three depths; the table holds all." if len(choice.depths_m) > len(depths) else ""),
        png=png(figure),
    )
