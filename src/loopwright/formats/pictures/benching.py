"""A measurement beside the design and the fit: reflection of every port over frequency."""

import numpy as np

from loopwright.dossier import BenchEvidence
from loopwright.formats.pictures.style import FAINT, FONT_POINTS, LINE_COLOURS, Picture, new_figure, plain, png

__all__ = ["bench_picture"]

_COLUMNS = 3


def bench_picture(evidence: BenchEvidence) -> Picture:
    """Draw one panel for each port."""
    names, model = evidence.element_names, evidence.fit.model
    rows = -(-len(names) // _COLUMNS)
    figure = new_figure(height_in=0.7 + 2.1 * rows)
    figure.subplots_adjust(left=0.09, right=0.985, top=1 - 0.45 / (0.7 + 2.1 * rows), bottom=0.52 / (0.7 + 2.1 * rows),
                           wspace=0.14, hspace=0.35)  # fmt: skip
    panels = figure.subplots(rows, min(_COLUMNS, len(names)), squeeze=False, sharex=True, sharey=True)
    frequency_mhz = 1e-6 * model.frequencies_hz
    for port, axes in enumerate(panels.flat):
        if port >= len(names):
            axes.set_visible(False)
            continue
        for label, scattering, style, colour in (
            ("measured", evidence.measured.scattering, "o", LINE_COLOURS[6]),
            ("design", evidence.design_scattering, "--", LINE_COLOURS[0]),
            ("fitted", evidence.fit.scattering, "-", LINE_COLOURS[1]),
        ):
            size_db = 20 * np.log10(np.maximum(np.abs(scattering[:, port, port]), 1e-4))
            axes.plot(frequency_mhz, size_db, style, color=colour, markersize=2.4, linewidth=1.3, label=label)
        axes.axvline(1e-6 * model.frequency_hz, color=FAINT, linewidth=0.8, linestyle=":")
        axes.set_title(names[port], fontsize=FONT_POINTS)
        plain(axes)
    for axes in panels[-1]:
        axes.set_xlabel("frequency [MHz]")
    for axes in panels[:, 0]:
        axes.set_ylabel("|S| of the port [dB]")
    handles, labels = panels[0, 0].get_legend_handles_labels()
    figure.legend(handles, labels, frameon=False, fontsize=FONT_POINTS - 1, loc="upper left", ncols=3)
    return Picture(
        name="bench_reflection",
        caption="Reflection of every port: measured, as designed, and as fitted. Dotted: operating frequency.",
        png=png(figure),
    )
