"""The section of the scanner interface: channels, bias lines, supply, and a sentence for each trouble."""

from collections.abc import Iterator
from itertools import groupby
from math import isinf

from loopwright.circuits import ChannelUse, InterfaceCheck, LineCheck, pin_diode_limits
from loopwright.dossier.evidence import Evidence
from loopwright.dossier.findings import Column, Finding, Section, Table
from loopwright.dossier.fusing import fuse_sentences, fuse_tables
from loopwright.dossier.numbers import printed_in_steps

__all__ = ["interface_section"]

_HOW = "direct current through diodes, chokes and cable"
_AS_GIVEN = "the spread of the diodes is in it; resistances are as the brief has them"
#: Less is leakage, and not known. [A]
_NO_CURRENT_A = 1e-9
_CAUTION = (
    "A line inside the window says that the driver accepts it, not that its elements are detuned. Measure the detuning "
    "of every element on the bench, with each part of the line failed in turn."
)
_PROSE = (
    "Direct current, settled, diodes at the forward voltage of the brief and at both ends of their spread. The scanner "
    "accepts a line whose voltage stays in its window with the whole spread. Entries of the interface that the brief "
    "left open are listed among the defaults: none of them stands for a scanner."
)


def interface_section(evidence: Evidence, check: InterfaceCheck) -> Section:
    """Tell how the array fits the scanner's plugs.

    Parameters
    ----------
    evidence : Evidence
        What the stages found.
    check : InterfaceCheck
        The array at the plugs.
    """
    return Section(
        anchor="interface",
        title="Scanner interface",
        prose=(_PROSE, *_told(check), *fuse_sentences(evidence, check.interface), *pin_diode_limits()),
        cautions=(*_troubles(check), _CAUTION),
        findings=tuple(_findings(check)),
        tables=(
            _line_table(check),
            _fault_table(check),
            *fuse_tables(evidence, check.interface),
            _channel_table(check),
        ),
    )


def _told(check: InterfaceCheck) -> Iterator[str]:
    asked = check.interface
    yield _free_channels(check.unused)
    if asked.identity is not None:
        yield f"Identity: {asked.identity}. It names the model, not the unit."
    limit = printed_in_steps(asked.preamplifier_current_a, "A")
    if asked.preamplifier_draw_a is None:
        yield f"What a preamplifier draws is not in the brief; the supply of a channel gives {limit}."
    else:
        yield (
            f"Preamplifiers draw {printed_in_steps(asked.preamplifier_draw_a, 'A')} each of {limit}, "
            f"{printed_in_steps(check.supply_w or 0.0, 'W', digits=3)} in all."
        )
    for line in check.lines:
        yield _line_words(line)


def _free_channels(unused: tuple[ChannelUse, ...]) -> str:
    if not unused:
        return "Every channel has an element."
    plugs = {plug: [use.channel for use in uses] for plug, uses in groupby(unused, key=lambda use: use.plug)}
    words = ", ".join(f"plug {plug}: {_run(channels)}" for plug, channels in plugs.items())
    return f"Channels without an element, to be terminated: {words}."


def _run(channels: list[int]) -> str:
    return str(channels[0]) if len(channels) == 1 else f"{channels[0]} to {channels[-1]}"


def _line_words(line: LineCheck) -> str:
    return (
        f"{line.line.name} ({line.line.switches}): its bias holds each diode conducting under up to "
        f"{printed_in_steps(line.held_a, 'A', digits=2)} peak, where the charge that it stores equals that of a "
        f"half-wave; keep well below. The diodes lose their charge in "
        f"{printed_in_steps(line.recovery_s, 's', digits=2)}, chokes and driver apart."
    )


def _troubles(check: InterfaceCheck) -> Iterator[str]:
    """Give one sentence for each thing that does not fit."""
    asked = check.interface
    if check.without_channel:
        yield f"{_count(check.without_channel, 'element')} without a channel: {', '.join(check.without_channel)}."
    if check.without_line:
        yield f"{_count(check.without_line, 'element')} without a bias line: {', '.join(check.without_line)}."
    if check.strangers:
        yield f"Bias lines name elements that the array does not have: {', '.join(check.strangers)}."
    if asked.preamplifier_draw_a is not None and asked.preamplifier_draw_a > asked.preamplifier_current_a:
        yield (
            f"A preamplifier draws {printed_in_steps(asked.preamplifier_draw_a, 'A')}; the supply of a channel gives "
            f"{printed_in_steps(asked.preamplifier_current_a, 'A')}."
        )
    if asked.cable_m is not None and asked.longest_cable_m is not None and asked.cable_m > asked.longest_cable_m:
        yield (
            f"The cable is {printed_in_steps(asked.cable_m, 'm')} long; the scanner allows "
            f"{printed_in_steps(asked.longest_cable_m, 'm')}."
        )
    for line in check.lines:
        yield from _line_troubles(line, check)


def _line_troubles(line: LineCheck, check: InterfaceCheck) -> Iterator[str]:
    name, low_v, high_v = line.line.name, *check.interface.forward_voltage_v
    if line.window_margin_v < 0:
        yield (
            f"{name}: {_volts(line.least_v)} to {_volts(line.greatest_v)} with the spread of its diodes, outside the "
            f"window {_volts(low_v)} to {_volts(high_v)} by {_volts(-line.window_margin_v)}."
        )
    if line.sense_margin_a is not None and line.sense_margin_a < 0:
        short = printed_in_steps(-line.sense_margin_a, "A", digits=2)
        yield f"{name}: its current may stay {short} below the sense threshold."
    if line.trip_margin_a is not None and line.trip_margin_a < 0:
        beyond = printed_in_steps(-line.trip_margin_a, "A", digits=2)
        yield f"{name}: its current may pass the trip threshold by {beyond}."
    if line.recovery_s > check.interface.turn_off_s:
        yield (
            f"{name}: its diodes lose their charge in {printed_in_steps(line.recovery_s, 's', digits=2)}; the scanner "
            f"allows {printed_in_steps(check.interface.turn_off_s, 's')}."
        )
    for fault in line.unnoticed:
        left = f", and the sound branches carry {printed_in_steps(fault.sound_branch_a, 'A', digits=2)} each"
        yield (
            f"{name}, {fault.what}: no threshold in the brief tells. The driver reads {_volts(fault.voltage_v)} and "
            f"{printed_in_steps(fault.current_a, 'A', digits=3)}{left if fault.sound_branch_a > _NO_CURRENT_A else ''}."
        )


def _count(names: tuple[str, ...], noun: str) -> str:
    return f"{len(names)} {noun}{'' if len(names) == 1 else 's'}"


def _volts(value_v: float) -> str:
    return "its limit" if isinf(value_v) else printed_in_steps(value_v, "V", digits=3)


def _findings(check: InterfaceCheck) -> Iterator[Finding]:
    margin_v = min(line.window_margin_v for line in check.lines)
    yield Finding(
        key="interface.least_window_margin_v",
        label="least margin of a bias line in the scanner's window",
        value=margin_v,
        unit="V",
        how=_HOW,
        source="computed here",
        no_uncertainty_because=_AS_GIVEN,
    )
    yield Finding(
        key="interface.channels_unused",
        label="channels without an element",
        value=len(check.unused),
        unit="1",
        how="channels of all plugs less elements",
        source="computed here",
        no_uncertainty_because="a count",
    )


def _line_table(check: InterfaceCheck) -> Table:
    return Table(
        name="bias_lines",
        caption="Bias lines under forward current. Margins are to the worse end of the spread; powers as if the bias "
        "never ended.",
        columns=(
            Column(title="line"),
            Column(title="elements"),
            Column(title="branches"),
            Column(title="diodes each"),
            Column(title="current", unit="A"),
            Column(title="forward voltage", unit="V"),
            Column(title="least", unit="V"),
            Column(title="greatest", unit="V"),
            Column(title="against the window"),
            Column(title="window margin", unit="V", digits=2),
            Column(title="sense margin [A]"),
            Column(title="trip margin [A]"),
            Column(title="one choke", unit="W", digits=2),
            Column(title="whole line", unit="W", digits=2),
        ),
        rows=tuple(
            (
                line.line.name,
                " ".join(line.line.elements),
                line.line.branches,
                line.line.diodes,
                line.current_a,
                line.forward_v,
                line.least_v,
                line.greatest_v,
                line.verdict,
                line.window_margin_v,
                _margin(line.sense_margin_a),
                _margin(line.trip_margin_a),
                line.choke_w,
                line.line_w,
            )
            for line in check.lines
        ),
    )


def _margin(margin_a: float | None) -> str:
    return "not known" if margin_a is None else f"{margin_a:.3f}".replace("-", "\N{MINUS SIGN}")


def _fault_table(check: InterfaceCheck) -> Table:
    return Table(
        name="bias_faults",
        caption="What the driver reads with one part failed, diodes at their nominal voltage.",
        columns=(
            Column(title="line"),
            Column(title="failed"),
            Column(title="voltage [V]"),
            Column(title="current", unit="A"),
            Column(title="each sound branch", unit="A"),
            Column(title="told by"),
        ),
        rows=tuple(
            (
                line.line.name,
                fault.what,
                "driver's limit" if isinf(fault.voltage_v) else f"{fault.voltage_v:.2f}",
                fault.current_a,
                fault.sound_branch_a if fault.sound_branch_a > _NO_CURRENT_A else 0.0,
                fault.noticed_by or "nothing",
            )
            for line in check.lines
            for fault in line.faults
        ),
    )


def _channel_table(check: InterfaceCheck) -> Table:
    return Table(
        name="channels",
        caption="Channels of the plugs in the order of the elements; a map of the scanner's own numbers goes over it.",
        columns=(Column(title="plug"), Column(title="channel"), Column(title="element")),
        rows=tuple((use.plug, use.channel, use.element or "none: terminate") for use in check.channels),
    )
