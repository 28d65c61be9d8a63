"""A measurement beside the design and the fit: reflection of every port over frequency, and what the fit leaves."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from loopwright.dossier import BenchEvidence
from loopwright.formats.pictures.style import (
    FAINT,
    FONT_POINTS,
    LINE_COLOURS,
    Picture,
    new_figure,
    plain,
    png,
)

__all__ = ["draw_bench"]

_COLUMNS = 3


def draw_bench(evidence: BenchEvidence) -> tuple[Picture, ...]:
    """Draw every picture that the page of a measurement names."""
    return _reflection(evidence), _residual(evidence)


def _reflection(evidence: BenchEvidence) -> Picture:
    figure, panels = _panels(evidence)
    curves = (
        ("measured", evidence.measured.scattering, "o", LINE_COLOURS[6]),
        ("design", evidence.design_scattering, "--", LINE_COLOURS[0]),
        ("fitted", evidence.fit.scattering, "-", LINE_COLOURS[1]),
    )
    for port, axes in enumerate(panels):
        for label, scattering, style, colour in curves:
            size_db = 20 * np.log10(np.maximum(np.abs(scattering[:, port, port]), 1e-4))
            axes.plot(_mhz(evidence), size_db, style, color=colour, markersize=2.4, linewidth=1.3, label=label)
    _finish(evidence, figure, panels, "|S| of the port [dB]")
    return Picture(
        name="bench_reflection",
        caption="Reflection of every port: measured, as designed, and as fitted. Dotted: operating frequency.",
        png=png(figure),
    )


def _residual(evidence: BenchEvidence) -> Picture:
    """One panel for each port: what is left of its own reflection, and the largest of what it passes to others."""
    figure, panels = _panels(evidence)
    left = np.abs(evidence.fit.scattering - evidence.measured.scattering)
    design = np.abs(evidence.design_scattering - evidence.measured.scattering)
    for port, axes in enumerate(panels):
        axes.semilogy(_mhz(evidence), np.maximum(design[:, port, port], 1e-4), "--", color=LINE_COLOURS[0],
                      linewidth=1.3, label="design, reflection")  # fmt: skip
        axes.semilogy(_mhz(evidence), np.maximum(left[:, port, port], 1e-4), "-", color=LINE_COLOURS[1],
                      linewidth=1.3, label="fitted, reflection")  # fmt: skip
        if len(panels) > 1:
            others = np.delete(left[:, port], port, axis=1).max(axis=1)
            axes.semilogy(_mhz(evidence), np.maximum(others, 1e-4), ":", color=LINE_COLOURS[2], linewidth=1.3,
                          label="fitted, largest transmission")  # fmt: skip
    _finish(evidence, figure, panels, "|difference of S| [1]")
    return Picture(
        name="bench_residual",
        caption="What is left: size of the difference to the measurement. Noise scatters; a curve that goes on from "
        "point to point is something that the circuit, or the calibration, lacks.",
        png=png(figure),
    )


def _mhz(evidence: BenchEvidence) -> np.ndarray:
    return 1e-6 * evidence.fit.model.frequencies_hz


def _panels(evidence: BenchEvidence) -> tuple[Figure, list[Axes]]:
    """One panel for each port; those that are not needed stay away."""
    count = len(evidence.element_names)
    rows = -(-count // _COLUMNS)
    height_in = 0.75 + (2.7 if count == 1 else 2.1) * rows
    figure = new_figure(height_in=height_in)
    figure.subplots_adjust(left=0.09, right=0.985, top=1 - 0.5 / height_in, bottom=0.45 / height_in, wspace=0.14,
                           hspace=0.35)  # fmt: skip
    panels = list(figure.subplots(rows, min(_COLUMNS, count), squeeze=False, sharex=True, sharey=True).flat)
    for axes in panels[count:]:
        axes.set_visible(False)
    return figure, panels[:count]


def _finish(evidence: BenchEvidence, figure: Figure, panels: list[Axes], label: str) -> None:
    columns = min(_COLUMNS, len(panels))
    for port, axes in enumerate(panels):
        axes.axvline(1e-6 * evidence.fit.model.frequency_hz, color=FAINT, linewidth=0.8, linestyle=":")
        axes.set_title(evidence.element_names[port], fontsize=FONT_POINTS)
        plain(axes)
        if port + columns >= len(panels):
            axes.set_xlabel("frequency [MHz]")
            axes.tick_params(labelbottom=True)
        if port % columns == 0:
            axes.set_ylabel(label)
    handles, labels = panels[0].get_legend_handles_labels()
    figure.legend(handles, labels, frameon=False, fontsize=FONT_POINTS - 1, loc="upper left", ncols=3)
