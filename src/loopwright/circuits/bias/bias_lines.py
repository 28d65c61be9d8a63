"""Does every bias line of the array fit what the scanner's drivers send, sense and accept?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records import BiasLineRequest, InterfaceRequest
from loopwright.circuits.bias.bias_strings import (
    Branches,
    CurrentDriver,
    Driver,
    Reading,
    VoltageDriver,
    branch_current_a,
    driver_reading,
)
from loopwright.circuits.bias.pin_charge import held_current_a, recovery_time_s
from loopwright.circuits.bias.pin_diode import forward_voltage_v

__all__ = ["DIODE_OPEN", "DIODE_SHORT", "LINE_BROKEN", "LineCheck", "LineFault", "check_line", "driver_of"]

#: What may fail of a line, as its faults name it.
DIODE_OPEN, DIODE_SHORT, LINE_BROKEN = "one diode or choke open", "one diode short", "line broken"


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFault:
    """One failed part.

    Attributes
    ----------
    what
        The part and how it failed.
    voltage_v, current_a
        What the driver reads; the voltage is infinite where nothing in the brief bounds it. [V], [A]
    sound_branch_a
        Current left for a branch in which nothing failed: by it the other traps stand or fall; zero without any. [A]
    noticed_by
        Which of the scanner's thresholds tells; empty when none does.
    """

    what: str
    voltage_v: float
    current_a: float
    sound_branch_a: float
    noticed_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LineCheck:
    """One bias line under its forward current.

    Attributes
    ----------
    line
        As the brief has it.
    current_a
        Of the line, diodes of the nominal voltage. [A]
    forward_v, least_v, greatest_v
        Voltage at the driver: nominal, and with all diodes at the ends of their spread. [V]
    window_margin_v
        From the nearer end of the spread to the scanner's window; negative outside. [V]
    sense_margin_a, trip_margin_a
        From the line's current to the thresholds, the worse end of the spread; None where they are not known. [A]
    choke_w, diode_w
        Power in one choke, and of the bias in one diode; the bias as if it never ended. [W]
    line_w
        Power of the whole line, the driver's own left out. [W]
    recovery_s
        Time in which the diodes lose their charge. [s]
    held_a
        Peak radio-frequency current that the bias holds each diode conducting under. [A]
    faults
        One part failed at a time.
    """

    line: BiasLineRequest
    current_a: float
    forward_v: float
    least_v: float
    greatest_v: float
    window_margin_v: float
    sense_margin_a: float | None
    trip_margin_a: float | None
    choke_w: float
    diode_w: float
    line_w: float
    recovery_s: float
    held_a: float
    faults: tuple[LineFault, ...]

    @property
    def verdict(self) -> str:
        """Whether the voltage stays in the scanner's window, spread of the diodes included."""
        return "inside the window" if self.window_margin_v >= 0 else "outside"

    @property
    def unnoticed(self) -> tuple[LineFault, ...]:
        """Faults that no threshold tells."""
        return tuple(fault for fault in self.faults if not fault.noticed_by)


def driver_of(interface: InterfaceRequest) -> Driver:
    """Driver of the interface: a voltage behind a resistance where the brief has both, else a held current."""
    if interface.driver_voltage_v is None or interface.driver_resistance_ohm is None:
        return CurrentDriver(current_a=interface.forward_current_a)
    return VoltageDriver(open_v=interface.driver_voltage_v, resistance_ohm=interface.driver_resistance_ohm)


def check_line(line: BiasLineRequest, interface: InterfaceRequest, *, frequency_hz: float) -> LineCheck:
    """Check one bias line.

    Parameters
    ----------
    line : BiasLineRequest
        The line.
    interface : InterfaceRequest
        What the scanner sends and accepts.
    frequency_hz : float
        Frequency of the current that the diodes have to hold. [Hz]

    Returns
    -------
    LineCheck
        Readings, margins and faults.

    Notes
    -----
    Direct current, settled. Faults are judged with diodes of the nominal voltage. The spread is taken as that of all
    diodes together, a lot or a temperature, which is the worst for the sum.
    """
    spread_v = line.diode.voltage_spread_v * np.array([0.0, -1.0, 1.0])
    reading = _read(line, interface, line.diode.voltage_v + spread_v)
    forward_v, least_v, greatest_v = reading.voltage_v
    current_a = float(reading.current_a[0])
    low_v, high_v = interface.forward_voltage_v
    branch_a = current_a / line.branches
    return LineCheck(
        line=line,
        current_a=current_a,
        forward_v=float(forward_v),
        least_v=float(least_v),
        greatest_v=float(greatest_v),
        window_margin_v=float(min(least_v - low_v, high_v - greatest_v)),
        sense_margin_a=_above_a(interface.sense_current_a, float(np.min(reading.current_a))),
        trip_margin_a=_above_a(float(np.max(reading.current_a)), interface.trip_current_a),
        choke_w=branch_a**2 * line.choke_resistance_ohm,
        diode_w=branch_a * float(_diode_v(line, interface, branch_a)),
        line_w=float(forward_v) * current_a,
        recovery_s=float(
            recovery_time_s(
                branch_a,
                reverse_current_a=interface.reverse_current_a / line.branches,
                carrier_lifetime_s=line.diode.carrier_lifetime_s,
            )
        ),
        held_a=float(
            held_current_a(branch_a, carrier_lifetime_s=line.diode.carrier_lifetime_s, frequency_hz=frequency_hz)
        ),
        faults=_faults(line, interface),
    )


def _above_a(lower_a: float | None, upper_a: float | None) -> float | None:
    return None if lower_a is None or upper_a is None else upper_a - lower_a


def _read(line: BiasLineRequest, interface: InterfaceRequest, diode_v: NDArray[np.float64]) -> Reading:
    groups = (_branches(line, interface, diode_v, count=line.branches, diodes=line.diodes),)
    return driver_reading(driver_of(interface), groups, series_ohm=_series_ohm(line))


def _diode_v(line: BiasLineRequest, interface: InterfaceRequest, branch_a: float) -> NDArray[np.float64]:
    return forward_voltage_v(branch_a, voltage_v=line.diode.voltage_v, at_current_a=interface.forward_current_a)


def _series_ohm(line: BiasLineRequest) -> float:
    return line.cable_resistance_ohm + line.protection_resistance_ohm


def _branches(
    line: BiasLineRequest, interface: InterfaceRequest, diode_v: NDArray[np.float64] | float, *, count: int, diodes: int
) -> Branches:
    return Branches(
        count=count,
        diodes=diodes,
        resistance_ohm=line.chokes * line.choke_resistance_ohm,
        diode_v=diode_v,
        at_current_a=interface.forward_current_a,
    )


def _faults(line: BiasLineRequest, interface: InterfaceRequest) -> tuple[LineFault, ...]:
    """Read the driver with one part failed at a time."""

    def group(count: int, diodes: int) -> Branches:
        return _branches(line, interface, line.diode.voltage_v, count=count, diodes=diodes)

    others = group(line.branches - 1, line.diodes)
    at_coil = Branches(count=1, diodes=0, resistance_ohm=0.0, diode_v=line.diode.voltage_v, at_current_a=1.0)
    cases = {
        DIODE_OPEN: (others,),
        DIODE_SHORT: (others, group(1, line.diodes - 1)),
        LINE_BROKEN: (),
        "line short at the array's end of the cable": (at_coil,),
    }
    driver, series_ohm = driver_of(interface), _series_ohm(line)
    readings = {what: driver_reading(driver, groups, series_ohm=series_ohm) for what, groups in cases.items()}
    return tuple(
        _fault(what, reading, interface, sound_branch_a=_left_a(reading, others, series_ohm) if cases[what] else 0.0)
        for what, reading in readings.items()
    )


def _left_a(reading: Reading, sound: Branches, series_ohm: float) -> float:
    """Current of a sound branch while the driver reads this; none where there is no such branch. [A]"""
    if not sound.count:
        return 0.0
    return float(branch_current_a(reading.voltage_v - reading.current_a * series_ohm, sound))


def _fault(what: str, reading: Reading, interface: InterfaceRequest, *, sound_branch_a: float) -> LineFault:
    voltage_v, current_a = float(reading.voltage_v), float(reading.current_a)
    low_v, high_v = interface.forward_voltage_v
    sense_a, trip_a = interface.sense_current_a, interface.trip_current_a
    told = {
        "voltage below the window": voltage_v < low_v,
        "voltage above the window": voltage_v > high_v,
        "current below the sense threshold": sense_a is not None and current_a < sense_a,
        "current above the trip threshold": trip_a is not None and current_a > trip_a,
    }
    noticed = "; ".join(name for name, true in told.items() if true)
    return LineFault(
        what=what, voltage_v=voltage_v, current_a=current_a, sound_branch_a=sound_branch_a, noticed_by=noticed
    )
