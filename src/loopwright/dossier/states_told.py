"""States of the circuits as the dossier tells them: in a transmit field, on the bench, and as noise."""

from collections.abc import Mapping, Sequence
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.readings.bench_readings import BenchReadings, Quantity, Reference, definition
from loopwright.circuits.readings.probe import MATCHED, ProbeResponse
from loopwright.circuits.readings.probe_curve import ProbeReading
from loopwright.circuits.receivers.receiving import ReceivingArray
from loopwright.circuits.under_field.state_under_field import StateUnderField
from loopwright.dossier.findings import Cell, Column, Table

__all__ = [
    "bench_definitions",
    "bench_table",
    "noise_table",
    "origins_table",
    "probe_table",
    "states_table",
    "stress_table",
]

_PAIRS = (
    (Quantity.DECOUPLING, Reference.MATCHED),
    (Quantity.DECOUPLING, Reference.OPEN),
    (Quantity.ACTIVE, Reference.MATCHED),
    (Quantity.ACTIVE, Reference.DECOUPLED),
    (Quantity.PASSIVE, Reference.MATCHED),
    (Quantity.PASSIVE, Reference.OPEN),
)
_SHORT = {Reference.MATCHED: "matched", Reference.OPEN: "open", Reference.DECOUPLED: "decoupled"}


def states_table(
    found: Sequence[StateUnderField], names: Sequence[str], *, field: str, matched_a: NDArray[np.float64]
) -> Table:
    """Every state in a transmit field, told by the element that carries most.

    Parameters
    ----------
    found : sequence of StateUnderField
        One for each state.
    names : sequence of str
        Of the elements.
    field : str
        The field in words, amplitude and gauge.
    matched_a : ndarray, shape (C,)
        Mean gap currents with power-matched loads in place of all receivers. [A]

    Returns
    -------
    Table
    """
    return Table(
        name="states_under_field",
        caption=f"All elements in one state, in {field}. Each state is told by the element that carries most; peak "
        "values. Mean gap current of two references over that of the state: below tuned, the tuned array with nothing "
        "plugged in and no diode acting; below matched, the array with power-matched loads in place of its receivers.",
        columns=(
            Column(title="state"),
            Column(title="element"),
            Column(title="mean gap current", unit="A"),
            Column(title="in the median element", unit="A"),
            Column(title="largest gap current", unit="A"),
            Column(title="below tuned", unit="dB", decimals=1),
            Column(title="below matched", unit="dB", decimals=1),
        ),
        rows=tuple(_state_row(state, names, matched_a) for state in found),
    )


def _state_row(state: StateUnderField, names: Sequence[str], matched_a: NDArray[np.float64]) -> tuple[Cell, ...]:
    currents = [element.mean_current_a for element in state.elements]
    worst = int(np.argmax(currents))
    element = state.elements[worst]
    return (
        state.name,
        names[worst],
        element.mean_current_a,
        float(np.median(currents)),
        element.largest_current_a,
        element.isolation_db,
        float(20 * np.log10(matched_a[worst] / element.mean_current_a)),
    )


def stress_table(found: Sequence[StateUnderField], names: Sequence[str]) -> Table:
    """Largest voltages of every state, and the part that bears most, told by the element that carries most current.

    Parameters
    ----------
    found : sequence of StateUnderField
        One for each state.
    names : sequence of str
        Of the elements.

    Returns
    -------
    Table
    """
    return Table(
        name="state_stresses",
        caption="What stands across gaps and parts in the same field and the same elements, peak. The part nearest to "
        "its rating, or, where none is rated, the one with the largest voltage.",
        columns=(
            Column(title="state"),
            Column(title="element"),
            Column(title="largest gap voltage", unit="V"),
            Column(title="gap"),
            Column(title="part that bears most"),
            Column(title="its voltage", unit="V"),
            Column(title="its current", unit="A"),
            Column(title="share of its rating", digits=2),
        ),
        rows=tuple(_stress_row(state, names) for state in found),
    )


def _stress_row(state: StateUnderField, names: Sequence[str]) -> tuple[Cell, ...]:
    worst = max(range(len(state.elements)), key=lambda e: state.elements[e].mean_current_a)
    element = state.elements[worst]
    part = element.parts[0]
    return (
        state.name,
        names[worst],
        element.largest_gap_voltage_v,
        element.largest_gap,
        part.name,
        part.voltage_v,
        part.current_a,
        part.share if isfinite(part.share) else "not rated",
    )


def bench_table(
    readings: Sequence[BenchReadings], names: Sequence[str], *, quantities: Sequence[Quantity] = tuple(Quantity)
) -> Table:
    """Decoupling and detuning of every element by every convention, in each of its surroundings.

    Parameters
    ----------
    readings : sequence of BenchReadings
        One for each of the surroundings.
    names : sequence of str
        Of the elements.
    quantities : sequence of Quantity
        Those that the diodes of the circuits can bring about.

    Returns
    -------
    Table
    """
    pairs = [pair for pair in _PAIRS if pair[0] in quantities]
    return Table(
        name="bench_readings",
        caption="Loop current of a reference over that of a state, at the operating frequency; the column names the "
        "reference. A bench reads them as a difference of S21 between weakly coupled probes.",
        columns=(
            Column(title="element"),
            Column(title="with"),
            *(Column(title=f"{q.value}, against {_SHORT[r]}", unit="dB", decimals=1) for q, r in pairs),
        ),
        rows=tuple(
            (name, one.surroundings.value, *(float(one.reading_db(q, r)[e]) for q, r in pairs))
            for e, name in enumerate(names)
            for one in readings
        ),
    )


def probe_table(probes: Mapping[str, ProbeResponse]) -> Table:
    """What a pair of probes shows of each element, read in every way.

    Parameters
    ----------
    probes : mapping of str to ProbeResponse
        By name of the element.

    Returns
    -------
    Table
    """
    return Table(
        name="probe_readings",
        caption="S21 between weakly coupled probes, all other elements receiving: how far "
        "a state lies below the power-matched loop, read alike. "
        + "; ".join(f"{reading.name.lower().replace('_', ' ')}: {reading.value}" for reading in ProbeReading)
        + ".",
        columns=(
            Column(title="element"),
            Column(title="state"),
            Column(title="humps in the band"),
            *(Column(title=reading.name.lower().replace("_", " "), unit="dB", decimals=1) for reading in ProbeReading),
            Column(title="frequency of the dip or hump", unit="Hz", digits=5),
        ),
        rows=tuple(
            (
                name,
                state,
                len(curve.humps),
                *(_or_nowhere(one.reading_db(state, MATCHED, reading)) for reading in ProbeReading),
                _or_nowhere(curve.read_hz(ProbeReading.AT_DIP)),
            )
            for name, one in probes.items()
            for state, curve in one.curves.items()
            if state != MATCHED
        ),
    )


def _or_nowhere(value: float | None) -> Cell:
    return "not in the band" if value is None else value


def bench_definitions() -> tuple[str, ...]:
    """Say in sentences what each column of the bench table is."""
    return tuple(
        f"Column “{quantity.value}, against {_SHORT[reference]}”: "
        f"{definition(quantity, reference).removeprefix(f'{quantity.value}: ')}."
        for quantity, reference in _PAIRS
    )


def noise_table(array: ReceivingArray, names: Sequence[str]) -> Table:
    """Noise figures of every channel.

    Parameters
    ----------
    array : ReceivingArray
        The array as it receives.
    names : sequence of str
        Of the elements.

    Returns
    -------
    Table
    """
    without_own_diagonal = ~np.eye(len(names), dtype=np.bool_)

    def largest(correlation: np.ndarray) -> list[float]:
        return [float(v) for v in np.max(np.abs(correlation) * without_own_diagonal, axis=1)]

    columns = (array.channel_figure_db, array.receivers_figure_db, array.own_figure_db)
    return Table(
        name="receiver_noise",
        caption="Noise of every channel. Array noise figure: all its noise over the body's alone. Added by receivers: "
        "all its noise over all but that of the receivers, its own and those coupled in by the array. Receiver alone: "
        "its noise figure behind what it sees, source at 290 K. Correlation: the largest with another channel.",
        columns=(
            Column(title="element"),
            Column(title="array noise figure", unit="dB", decimals=2),
            Column(title="added by receivers", unit="dB", decimals=2),
            Column(title="receiver alone", unit="dB", decimals=2),
            Column(title="correlation", decimals=3),
            Column(title="correlation without receiver noise", decimals=3),
        ),
        rows=tuple(
            zip(
                names,
                *([float(v) for v in column] for column in columns),
                largest(array.correlation),
                largest(array.correlation_without_receivers),
                strict=True,
            )
        ),
    )


def origins_table(array: ReceivingArray) -> Table:
    """What makes the noise, as a share of all of it, the largest first."""
    whole = np.diagonal(array.total_v2_per_hz).real
    shares = {name: np.diagonal(part).real / whole for name, part in array.noise_v2_per_hz.items()}
    ranked = sorted(shares.items(), key=lambda item: -float(item[1].mean()))
    return Table(
        name="noise_origins",
        caption="Share of each origin in the noise power of a channel: mean over the channels, least and most.",
        columns=(
            Column(title="origin"),
            Column(title="mean", decimals=4),
            Column(title="least", decimals=4),
            Column(title="most", decimals=4),
        ),
        rows=tuple((name, float(s.mean()), float(s.min()), float(s.max())) for name, s in ranked),
    )
