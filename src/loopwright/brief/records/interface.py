"""The scanner's side of the plug: channels, bias lines, supply."""

from typing import Annotated, Literal

from pydantic import Field

from loopwright.brief.records.record import Positive, Record

__all__ = ["BiasDiodeRequest", "BiasLineRequest", "InterfaceRequest", "Protection"]

Count = Annotated[int, Field(ge=1)]
Whole = Annotated[int, Field(ge=0)]
NotNegative = Annotated[float, Field(ge=0)]

Protection = Literal["none", "fuse", "resettable fuse"]


class BiasDiodeRequest(Record):
    """A PIN diode at the forward current of the interface.

    Attributes
    ----------
    voltage_v, voltage_spread_v
        Forward voltage, and by how much one diode of the lot may differ. [V]
    resistance_ohm
        Radio-frequency resistance under forward bias. [ohm]
    carrier_lifetime_s
        Mean time that a carrier lives. [s]
    layer_m
        Width of the undoped layer. [m]
    off_resistance_ohm, off_capacitance_f
        In parallel, without forward current. [ohm], [F]
    """

    voltage_v: Positive
    voltage_spread_v: NotNegative
    resistance_ohm: Positive
    carrier_lifetime_s: Positive
    layer_m: Positive
    off_resistance_ohm: Positive
    off_capacitance_f: Positive


class BiasLineRequest(Record):
    """One bias line: equal branches in parallel, each of them diodes and chokes in series, behind cable and protection.

    Attributes
    ----------
    name
    switches
        What it switches, in words.
    elements
        Names of the elements that it serves, or the one word ``all``.
    branches
        Branches in parallel.
    diodes, chokes
        In series in each branch.
    diode
        One of the diodes.
    choke_resistance_ohm
        Direct-current resistance of one choke. [ohm]
    cable_resistance_ohm
        Of the cable, there and back. [ohm]
    protection
    protection_resistance_ohm
        Of the part that protects the line. [ohm]
    """

    name: str
    switches: str
    elements: tuple[str, ...]
    branches: Count
    diodes: Count
    diode: BiasDiodeRequest
    chokes: Whole
    choke_resistance_ohm: NotNegative
    cable_resistance_ohm: NotNegative
    protection: Protection
    protection_resistance_ohm: NotNegative


class InterfaceRequest(Record):
    """What one scanner offers at its plugs; None is what the brief does not know.

    Attributes
    ----------
    channels_per_plug, plugs
    forward_current_a
        That the driver sends through a line to detune, and at which the diodes' values hold. [A]
    driver_voltage_v, driver_resistance_ohm
        Of a driver that is a voltage behind a resistance, whose current depends on the line; both None: it holds its
        forward current. [V], [ohm]
    reverse_current_a
        That it can draw the other way while a diode empties. [A]
    reverse_voltage_v
        That it holds a line at to receive, as a size. [V]
    forward_voltage_v
        Window of the line's voltage that the scanner accepts. [V]
    sense_current_a, trip_current_a
        Current below which the scanner takes a line as open, and above which it switches off. [A]
    turn_off_s
        Time that it allows from detuned to receiving. [s]
    preamplifier_supply_v, preamplifier_current_a
        Supply, and the largest current of a channel. [V], [A]
    preamplifier_draw_a
        What a preamplifier of this array draws. [A]
    identity
        What the coil answers when it is asked who it is.
    cable_m, longest_cable_m
        Cable of this array, and the longest that the scanner allows. [m]
    largest_b1_rms_t
        Largest transmit field, B1+, rms over a sequence. [T]
    bias_lines
    """

    channels_per_plug: Count
    plugs: Count
    forward_current_a: Positive
    driver_voltage_v: Positive | None = None
    driver_resistance_ohm: Positive | None = None
    reverse_current_a: Positive
    reverse_voltage_v: Positive
    forward_voltage_v: tuple[NotNegative, Positive]
    sense_current_a: Positive | None = None
    trip_current_a: Positive | None = None
    turn_off_s: Positive
    preamplifier_supply_v: Positive
    preamplifier_current_a: Positive
    preamplifier_draw_a: Positive | None = None
    identity: str | None = None
    cable_m: Positive | None = None
    longest_cable_m: Positive | None = None
    largest_b1_rms_t: Positive | None = None
    bias_lines: tuple[BiasLineRequest, ...]
