"""Coaxial elements: currents outside and inside, resonance over diameter, coupling over distance."""

from collections.abc import Mapping, Sequence

import numpy as np

from loopwright.circuits.coaxial.coaxial_coupling import CouplingRow
from loopwright.circuits.coaxial.coaxial_currents import CoaxialCurrents
from loopwright.formats.pictures.style import FAINT, FONT_POINTS, LINE_COLOURS, Picture, new_figure, plain, png

__all__ = ["coaxial_coupling_picture", "coaxial_currents_picture", "coaxial_resonance_picture"]

_STYLES = ("-", "--", ":", "-.")


def coaxial_currents_picture(currents: CoaxialCurrents) -> Picture:
    """Draw the currents outside and inside along the wire, and the voltage inside, over their largest current."""
    figure = new_figure(height_in=2.7)
    figure.subplots_adjust(left=0.08, right=0.985, top=0.89, bottom=0.17, wspace=0.26)
    left, right = figure.subplots(1, 2)
    scale = np.abs(currents.outside_a).max()
    outside = np.append(currents.outside_a, currents.outside_a[0])
    left.plot(np.append(currents.outside_places, 1.0), np.abs(outside) / scale, color=LINE_COLOURS[0], linewidth=1.4,
              label="outside of the shield")  # fmt: skip
    place = currents.inside_places
    order = np.argsort(place % 1.0, kind="stable")
    for axes, values, style, label in (
        (left, currents.inside_a / scale, "--", "inner conductor"),
        (right, currents.inside_v / scale, "-", "inner conductor against shield"),
    ):
        x, y = (place % 1.0)[order], np.abs(values)[order]
        jumps = np.flatnonzero(np.diff(x) < 1e-9) + 1  # both sides of a gap or a cut: leave the line open there
        axes.plot(np.insert(x, jumps, np.nan), np.insert(y, jumps, np.nan), color=LINE_COLOURS[1], linewidth=1.4,
                  linestyle=style, label=label)  # fmt: skip
    left.set_ylabel("|current| over its largest outside [1]")
    right.set_ylabel("|voltage| per ampere outside [Ω]")
    for axes in (left, right):
        axes.set_xlabel("place along the wire, over its length [1]")
        axes.set_xlim(0, 1)
        axes.set_ylim(bottom=0)
        plain(axes)
        axes.legend(frameon=False, fontsize=FONT_POINTS - 1, loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=2)
    return Picture(
        name="coaxial_currents",
        caption="Coaxial element driven at its terminal: currents outside and inside, and the voltage inside.",
        png=png(figure),
    )


def coaxial_resonance_picture(
    diameters_m: Sequence[float],
    solved_hz: Mapping[int, Sequence[float]],
    closed_form_hz: Mapping[int, Sequence[float]],
) -> Picture:
    """Draw the resonance over the diameter, one line for each number of gaps.

    Parameters
    ----------
    diameters_m : sequence of float
        [m]
    solved_hz, closed_form_hz : mapping of int to sequence of float
        By the number of gaps in the shield, one value for each diameter. [Hz]
    """
    figure = new_figure(height_in=2.9)
    figure.subplots_adjust(left=0.09, right=0.985, top=0.96, bottom=0.16)
    axes = figure.add_subplot()
    diameter_mm = 1e3 * np.asarray(diameters_m)
    for number, gaps in enumerate(solved_hz):
        colour = LINE_COLOURS[number % len(LINE_COLOURS)]
        many = "1 gap" if gaps == 1 else f"{gaps} gaps"
        axes.plot(diameter_mm, 1e-6 * np.asarray(solved_hz[gaps]), color=colour, linewidth=1.4,
                  marker="os^D"[number % 4], markersize=3.5, label=many)  # fmt: skip
        axes.plot(diameter_mm, 1e-6 * np.asarray(closed_form_hz[gaps]), color=colour, linewidth=1.0, linestyle=":")
    axes.set_xlabel("diameter [mm]")
    axes.set_ylabel("self-resonance in air [MHz]")
    axes.set_ylim(bottom=0)
    axes.grid(visible=True, color="#e6e6e6", linewidth=0.6)
    axes.set_axisbelow(True)
    plain(axes)
    axes.legend(frameon=False, fontsize=FONT_POINTS - 1)
    return Picture(
        name="coaxial_resonance",
        caption="Self-resonance of circles of coaxial line over their diameter; dotted: closed form with the static "
        "inductance.",
        png=png(figure),
    )


def coaxial_coupling_picture(rows: Sequence[CouplingRow], *, diameter_m: float) -> Picture:
    """Draw the coupling of two coaxial elements and of two equal loops over their distance.

    Parameters
    ----------
    rows : sequence of CouplingRow
        By distance.
    diameter_m : float
        [m]
    """
    figure = new_figure(height_in=2.7)
    figure.subplots_adjust(left=0.09, right=0.985, top=0.89, bottom=0.17, wspace=0.26)
    left, right = figure.subplots(1, 2)
    distance = np.array([row.distance_m for row in rows]) / diameter_m
    for number, kind in enumerate(("coaxial", "lumped")):
        found = [getattr(row, kind) for row in rows]
        label = "coaxial elements" if kind == "coaxial" else "loops with capacitors"
        style = {"color": LINE_COLOURS[number], "linestyle": _STYLES[number], "linewidth": 1.4, "label": label}
        left.plot(distance, [one.coefficient for one in found], **style)
        right.plot(distance, [one.resistive for one in found], **style)
    left.set_ylabel("coupling coefficient [1]")
    right.set_ylabel("Re Z12 over the resistances [1]")
    for axes in (left, right):
        axes.axhline(0.0, color=FAINT, linewidth=0.6)
        axes.set_xlabel("distance of the centres over the diameter [1]")
        plain(axes)
    left.legend(frameon=False, fontsize=FONT_POINTS - 1, loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=2)
    return Picture(
        name="coaxial_coupling",
        caption="Two coaxial elements, and two loops of the same shield with capacitors at the same frequency, in "
        "air. What is correlated is radiation; the line inside adds loss that is not.",
        png=png(figure),
    )
