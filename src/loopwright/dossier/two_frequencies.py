"""The same array on the other kind of scanner that is called 3 T: what has to change."""

import numpy as np
from scipy.interpolate import CubicSpline

from loopwright.circuits import Retuning, length_per_degree_m, retuning
from loopwright.dossier.evidence import Evidence
from loopwright.dossier.findings import Cell, Column, Section, Table
from loopwright.ground.three_tesla import near_3_t, other_3_t_hz

__all__ = ["two_frequencies_section"]

#: Of common flexible cable, common practice.
_VELOCITY_FACTOR = 0.7
#: Lengths are told for a cable of this phase. [deg]
_QUARTER_WAVE_DEG = 90.0


def two_frequencies_section(evidence: Evidence) -> Section | None:
    """Tell what the array needs at the other frequency.

    Parameters
    ----------
    evidence : Evidence
        What the stages found.

    Returns
    -------
    Section or None
        None unless this is a proton array near 3 T, of loops with capacitors, whose band was solved up to the other
        frequency.
    """
    network, here_hz = evidence.network, evidence.frequency_hz
    if network.gap_capacitance_f is None or evidence.nucleus != "1H" or not near_3_t(here_hz):
        return None
    there_hz = other_3_t_hz(here_hz)
    if not network.frequencies_hz.min() <= there_hz <= network.frequencies_hz.max():
        return None
    own_reactance_ohm = np.diagonal(network.impedance_ohm, axis1=1, axis2=2).imag
    change = retuning(
        network.gap_capacitance_f,
        gaps=np.array([element.gaps for element in evidence.layout.elements]),
        from_hz=here_hz,
        to_hz=there_hz,
        reactance_there_ohm=CubicSpline(network.frequencies_hz, own_reactance_ohm)(there_hz),
        resistance_ohm=np.sum(list(network.resistance_ohm.values()), axis=0),
    )
    return Section(
        anchor="two_frequencies",
        title="The other frequency called 3 T",
        prose=(_words(change),),
        tables=(_element_table(evidence, change), _common_table(change)),
    )


def _words(change: Retuning) -> str:
    shift = float(np.median(np.abs(change.shift_half_widths)))
    return (
        f"Tuned for {change.from_hz / 1e6:.2f} MHz, this array is off at {change.to_hz / 1e6:.2f} MHz by "
        f"{shift:.1f} half-bandwidths of its loaded resonance in the median element. The tables tell what has to "
        "change; matching, phase shifters and traps are set anew from them. The body is taken as it is at the first "
        "frequency, and the capacitors of an element stay equal."
    )


def _element_table(evidence: Evidence, change: Retuning) -> Table:
    here, there = (f"{f / 1e6:.2f} MHz" for f in (change.from_hz, change.to_hz))
    columns = (change.capacitance_f, change.new_capacitance_f, change.total_f, change.new_total_f)
    return Table(
        name="two_frequencies",
        caption="Capacitors of each element at both frequencies, and how far it is off until they are changed: in half "
        "the width of its loaded resonance, positive where it is tuned too high.",
        columns=(
            Column(title="element"),
            Column(title=f"each gap, {here}", unit="F"),
            Column(title=f"each gap, {there}", unit="F"),
            Column(title=f"in series, {here}", unit="F"),
            Column(title=f"in series, {there}", unit="F"),
            Column(title="change [%]", digits=2),
            Column(title="off by [half-widths]", digits=2),
        ),
        rows=tuple(
            (
                name,
                *(float(column[index]) for column in columns),
                float(100 * (change.new_capacitance_f[index] / change.capacitance_f[index] - 1)),
                float(change.shift_half_widths[index]),
            )
            for index, name in enumerate(evidence.element_names)
        ),
    )


def _common_table(change: Retuning) -> Table:
    per_degree_m = length_per_degree_m(np.array([change.from_hz, change.to_hz]), velocity_factor=_VELOCITY_FACTOR)
    trap, length = 100 * (change.trap_ratio - 1), 100 * (change.length_ratio - 1)
    rows: tuple[tuple[Cell, ...], ...] = (
        ("cable for one degree [mm]", *(float(1e3 * m) for m in per_degree_m), length),
        ("quarter-wave cable [mm]", *(float(1e3 * _QUARTER_WAVE_DEG * m) for m in per_degree_m), length),
        ("product of L and C of every trap [1]", 1.0, change.trap_ratio, trap),
        ("reactance of an inductor that stays [1]", 1.0, 1 / change.length_ratio, 100 * (1 / change.length_ratio - 1)),
        ("reactance of a capacitor that stays [1]", 1.0, change.length_ratio, length),
        (
            "skin resistance of a thick conductor [1]",
            1.0,
            change.length_ratio**-0.5,
            100 * (change.length_ratio**-0.5 - 1),
        ),
    )
    return Table(
        name="two_frequencies_parts",
        caption=f"What holds for every element. Cable with a velocity factor of {_VELOCITY_FACTOR:g} (common "
        "practice); ratios count from the first frequency.",
        columns=(
            Column(title="what"),
            Column(title=f"{change.from_hz / 1e6:.2f} MHz"),
            Column(title=f"{change.to_hz / 1e6:.2f} MHz"),
            Column(title="change [%]", digits=2),
        ),
        rows=rows,
    )
