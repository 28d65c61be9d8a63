"""What a PIN diode is given by its bias line: current, voltage that holds it off, and time to let go."""

from dataclasses import dataclass
from math import inf

from loopwright.brief.records import InterfaceRequest
from loopwright.circuits.bias.bias_lines import LineCheck
from loopwright.circuits.bias.pin_diode import GENERIC_PIN_DIODE
from loopwright.ground.sources import Flag, Source

__all__ = ["PinBias", "bias_of_line", "bias_without_interface"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PinBias:
    """What one diode is given, and what it is.

    Attributes
    ----------
    forward_current_a : float
        Through this diode while it is biased to conduct. [A]
    reverse_voltage_v : float
        Across it while it is biased to block, as a size; nought where its line is not held or the plug is out. [V]
    reverse_current_a : float
        That the driver draws out of it while it empties; nought where it has to empty by itself. [A]
    carrier_lifetime_s, layer_m : float
        [s], [m]
    turn_off_s : float
        Time that the scanner allows from conducting to blocking. [s]
    source : Source
        Where lifetime and layer come from.
    """

    forward_current_a: float
    reverse_voltage_v: float
    reverse_current_a: float
    carrier_lifetime_s: float
    layer_m: float
    turn_off_s: float
    source: Source


def bias_without_interface(forward_current_a: float) -> PinBias:
    """Bias of a diode of which nothing but its forward current was told: the generic diode, never held off.

    Parameters
    ----------
    forward_current_a : float
        [A]
    """
    return PinBias(
        forward_current_a=forward_current_a,
        reverse_voltage_v=0.0,
        reverse_current_a=0.0,
        carrier_lifetime_s=GENERIC_PIN_DIODE.carrier_lifetime_s,
        layer_m=GENERIC_PIN_DIODE.layer_m,
        turn_off_s=inf,
        source=GENERIC_PIN_DIODE.source,
    )


def bias_of_line(check: LineCheck, interface: InterfaceRequest) -> PinBias:
    """Bias that every diode of a line is given, its currents shared by the branches, its voltage by diodes in series.

    Parameters
    ----------
    check : LineCheck
        Of the line.
    interface : InterfaceRequest
        Of the scanner.
    """
    line = check.line
    return PinBias(
        forward_current_a=check.current_a / line.branches,
        reverse_voltage_v=interface.reverse_voltage_v / line.diodes,
        reverse_current_a=interface.reverse_current_a / line.branches,
        carrier_lifetime_s=line.diode.carrier_lifetime_s,
        layer_m=line.diode.layer_m,
        turn_off_s=interface.turn_off_s,
        source=Source(key="", where=f"the bias line {line.name} of the interface", flag=Flag.ASKED),
    )
