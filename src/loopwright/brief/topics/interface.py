"""Scanner interface: what the scanner offers at its plugs, and the bias lines of this array."""

from collections.abc import Iterator

from loopwright.brief import defaults
from loopwright.brief.forms import NOTHING, Draft, Form, Rule, Trouble
from loopwright.brief.keys import Absent, Count, Words
from loopwright.brief.lists import QuantityList
from loopwright.brief.parts import Parts
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import BiasLineRequest, InterfaceRequest
from loopwright.brief.topics.bias_line import BIAS_LINE, MOST_LINES
from loopwright.ground.units import engineering_text

__all__ = ["interface_form"]


def _window_has_room(draft: Draft) -> Iterator[Trouble]:
    window = draft.get("forward_voltage")
    if window is not None and not window[0] < window[1]:
        yield Trouble(
            key="forward_voltage",
            found=" to ".join(engineering_text(bound, "V") for bound in window),
            allowed="the lower bound before the upper one",
            remedy="write for example `[0.4 V, 2.6 V]`",
        )


def _thresholds_leave_the_current(draft: Draft) -> Iterator[Trouble]:
    """A forward current that the scanner itself would take for a fault is a slip of the brief."""
    forward, sense, trip = (draft.get(key) for key in ("forward_current", "sense_current", "trip_current"))
    if forward is None:
        return
    told = engineering_text(forward, "A")
    if sense is not None and sense >= forward:
        yield Trouble(
            key="sense_current",
            found=f"{engineering_text(sense, 'A')} beside a forward current of {told}",
            allowed=f"below {told}: a line that carries less is taken as open",
            remedy="write a lower `sense_current`, or the `forward_current` that the driver really sends",
        )
    if trip is not None and trip <= forward:
        yield Trouble(
            key="trip_current",
            found=f"{engineering_text(trip, 'A')} beside a forward current of {told}",
            allowed=f"above {told}: the driver switches off there",
            remedy="write a higher `trip_current`, or the `forward_current` that the driver really sends",
        )


def _driver_whole(draft: Draft) -> Iterator[Trouble]:
    pair = ("driver_voltage", "driver_resistance")
    written = [key for key in pair if key in draft.written]
    if len(written) == 1:
        missing = pair[1 - pair.index(written[0])]
        yield Trouble(
            key=missing,
            found=NOTHING,
            allowed="both of `driver_voltage` and `driver_resistance`, or neither",
            remedy=f"add `{missing}`, or leave `{written[0]}` out: the driver then holds its forward current",
        )


def _lines_there(draft: Draft) -> Iterator[Trouble]:
    lines: tuple[BiasLineRequest, ...] | None = draft.get("bias_lines")
    if lines == ():
        yield Trouble(
            key="bias_lines", found="a list of 0", allowed="one bias line or more", remedy="add one: `- {name: B1}`"
        )
    for line in lines or ():
        if line.diode.voltage_spread_v >= line.diode.voltage_v:
            yield Trouble(
                key="bias_lines",
                found=f"diodes of {line.name} that differ by {engineering_text(line.diode.voltage_spread_v, 'V')}",
                allowed=f"less than their voltage, {engineering_text(line.diode.voltage_v, 'V')}",
                remedy="write a smaller `voltage_spread`",
            )


def _elements_there(names: tuple[str, ...] | None) -> Rule:
    """Lines may name only elements that the brief names; those of a tiling get their names later."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        for line in draft.get("bias_lines") or ():
            strangers = [name for name in line.elements if name not in (names or ()) and name != "all"]
            if names is not None and strangers:
                yield Trouble(
                    key="bias_lines",
                    found=f"{line.name} for {', '.join(strangers[:8])}, which no element is called",
                    allowed=f"all, or names out of {', '.join(names[:16])}{', ...' if len(names) > 16 else ''}",
                    remedy="write the names as they stand in `array.elements`",
                )
            if "all" in line.elements and len(line.elements) > 1:
                yield Trouble(
                    key="bias_lines",
                    found=f"{line.name} for `all` and others",
                    allowed="`all` alone, or names",
                    remedy="keep `all`, or write out the names",
                )

    return rule


def interface_form(element_names: tuple[str, ...] | None) -> Form:
    """Form of the scanner interface.

    Parameters
    ----------
    element_names
        Names of the elements, where the brief gives them.

    Returns
    -------
    Form
        Keys and rules of ``interface``.
    """
    return Form(
        title="interface",
        keys=_KEYS,
        rules=(
            _window_has_room,
            _thresholds_leave_the_current,
            _driver_whole,
            _lines_there,
            _elements_there(element_names),
        ),
        build=InterfaceRequest,
        strangers={
            "channels": "write `channels_per_plug`, and `plugs`",
            "lines": "write `bias_lines`",
            "bias_current": "write `forward_current`",
            "preamplifier_voltage": "write `preamplifier_supply`",
        },
        notes=_NOTES,
    )


_NOTES = (
    "Take these from the maker's interface sheet of the scanner. The defaults are orders of size of the trade and "
    "stand for no scanner. A bias line is a driver that sends its forward current through protection and cable into "
    "equal branches, each of them diodes and chokes in series."
)

_KEYS = (
    Count(name="channels_per_plug", low=1, high=256, sample="16", meaning="Receive channels of one plug."),
    Count(name="plugs", low=1, high=32, default=defaults.PLUGS, meaning="Plugs that the array uses."),
    Quantity(name="forward_current", field="forward_current_a", unit="A", low="1 mA", high="2 A",
             default=defaults.FORWARD_CURRENT, meaning="Current that the driver sends through a bias line."),
    Quantity(name="driver_voltage", field="driver_voltage_v", unit="V", low="0.5 V", high="100 V", sample="5 V",
             absent=Absent.ALLOWED,
             meaning="Voltage of the driver on an open line, where it is one behind a resistance. Left out: it "
             "holds the forward current whatever the line."),
    Quantity(name="driver_resistance", field="driver_resistance_ohm", unit="ohm", low="0.1 ohm",
             high="10 kohm", sample="30 ohm", absent=Absent.ALLOWED, meaning="That resistance."),
    Quantity(name="reverse_current", field="reverse_current_a", unit="A", low="0.1 mA", high="10 A",
             default=defaults.REVERSE_CURRENT,
             meaning="Current that the driver can draw the other way while a diode empties."),
    Quantity(name="reverse_voltage", field="reverse_voltage_v", unit="V", low="0.5 V", high="1000 V",
             default=defaults.REVERSE_VOLTAGE, meaning="Reverse voltage while the array receives, as a size."),
    QuantityList(name="forward_voltage", field="forward_voltage_v", unit="V", low="0 V", high="50 V",
                 lengths=(2,), sample="[0.4 V, 2.6 V]", default=defaults.FORWARD_WINDOW,
                 meaning="Window of the forward voltage of a line that the scanner accepts."),
    Quantity(name="sense_current", field="sense_current_a", unit="A", low="0.1 mA", high="2 A",
             sample="60 mA", absent=Absent.ALLOWED,
             meaning="Current below which the scanner takes a line as open. Left out: not checked."),
    Quantity(name="trip_current", field="trip_current_a", unit="A", low="1 mA", high="10 A", sample="300 mA",
             absent=Absent.ALLOWED, meaning="Current above which the driver switches off. Left out: not checked."),
    Quantity(name="turn_off", field="turn_off_s", unit="s", low="10 ns", high="100 ms",
             default=defaults.TURN_OFF, meaning="Time allowed from detuned to receiving."),
    Quantity(name="preamplifier_supply", field="preamplifier_supply_v", unit="V", low="1 V", high="50 V",
             default=defaults.PREAMPLIFIER_SUPPLY, meaning="Supply of the preamplifiers."),
    Quantity(name="preamplifier_current", field="preamplifier_current_a", unit="A", low="0.1 mA", high="2 A",
             default=defaults.PREAMPLIFIER_CURRENT, meaning="Largest current of the supply of one channel."),
    Quantity(name="preamplifier_draw", field="preamplifier_draw_a", unit="A", low="0.1 mA", high="2 A",
             sample="12 mA", absent=Absent.ALLOWED,
             meaning="Current that one preamplifier of this array draws. Left out: not checked."),
    Words(name="identity", longest=60, sample="KNEE-16 rev B", absent=Absent.ALLOWED,
          meaning="Code by which the scanner knows the array, as the scanner wants it."),
    Quantity(name="cable", field="cable_m", unit="m", low="1 mm", high="50 m", sample="1.2 m", absent=Absent.ALLOWED,
             meaning="Length of the array's cable."),
    Quantity(name="longest_cable", field="longest_cable_m", unit="m", low="1 mm", high="50 m", sample="2 m",
             absent=Absent.ALLOWED, meaning="Longest cable that the scanner allows. Left out: not checked."),
    Quantity(name="largest_b1_rms", field="largest_b1_rms_t", unit="T", low="0.01 uT", high="100 uT", sample="3.2 uT",
             absent=Absent.ALLOWED,
             meaning="Largest transmit field of the scanner, B1+, rms over a sequence. Left out: no fuses are told."),
    Parts(name="bias_lines", of=BIAS_LINE, most=MOST_LINES, unique="name",
          meaning="Bias lines that the array uses."),
)  # fmt: skip
