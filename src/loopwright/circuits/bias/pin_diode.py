"""The PIN diode as a part: its record, its forward voltage and resistance, and what it is when it is off.

What the charge in it can hold is told by :mod:`loopwright.circuits.bias.pin_charge`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.ground.constants import BOLTZMANN_J_PER_K, ELEMENTARY_CHARGE_C
from loopwright.ground.sources import Flag, Source

__all__ = [
    "GENERIC_PIN_DIODE",
    "PIN_EMISSION",
    "ROOM_K",
    "PinDiode",
    "forward_resistance_ohm",
    "forward_voltage_v",
    "pin_diode_limits",
]

Floats = NDArray[np.float64]

#: Both carriers at high injection share the voltage, so the current grows e-fold in twice kT/q.
PIN_EMISSION = 2.0
ROOM_K = 293.15


@dataclass(frozen=True, slots=True, kw_only=True)
class PinDiode:
    """A PIN diode, as its data sheet or the bench tells it.

    Attributes
    ----------
    voltage_v, voltage_spread_v
        Forward voltage at ``at_current_a``, and by how much a diode of the lot may differ. [V]
    resistance_ohm
        Radio-frequency resistance at that current. [ohm]
    resistance_exponent
        It falls as this power of the current: 1 by charge control, 0.8 to 0.95 on real parts.
    at_current_a
        Forward current of both. [A]
    carrier_lifetime_s
        Mean time that a carrier lives. [s]
    layer_m
        Width of the undoped layer. [m]
    off_resistance_ohm, off_capacitance_f
        Parallel resistance and capacitance without forward current. [ohm], [F]
    source
        Where the values come from.
    """

    voltage_v: float
    voltage_spread_v: float
    resistance_ohm: float
    resistance_exponent: float
    at_current_a: float
    carrier_lifetime_s: float
    layer_m: float
    off_resistance_ohm: float
    off_capacitance_f: float
    source: Source

    def __post_init__(self) -> None:
        """Refuse a diode that no layer could make."""
        positive = {
            "voltage_v": self.voltage_v,
            "resistance_ohm": self.resistance_ohm,
            "at_current_a": self.at_current_a,
            "carrier_lifetime_s": self.carrier_lifetime_s,
            "layer_m": self.layer_m,
            "off_resistance_ohm": self.off_resistance_ohm,
            "off_capacitance_f": self.off_capacitance_f,
        }
        for name, value in positive.items():
            if value <= 0:
                raise ValueError(f"PIN diode: {name} = {value:g} must be above 0")
        if not 0 <= self.voltage_spread_v < self.voltage_v:
            raise ValueError(f"PIN diode: voltage_spread_v = {self.voltage_spread_v:g} must lie below the voltage")


#: A switching diode of the trade by order of size.
GENERIC_PIN_DIODE = PinDiode(
    voltage_v=0.85,
    voltage_spread_v=0.1,
    resistance_ohm=0.35,
    resistance_exponent=0.9,
    at_current_a=0.1,
    carrier_lifetime_s=1.5e-6,
    layer_m=50e-6,
    off_resistance_ohm=5e3,
    off_capacitance_f=0.3e-12,
    source=Source(key="", where="order of size of PIN diodes in receive coils; measure your own", flag=Flag.MEMORY),
)


def forward_voltage_v(
    current_a: ArrayLike, *, voltage_v: ArrayLike, at_current_a: ArrayLike, temperature_k: float = ROOM_K
) -> Floats:
    """Forward voltage of a PIN diode at another current than the one it is known for.

    Parameters
    ----------
    current_a : array_like, shape (...)
        Direct current, zero or more. [A]
    voltage_v, at_current_a : array_like, shape (...)
        Forward voltage, and the current at which it was read. [V], [A]
    temperature_k : float
        Of the diode. [K]

    Returns
    -------
    ndarray, shape (...)
        Of the exponential law with an emission of 2, high injection (from memory); the ohmic part is left in the known
        voltage. Zero at no current. [V]
    """
    scale_v = PIN_EMISSION * BOLTZMANN_J_PER_K * temperature_k / ELEMENTARY_CHARGE_C
    relative = np.asarray(current_a) / np.asarray(at_current_a) * np.expm1(np.asarray(voltage_v) / scale_v)
    return np.asarray(scale_v * np.log1p(relative), dtype=np.float64)


def forward_resistance_ohm(
    current_a: ArrayLike, *, resistance_ohm: ArrayLike, at_current_a: ArrayLike, exponent: ArrayLike
) -> Floats:
    """Radio-frequency resistance at another forward current than the one it is known for.

    Parameters
    ----------
    current_a : array_like, shape (...)
        Forward current. [A]
    resistance_ohm, at_current_a : array_like, shape (...)
        Resistance, and the current at which it was read. [ohm], [A]
    exponent : array_like, shape (...)
        Power of the current with which it falls.

    Returns
    -------
    ndarray, shape (...)
        [ohm]
    """
    relative = np.asarray(current_a, dtype=np.float64) / np.asarray(at_current_a)
    return np.asarray(np.asarray(resistance_ohm) * relative ** -np.asarray(exponent))


def pin_diode_limits() -> tuple[str, ...]:
    """Where the model stops, as sentences for the dossier."""
    return (
        (
            "The PIN diode is a charge that the bias stores; junction voltage under radio-frequency current, heating "
            "and the spread of lifetime, easily a factor of two between lots, are left out."
        ),
        "Recovery counts the diode's own charge at a constant reverse current; chokes, cable and driver add to it.",
    )
