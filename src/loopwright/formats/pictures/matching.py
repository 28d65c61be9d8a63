"""Curves of the wired array: reflection of every channel, and what two probes show of the first elements."""

import numpy as np
from matplotlib.axes import Axes

from loopwright.circuits import CircuitOutcome
from loopwright.circuits.readings.probe import MATCHED, OPEN, ProbeResponse
from loopwright.circuits.states import ACTIVELY_DETUNED, PASSIVELY_DETUNED, RECEIVING
from loopwright.circuits.values.source_match import source_reflection
from loopwright.dossier.circuit import SHOWN
from loopwright.formats.pictures.style import FAINT, FONT_POINTS, INK, LINE_COLOURS, Picture, new_figure, plain, png

__all__ = ["match_picture", "probe_picture"]

_STYLES = ("-", "--", "-.", ":", (0, (5, 1, 1, 1, 1, 1)))
_LEAST_DB = -60.0
#: A line and a colour of its own for every state, whichever of them a circuit has.
_STATES = (MATCHED, RECEIVING.name, ACTIVELY_DETUNED.name, PASSIVELY_DETUNED.name, OPEN)


def match_picture(outcome: CircuitOutcome, *, element_names: tuple[str, ...]) -> Picture:
    """Draw the reflection of every channel against the source that is wanted."""
    figure = new_figure(height_in=2.7)
    figure.subplots_adjust(left=0.08, right=0.985, top=0.89, bottom=0.17)
    axes = figure.add_subplot()
    frequency_mhz = 1e-6 * outcome.sweep.frequencies_hz
    seen, source = outcome.sweep.seen_ohm, outcome.source_ohm
    reflection_db = 20 * np.log10(np.maximum(np.abs(source_reflection(seen, source)), 1e-6))
    for number in reversed(range(len(element_names))):
        named = number < len(_STYLES) - 1
        axes.plot(frequency_mhz, reflection_db[:, number], color=LINE_COLOURS[number] if named else FAINT,
                  linestyle=_STYLES[number] if named else "-", linewidth=1.3 if named else 0.5,
                  label=element_names[number] if named else None)  # fmt: skip
    _frame(axes, outcome)
    axes.set_ylim(-50, 1)
    axes.set_ylabel("|S| of the channel [dB]")
    handles, labels = axes.get_legend_handles_labels()
    axes.legend(handles[::-1], labels[::-1], frameon=False, fontsize=FONT_POINTS - 1, loc="lower left",
                bbox_to_anchor=(0.0, 1.0), ncols=4)  # fmt: skip
    return Picture(
        name="match",
        caption="Reflection of each channel against the source that is wanted, all other receivers in place; dotted: "
        "frequency of the run.",
        png=png(figure),
    )


def probe_picture(outcome: CircuitOutcome, *, element_names: tuple[str, ...]) -> Picture:
    """Draw the response between two probes in every state of the first elements, half-power points marked."""
    shown = min(SHOWN, len(element_names))
    figure = new_figure(height_in=2.9)
    figure.subplots_adjust(left=0.08, right=0.985, top=0.76, bottom=0.16, wspace=0.12)
    axes_row = np.atleast_1d(figure.subplots(1, shown, sharey=True))
    for axes, probe, name in zip(axes_row, outcome.probes, element_names, strict=False):
        _probe_curves(axes, probe)
        _frame(axes, outcome)
        axes.set_title(name, fontsize=FONT_POINTS, color=INK)
    axes_row[0].set_ylabel("two probes [dB]")
    handles, labels = axes_row[0].get_legend_handles_labels()
    figure.legend(handles, labels, frameon=False, fontsize=FONT_POINTS - 1, loc="upper left", ncols=3,
                  bbox_to_anchor=(0.07, 1.0))  # fmt: skip
    return Picture(
        name="double_probe",
        caption="What two probes show that couple weakly to the element and not to each other, all other elements "
        "receiving; 0 dB: power-matched load at the frequency of the run (dotted). Triangle and bars: peak and "
        "half-power points, unplugged.",
        png=png(figure),
    )


def _probe_curves(axes: Axes, probe: ProbeResponse) -> None:
    frequency_mhz = 1e-6 * probe.frequencies_hz
    for rank, state in enumerate(_STATES):
        if state not in probe.response_db:
            continue
        axes.plot(frequency_mhz, np.maximum(probe.response_db[state], _LEAST_DB), color=LINE_COLOURS[rank],
                  linestyle=_STYLES[rank], linewidth=1.3, label=state)  # fmt: skip
    unplugged, width = probe.response_db[OPEN], probe.width
    colour = LINE_COLOURS[_STATES.index(OPEN)]
    for place_hz, marker in ((width.peak_hz, "v"), (width.low_hz, "|"), (width.high_hz, "|")):
        if np.isfinite(place_hz):
            level = float(np.interp(place_hz, probe.frequencies_hz, unplugged))
            axes.plot(1e-6 * place_hz, level, marker=marker, markersize=6, color=colour, linestyle="")
    apart_mhz = 1e-6 * (width.high_hz - width.low_hz)
    told = f"{1e-6 * width.peak_hz:.2f} MHz" + (f", −3 dB over {apart_mhz:.2f} MHz" if np.isfinite(apart_mhz) else "")
    axes.text(1e-6 * width.peak_hz, float(unplugged.max()) + 1.5, told, fontsize=FONT_POINTS - 1, color=INK,
              ha="center", va="bottom")  # fmt: skip
    axes.set_ylim(top=float(unplugged.max()) + 8)


def _frame(axes: Axes, outcome: CircuitOutcome) -> None:
    axes.set_xlabel("frequency [MHz]")
    axes.axvline(1e-6 * outcome.ports.frequency_hz, color=FAINT, linewidth=0.8, linestyle=":")
    axes.set_xlim(1e-6 * outcome.sweep.frequencies_hz[0], 1e-6 * outcome.sweep.frequencies_hz[-1])
    plain(axes)
