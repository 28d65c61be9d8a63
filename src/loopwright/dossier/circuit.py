"""The circuit: how every element is wired, its parts, what the receivers see, and what the states of it do."""

from collections.abc import Callable, Mapping
from functools import partial

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records import CircuitRequest, MatchWithTrapsRequest, OwnWiringRequest
from loopwright.circuits import CIRCUIT_LIMITS, CircuitOutcome
from loopwright.circuits.readings.quality_from_curves import QualityByThree
from loopwright.circuits.states import ACTIVELY_DETUNED, PASSIVELY_DETUNED
from loopwright.circuits.values.source_match import source_reflection
from loopwright.dossier.findings import CHOSEN, Column, Finding, Section, Table, computed
from loopwright.dossier.numbers import printed
from loopwright.dossier.parts_list import PartLine, part_lines, parts_tables
from loopwright.dossier.states_told import noise_table, origins_table

__all__ = ["circuit_section", "smith_names"]

Real = NDArray[np.floating]

#: Elements that get a Smith chart and curves of their own.
SHOWN = 3

_NOT_STUDIED = "how far strays and tolerances move it was not studied in this run"
_CONVENTIONS = (
    "Decoupling and detuning are told as two probes show them that couple weakly to one element and not to each other, "
    "all other elements receiving, at the frequency of the run: how much less current the loop carries than with a "
    "power-matched load at its channel. Against the receiving element, the other convention, detuning is smaller by "
    "the decoupling."
)
_CAUTION = (
    "A detuned element is a calculation here. Traps, fuse and bias have to be measured on the built coil, plugged and "
    "unplugged and with every part failed in turn, before anyone lies in it."
)
_figure = partial(
    computed, how="nodal analysis of all circuits on the port network of conductors and body", because=_NOT_STUDIED
)


def circuit_section(outcome: CircuitOutcome, element_names: tuple[str, ...]) -> Section:
    """Tell wiring, values, match, decoupling and detuning.

    Parameters
    ----------
    outcome : CircuitOutcome
        The array with its circuits.
    element_names : tuple of str
        Names of the elements.
    """
    lines = part_lines(outcome, element_names)
    return Section(
        anchor="circuit",
        title="The circuit",
        prose=(
            _words(outcome.request),
            _asked(outcome),
            *outcome.synthesis.notes,
            _CONVENTIONS,
            _noise(outcome),
            *outcome.received.notes,
            *CIRCUIT_LIMITS,
        ),
        cautions=(_CAUTION,),
        findings=_findings(outcome),
        tables=(
            _wiring_table(outcome, lines),
            _match_table(outcome, element_names),
            _states_table(outcome, element_names),
            noise_table(outcome.received, element_names),
            origins_table(outcome.received),
            *parts_tables(lines),
        ),
        pictures=("smith", *smith_names(element_names), "match", "double_probe"),
    )


def _noise(outcome: CircuitOutcome) -> str:
    least, most = (f"{100 * share:.1f}" for share in outcome.received.kept_snr)
    kept = least if least == most else f"{least} to {most}"
    return (
        "Noise of all parts and preamplifiers, coupled through the array, is told here. Of the SNR that body and "
        f"conductors alone would leave, the best combination keeps {kept} %, over all "
        "signals that the elements together could receive, whether or not any voxel sends them. What is kept "
        "at each voxel is told in the section on what circuit and preamplifiers cost; the other sections are those of "
        "the array matched without loss."
    )


def smith_names(element_names: tuple[str, ...]) -> tuple[str, ...]:
    """Names of the Smith charts of single elements; one element has that of all."""
    single = min(SHOWN, len(element_names)) if len(element_names) > 1 else 0
    return tuple(f"smith_{number}" for number in range(1, single + 1))


def _words(request: CircuitRequest) -> str:
    """Say the wiring in words."""
    match request:
        case MatchWithTrapsRequest(protection=protection):
            gaps = "; ".join(f"in gap {gap} {_PROTECTION[word]}" for gap, word in enumerate(protection, start=2))
            return f"Capacitive match with traps: {_MATCH} Then {gaps}. {_TUNED}"
        case OwnWiringRequest(receiver=(node, reference)):
            return f"A wiring of its own, told part by part below; the receiver stands between {node} and {reference}."
        case _:
            return f"{_READY[request.wiring]} {_TUNED}"


_MATCH = "C match across gap 1, and L series from there to the receiver."
_TUNED = "C tune in the other gaps."
_READY = {
    "capacitive match": f"Capacitive match: {_MATCH}",
    "match with PIN trap across it": f"Match with its PIN trap across it: {_MATCH} A PIN diode from the receiver's "
    "node to the return closes the inductor over the match capacitor when it conducts.",
    "amplifier on the loop with low input impedance": f"Amplifier of low input impedance on the loop: {_MATCH} No "
    "cable lies between.",
    "amplifier on the loop with high input impedance": "Amplifier of high input impedance on the loop, straight "
    "across C match in gap 1.",
    "match at the end of a line": "Match at the end of a line that is part of the coil: the line leaves at gap 1; at "
    "its end stand C match across it and L series towards the receiver.",
}
_PROTECTION = {
    "PIN trap": "an active trap: an inductor and a PIN diode across the capacitor, closed by bias",
    "crossed-diode trap": "a passive trap: an inductor and crossed diodes across the capacitor, closed by the transmit "
    "field",
    "fuse": "a fuse in series with the capacitor",
}


def _asked(outcome: CircuitOutcome) -> str:
    sources = sorted({_complex_text(source) for source in outcome.source_ohm.tolist()})
    free = ", ".join(outcome.wanted.free) or "none"
    return (
        f"Every receiver shall see {' or '.join(sources)}"
        f"{', the best source of its preamplifier' if outcome.wanted.source_ohm is None else ''}, with all other "
        f"receivers in place. Values that were found for it: {free}. All others are fixed; fixed capacitors of a ready "
        f"wiring are values of the series {outcome.request.values}."
    )


def _complex_text(value: complex) -> str:
    sign = "+" if value.imag >= 0 else "−"
    return f"{value.real:.3g} Ω" if value.imag == 0 else f"{value.real:.3g} {sign} j{abs(value.imag):.3g} Ω"


def _reflection_db(seen_ohm: NDArray[np.complexfloating], wanted_ohm: NDArray[np.complexfloating]) -> Real:
    return np.asarray(20 * np.log10(np.maximum(np.abs(source_reflection(seen_ohm, wanted_ohm)), 1e-5)))


def _detuning_db(outcome: CircuitOutcome, state: str) -> Real | None:
    """How far a state takes the current down in every element; None where a circuit does not have it."""
    if not all(state in probe.response_db for probe in outcome.probes):
        return None
    return np.array([-probe.at_operation_db(state) for probe in outcome.probes])


def _quality(outcome: CircuitOutcome, method: Callable[[QualityByThree], float]) -> Real:
    """Q of every element by one method; not a number where the band ends too soon."""
    return np.array([np.nan if probe.quality is None else method(probe.quality) for probe in outcome.probes])


def _columns(outcome: CircuitOutcome) -> dict[str, tuple[str, str, Real]]:
    """Figures of every element: by key, label, unit and values."""
    seen, probes = outcome.receiving.seen_ohm, outcome.probes
    found: dict[str, tuple[str, str, Real | None]] = {
        "seen_resistance_ohm": ("resistance that the receiver sees", "ohm", seen.real),
        "seen_reactance_ohm": ("reactance that the receiver sees", "ohm", seen.imag),
        "reflection_db": ("reflection against the wanted source (−100 dB and less: −100)", "dB",
                          _reflection_db(seen, outcome.source_ohm)),
        "bought_reflection_db": ("the same with the values that are bought, trimmers set", "dB",
                                 _reflection_db(outcome.bought.snapped.seen_ohm, outcome.source_ohm)),
        "amplifier_loss_db": ("noise figure of the preamplifier above its least, by the source that it sees", "dB",
                              outcome.synthesis.noise_figure_loss_db),
        "bought_amplifier_loss_db": ("the same with the values that are bought, trimmers set", "dB",
                                     outcome.bought.snapped.noise_figure_loss_db),
        "decoupling_db": ("preamplifier decoupling", "dB", np.array([probe.decoupling_db for probe in probes])),
        "bought_decoupling_db": ("the same with the values that are bought, trimmers set", "dB",
                                 outcome.bought.snapped.decoupling_db),
        "active_detuning_db": ("active detuning", "dB", _detuning_db(outcome, ACTIVELY_DETUNED.name)),
        "passive_detuning_db": ("passive detuning, unplugged", "dB", _detuning_db(outcome, PASSIVELY_DETUNED.name)),
        "channel_noise_figure_db": ("array noise figure: all noise of the channel over the body's alone", "dB",
                                    outcome.received.channel_figure_db),
        "receivers_noise_db": ("all noise of the channel over all but that of the preamplifiers", "dB",
                               outcome.received.receivers_figure_db),
        "quality_half_power": ("Q of the wired element, unplugged, by the half-power width", "1",
                               _quality(outcome, lambda found: found.by_three_decibels)),
        "quality_phase": ("the same by the slope of the phase", "1",
                          _quality(outcome, lambda found: found.by_phase_slope)),
        "quality_eighth_turn": ("the same by the frequencies at which the phase has turned by 45 degrees", "1",
                                _quality(outcome, lambda found: found.by_forty_five_degrees)),
    }  # fmt: skip
    return {key: (label, unit, values) for key, (label, unit, values) in found.items() if values is not None}


def _findings(outcome: CircuitOutcome) -> tuple[Finding, ...]:
    wiring = Finding(key="circuit.wiring", label="wiring", value=outcome.request.wiring, unit="",
                     no_uncertainty_because=CHOSEN, how="as asked", source="the brief")  # fmt: skip
    least, most = outcome.received.kept_snr
    kept = "part of the SNR of body and conductors alone that the best combination keeps"
    return (
        wiring,
        _figure("circuit.kept_snr_least", f"{kept}, least over all signals", least, "1"),
        _figure("circuit.kept_snr_most", f"{kept}, most over all signals", most, "1"),
        *(_figure(f"circuit.{key}", label, tuple(float(v) for v in values), unit)
          for key, (label, unit, values) in _columns(outcome).items()),
    )  # fmt: skip


_MATCH_COLUMNS = {
    "seen_resistance_ohm": "seen, real",
    "seen_reactance_ohm": "seen, imaginary",
    "reflection_db": "reflection",
    "bought_reflection_db": "reflection as bought",
    "amplifier_loss_db": "amplifier above least",
    "bought_amplifier_loss_db": "amplifier as bought",
}
_STATE_COLUMNS = {
    "decoupling_db": "decoupling",
    "bought_decoupling_db": "decoupling as bought",
    "active_detuning_db": "active detuning",
    "passive_detuning_db": "passive detuning",
    "quality_half_power": "Q, half power",
    "quality_phase": "Q, phase",
    "quality_eighth_turn": "Q, 45°",
}


def _match_table(outcome: CircuitOutcome, element_names: tuple[str, ...]) -> Table:
    caption = (
        "What each receiver sees with all others in place. As bought: with the values of the parts list, trimmers set. "
        "−100 dB stands for all that is less."
    )
    return _by_element(outcome, element_names, name="circuit_match", caption=caption, titles=_MATCH_COLUMNS)


def _states_table(outcome: CircuitOutcome, element_names: tuple[str, ...]) -> Table:
    caption = (
        "What the states of each element do to its loop current, against a power-matched load, and its Q unplugged by "
        "three methods, “not known” where the band ends within the half-power width or does not resolve it; the others "
        "receiving."
    )
    return _by_element(outcome, element_names, name="circuit_states", caption=caption, titles=_STATE_COLUMNS)


def _by_element(
    outcome: CircuitOutcome, element_names: tuple[str, ...], *, name: str, caption: str, titles: Mapping[str, str]
) -> Table:
    columns = {key: column for key, column in _columns(outcome).items() if key in titles}
    return Table(
        name=name,
        caption=caption,
        columns=(
            Column(title="element"),
            *(
                Column(title=titles[key], unit=unit, decimals=None if unit == "1" else 2)
                for key, (_, unit, _) in columns.items()
            ),
        ),
        rows=tuple(
            (element, *(float(values[number]) for _, _, values in columns.values()))
            for number, element in enumerate(element_names)
        ),
    )


def _wiring_table(outcome: CircuitOutcome, lines: tuple[PartLine, ...]) -> Table:
    """One row for each part of the wiring, its values over the elements as a range."""
    by_name: dict[tuple[str, str, str], list[PartLine]] = {}
    for line in lines:
        by_name.setdefault((line.name, line.kind, line.between), []).append(line)
    return Table(
        name="wiring",
        caption="The wiring as a list: what stands between which nodes; gap k and return k are the two sides of gap k.",
        columns=(Column(title="part"), Column(title="kind"), Column(title="between"), Column(title="value"),
                 Column(title="found or given")),
        rows=tuple(
            (name, kind, between, _range(own), "found" if name in outcome.wanted.free else "given")
            for (name, kind, between), own in by_name.items()
        ),
    )  # fmt: skip


def _range(lines: list[PartLine]) -> str:
    if not lines[0].unit:
        return ""
    low, high = (printed(pick(line.value for line in lines), lines[0].unit, digits=4) for pick in (min, max))
    return low if low == high else f"{low} to {high}"
