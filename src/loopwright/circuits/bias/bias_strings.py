"""Direct current in a bias line: what the driver reads, whole and with a part failed.

A driver feeds protection and cable, and behind them branches in parallel, each of them diodes and chokes in series. The
exponential law in series with a resistance is solved exactly by Wright's omega function.
"""

from dataclasses import dataclass
from typing import assert_never

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import wrightomega

from loopwright.circuits.bias.pin_diode import PIN_EMISSION, ROOM_K, forward_voltage_v
from loopwright.circuits.bias.rising_root import rising_root
from loopwright.ground.constants import BOLTZMANN_J_PER_K, ELEMENTARY_CHARGE_C

__all__ = ["Branches", "CurrentDriver", "Driver", "Reading", "VoltageDriver", "branch_current_a", "driver_reading"]

Floats = NDArray[np.float64]

#: Volts for an e-fold of a PIN diode's current.
_SCALE_V = PIN_EMISSION * BOLTZMANN_J_PER_K * ROOM_K / ELEMENTARY_CHARGE_C
_LEAST_OHM = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentDriver:
    """A driver that holds its current whatever the line, up to a voltage beyond every line here. [A]"""

    current_a: ArrayLike


@dataclass(frozen=True, slots=True, kw_only=True)
class VoltageDriver:
    """A voltage behind a resistance. [V], [ohm]"""

    open_v: ArrayLike
    resistance_ohm: ArrayLike


Driver = CurrentDriver | VoltageDriver


@dataclass(frozen=True, slots=True, kw_only=True)
class Branches:
    """Equal branches in parallel.

    Attributes
    ----------
    count
        How many, zero or more.
    diodes
        In series in each.
    resistance_ohm
        Of the chokes of each. [ohm]
    diode_v, at_current_a
        Forward voltage of one diode, and the current at which it was read. [V], [A]
    """

    count: int
    diodes: int
    resistance_ohm: ArrayLike
    diode_v: ArrayLike
    at_current_a: ArrayLike


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What the driver reads at its terminals: voltage, infinite where nothing bounds it, and current. [V], [A]"""

    voltage_v: Floats
    current_a: Floats


def branch_current_a(voltage_v: ArrayLike, branches: Branches) -> Floats:
    """Current of one branch under a voltage.

    Parameters
    ----------
    voltage_v : array_like, shape (...)
        Across the branch, zero or more. [V]
    branches : Branches
        What it is made of.

    Returns
    -------
    ndarray, shape (...)
        Root of n s ln(1 + i / Is) + i R = V, exact. [A]
    """
    v, r = np.asarray(voltage_v, dtype=np.float64), np.maximum(branches.resistance_ohm, _LEAST_OHM)
    if branches.diodes == 0:
        return np.asarray(v / r)
    scale_v = branches.diodes * _SCALE_V
    saturation_a = np.asarray(branches.at_current_a) / np.expm1(np.asarray(branches.diode_v) / _SCALE_V)
    dropped = saturation_a * r / scale_v
    return np.maximum(scale_v / r * wrightomega(np.log(dropped) + v / scale_v + dropped) - saturation_a, 0.0)


def driver_reading(driver: Driver, groups: tuple[Branches, ...], *, series_ohm: ArrayLike) -> Reading:
    """What a driver reads on a line.

    Parameters
    ----------
    driver : CurrentDriver or VoltageDriver
        The driver.
    groups : tuple of Branches
        Groups of branches, all in parallel; those with a failed part are a group of their own.
    series_ohm : array_like, shape (...)
        Of cable and protection. [ohm]

    Returns
    -------
    Reading
        Voltage and current; on a line without any branch no current, and the driver's open voltage.
    """
    series, present = np.asarray(series_ohm, dtype=np.float64), tuple(group for group in groups if group.count)
    match driver:
        case CurrentDriver(current_a=asked):
            current, series = np.broadcast_arrays(np.asarray(asked, dtype=np.float64), series)
            if not present:
                return Reading(voltage_v=np.full(current.shape, np.inf), current_a=np.zeros(current.shape))
            # A branch that had to carry all of the current would need more voltage than it and its neighbours do.
            most_v = _branch_voltage_v(current, present[0])
            across_v = rising_root(lambda v: _total_a(present, v) - current, np.zeros(most_v.shape), most_v)
            return Reading(voltage_v=across_v + current * series, current_a=current + np.zeros(across_v.shape))
        case VoltageDriver(open_v=open_v, resistance_ohm=inner):
            open_voltage, whole_ohm = np.broadcast_arrays(
                np.asarray(open_v, dtype=np.float64), np.asarray(inner, dtype=np.float64) + series
            )
            if not present:
                return Reading(voltage_v=open_voltage, current_a=np.zeros(open_voltage.shape))
            shape = np.broadcast_shapes(open_voltage.shape, _total_a(present, np.zeros(open_voltage.shape)).shape)
            across_v = rising_root(
                lambda v: v + whole_ohm * _total_a(present, v) - open_voltage,
                np.zeros(shape),
                np.broadcast_to(open_voltage, shape),
            )
            drawn = (open_voltage - across_v) / whole_ohm
            return Reading(voltage_v=across_v + drawn * series, current_a=drawn)
    assert_never(driver)


def _total_a(groups: tuple[Branches, ...], voltage_v: Floats) -> Floats:
    return np.asarray(sum(group.count * branch_current_a(voltage_v, group) for group in groups))


def _branch_voltage_v(current_a: Floats, branches: Branches) -> Floats:
    """Voltage across one branch that carries a current. [V]"""
    diode_v = forward_voltage_v(current_a, voltage_v=branches.diode_v, at_current_a=branches.at_current_a)
    return np.asarray(branches.diodes * diode_v + current_a * np.maximum(branches.resistance_ohm, _LEAST_OHM))
