"""Curves: ports over frequency, SNR or sensitivity against depth, the best of a source shell over its modes."""

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from loopwright.dossier import MapKind, MapSet, NetworkEvidence, ScalarMap, ShellEvidence, depth_profile
from loopwright.formats.pictures.style import (
    FAINT,
    FONT_POINTS,
    LINE_COLOURS,
    Picture,
    log_ticks,
    new_figure,
    plain,
    png,
    quantity_label,
)

__all__ = ["depth_picture", "frequency_picture", "plateau_picture"]

_STYLES = ("-", "--", ":", "-.")
_REFERENCE_OHM = 50.0


def frequency_picture(network: NetworkEvidence) -> Picture:
    """Draw reactance and reflection of every element port before matching; the two outermost ports are named."""
    frequency_mhz = 1e-6 * network.frequencies_hz
    impedance = np.moveaxis(np.diagonal(network.impedance_ohm, axis1=1, axis2=2), -1, 0)  # (ports, frequencies)
    reflection = np.abs((impedance - _REFERENCE_OHM) / (impedance + _REFERENCE_OHM))
    figure = new_figure(height_in=2.7)
    figure.subplots_adjust(left=0.08, right=0.985, top=0.89, bottom=0.17, wspace=0.26)
    left, right = figure.subplots(1, 2)
    _bundle(left, frequency_mhz, impedance.imag, network)
    left.axhline(0.0, color=FAINT, linewidth=0.6)
    left.set_ylabel("reactance of the port [Ω]")
    _bundle(right, frequency_mhz, 20 * np.log10(np.maximum(reflection, 1e-6)), network)
    right.set_ylabel("|S| of the port at 50 Ω [dB]")
    for axes in (left, right):
        axes.set_xlabel("frequency [MHz]")
        axes.axvline(1e-6 * network.frequency_hz, color=FAINT, linewidth=0.8, linestyle=":")
        plain(axes)
    return Picture(
        name="frequency",
        caption="Element ports before matching, the other elements open; dotted: frequency of the run. "
        "Named: the ports with the largest and the least value at its left end.",
        png=png(figure),
    )


def depth_picture(maps: MapSet) -> Picture:
    """Draw every map of SNR or sensitivity against depth; the band holds the middle 80 % of the first one."""
    figure = new_figure(height_in=2.9)
    figure.subplots_adjust(left=0.09, right=0.985, top=0.96, bottom=0.16)
    axes = figure.add_subplot()
    scalars = [scalar for scalar in maps.scalars if scalar.kind is MapKind.SNR]
    for number, scalar in enumerate(scalars):
        profile = depth_profile(scalar, maps)
        colour = LINE_COLOURS[number % len(LINE_COLOURS)]
        depth_mm = 1e3 * profile.depth_m
        if number == 0:
            axes.fill_between(
                depth_mm, profile.percentile_10, profile.percentile_90, color=colour, alpha=0.15, linewidth=0
            )
        axes.plot(depth_mm, profile.median, color=colour, linestyle=_STYLES[number % len(_STYLES)], linewidth=1.4,
                  label=scalar.title)  # fmt: skip
    axes.set_yscale("log")
    log_ticks(axes.yaxis)
    axes.set_xlim(left=0)
    axes.set_xlabel("depth below the skin [mm]")
    axes.set_ylabel(quantity_label(scalars[0]) if scalars else MapKind.SNR.value)
    axes.grid(visible=True, which="major", color="#e6e6e6", linewidth=0.6)
    axes.set_axisbelow(True)
    plain(axes)
    axes.legend(frameon=False, fontsize=FONT_POINTS - 1)
    return Picture(
        name="snr_depth",
        caption=f"{_quantity(scalars)} against depth: lines are medians of each depth, the band holds the middle "
        f"80 % of “{scalars[0].title if scalars else ''}”.",
        png=png(figure),
    )


def plateau_picture(shell: ShellEvidence) -> Picture:
    """Draw the bound of a source shell over the number of its modes, one line for every voxel of the table."""
    figure = new_figure(height_in=2.7)
    figure.subplots_adjust(left=0.09, right=0.985, top=0.89, bottom=0.17)
    axes = figure.add_subplot()
    for number, line in enumerate(shell.plateau):
        axes.plot(
            shell.mode_counts,
            1e6 * np.asarray(line.values),
            color=LINE_COLOURS[number % len(LINE_COLOURS)],
            linestyle=_STYLES[number % len(_STYLES)],
            marker="os^D"[number % 4],
            markersize=3.5,
            linewidth=1.4,
            label=f"{line.place} ({1e3 * line.depth_m:.0f} mm)",
        )
    axes.set_yscale("log")
    log_ticks(axes.yaxis)
    axes.set_xlim(left=0)
    axes.set_xlabel("modes of the source shell [1]")
    axes.set_ylabel("best sensitivity [µT/(A √Ω)]")
    axes.grid(visible=True, which="major", color="#e6e6e6", linewidth=0.6)
    axes.set_axisbelow(True)
    plain(axes)
    axes.legend(frameon=False, fontsize=FONT_POINTS - 1, loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=3)
    return Picture(
        name=f"shell_{shell.coverage}_plateau",
        caption=f"Source shell, {shell.coverage}: the bound in three voxels (depth below the skin in brackets) over "
        "the number of modes, the array's own sources not added. A line that still rises at its end would rise on.",
        png=png(figure),
    )


def _quantity(scalars: list[ScalarMap]) -> str:
    """What all curves show, at the beginning of a sentence."""
    quantity = scalars[0].quantity if scalars else "SNR"
    return quantity[:1].upper() + quantity[1:]


def _bundle(
    axes: Axes, frequency_mhz: NDArray[np.floating], values: NDArray[np.floating], network: NetworkEvidence
) -> None:
    """Draw one line per port, and name the outermost two at the left end."""
    outermost = (int(np.argmax(values[:, 0])), int(np.argmin(values[:, 0])))
    for number, line in enumerate(values):
        if number not in outermost:
            axes.plot(frequency_mhz, line, color=FAINT, linewidth=0.5)
    for rank, number in enumerate(dict.fromkeys(outermost)):
        axes.plot(frequency_mhz, values[number], color=LINE_COLOURS[rank], linestyle=_STYLES[rank], linewidth=1.3,
                  label=network.port_names[number])  # fmt: skip
    axes.legend(frameon=False, fontsize=FONT_POINTS - 1, loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=2)
