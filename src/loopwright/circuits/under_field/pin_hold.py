"""Does every PIN diode stay what its bias makes it while the field is on, and does it recover in time?

Biased forward, it conducts as long as the radio-frequency current does not empty its layer within a half-wave. Without
forward bias it blocks as long as the voltage that it would make of the radio-frequency voltage by itself stays below
what holds it: the reverse bias, and the part of a volt that its own junction needs before charge flows in.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, isfinite

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loopwright.circuits.bias.pin_charge import held_current_a, recovery_time_s, reverse_voltage_needed_v
from loopwright.circuits.bias.rising_root import rising_root
from loopwright.circuits.parts import PinDiode
from loopwright.circuits.states import Diodes, ElementState, NoBias, bias_reaches, pin_diode_conducts
from loopwright.circuits.under_field.pin_bias import PinBias
from loopwright.circuits.under_field.stresses import Stress
from loopwright.circuits.wiring import ElementCircuit
from loopwright.ground.sources import Flag, Source

__all__ = [
    "JUNCTION_V",
    "PinHold",
    "PinRecovery",
    "pin_hold_limits",
    "pin_holds",
    "pin_recovery",
    "voltage_withstood_v",
]

Floats = NDArray[np.float64]

#: Voltage that a silicon junction bears forward before charge to speak of flows in. [V]
JUNCTION_V = 0.5
_JUNCTION_SOURCE = Source(key="", where="a silicon junction at microamperes", flag=Flag.COMMON_PRACTICE)
#: No coil sees more across a diode. [V]
_GREATEST_V = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class PinHold:
    """One diode in one state.

    Attributes
    ----------
    element : int
        Counted from nought.
    part, state : str
        Names of both.
    diodes : Diodes
        What the state takes it for.
    borne, allowed : float
        Radio-frequency current through it where it conducts, voltage across it where it blocks; and the most under
        which it goes on doing so. Peak. [A] or [V]
    unit : str
    reverse_needed_v : float
        Reverse bias that the voltage across it asks for; nought where it conducts. [V]
    source : Source
        Of lifetime and layer.
    """

    element: int
    part: str
    state: str
    diodes: Diodes
    borne: float
    allowed: float
    unit: str
    reverse_needed_v: float
    source: Source

    @property
    def margin(self) -> float:
        """Allowed over borne; below one the diode does not stay what the state takes it for."""
        return self.allowed / self.borne if self.borne else inf

    @property
    def sentence(self) -> str:
        """What stands against what, in words."""
        conducts = self.diodes is Diodes.CONDUCT
        verb, cause = ("flow through", "the bias holds") if conducts else ("stand across", "it goes on blocking up to")
        kept = (
            f"a margin of {self.margin:.2g}"
            if self.margin >= 1
            else (
                "so it is run empty in every half-wave, detunes less than told and heats"
                if conducts
                else "so it begins to conduct by itself, and the state is not the one told"
            )
        )
        return (
            f"{self.part} of element {self.element + 1}, {self.state}: {self.borne:.3g} {self.unit} peak {verb} it and "
            f"{cause} {self.allowed:.3g} {self.unit}, {kept} ({self.source})"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PinRecovery:
    """Time until a diode has let go of its charge, and what the scanner allows. [s]"""

    takes_s: float
    allowed_s: float

    @property
    def margin(self) -> float:
        """Allowed over taken; NaN where neither was told."""
        return self.allowed_s / self.takes_s

    @property
    def sentence(self) -> str:
        """Both times in words."""
        if not isfinite(self.takes_s):
            return "no current that empties the PIN diodes was told, so their recovery is not"
        end = f"a margin of {self.margin:.2g}" if self.margin >= 1 else "so reception begins on a detuned coil"
        return (
            f"a PIN diode is empty {self.takes_s:.3g} s after the driver switched, {self.allowed_s:.3g} s are allowed, "
            f"{end}; chokes, cable and driver add to it"
        )


def voltage_withstood_v(reverse_v: ArrayLike, *, layer_m: ArrayLike, frequency_hz: ArrayLike) -> Floats:
    """Radio-frequency voltage across a diode under which it goes on blocking.

    Parameters
    ----------
    reverse_v : array_like, shape (...)
        What holds it off: reverse bias, as a size, and ``JUNCTION_V``; above zero. [V]
    layer_m : array_like, shape (...)
        Width of the undoped layer. [m]
    frequency_hz : array_like, shape (...)
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (...)
        Peak: the root of :func:`loopwright.circuits.bias.pin_charge.reverse_voltage_needed_v`, which rises with it,
        and whose validity it shares; at most 1 MV. [V]
    """
    held, layer, f = np.broadcast_arrays(np.asarray(reverse_v, dtype=np.float64), layer_m, frequency_hz)
    log_v = rising_root(
        lambda x: np.log(reverse_voltage_needed_v(np.exp(x), layer_m=layer, frequency_hz=f) / held),
        np.log(held),
        np.full(held.shape, np.log(_GREATEST_V)),
    )
    return np.asarray(np.exp(log_v))


def pin_holds(
    circuits: Sequence[ElementCircuit],
    states: Sequence[ElementState],
    found: Sequence[Stress],
    *,
    biases: Sequence[PinBias],
    frequency_hz: float,
) -> tuple[PinHold, ...]:
    """Hold every sound PIN diode of an array against its bias.

    Parameters
    ----------
    circuits : sequence of ElementCircuit
        With their diodes.
    states : sequence of ElementState
        One for each element.
    found : sequence of Stress
        Of these circuits in these states at the peak of the field.
    biases : sequence of PinBias
        Of the diodes of each element.
    frequency_hz : float
        [Hz]

    Returns
    -------
    tuple of PinHold
        The least margin first. Diodes that have failed are left out; one that its bias does not reach, by its own wire
        or the element's cable, is held off by its junction alone.
    """
    holds = []
    for stress in found:
        state = states[stress.element]
        sound = all(isinstance(fault, NoBias) for fault in state.faults_of(stress.part))
        if isinstance(circuits[stress.element].part(stress.part), PinDiode) and sound:
            holds.append(_hold(stress, state, biases[stress.element], frequency_hz))
    return tuple(sorted(holds, key=lambda hold: hold.margin))


def _hold(stress: Stress, state: ElementState, bias: PinBias, f: float) -> PinHold:
    needed_v = 0.0
    conducts = pin_diode_conducts(stress.part, state)
    if conducts:
        borne, unit = stress.current_a, "A"
        allowed = held_current_a(bias.forward_current_a, carrier_lifetime_s=bias.carrier_lifetime_s, frequency_hz=f)
    else:
        borne, unit = stress.voltage_v, "V"
        held_v = JUNCTION_V + (bias.reverse_voltage_v if bias_reaches(stress.part, state) else 0.0)
        allowed = voltage_withstood_v(held_v, layer_m=bias.layer_m, frequency_hz=f)
        if borne > 0:
            asked_v = reverse_voltage_needed_v(borne, layer_m=bias.layer_m, frequency_hz=f)
            needed_v = max(float(asked_v) - JUNCTION_V, 0.0)
    return PinHold(
        element=stress.element,
        part=stress.part,
        state=state.name,
        diodes=Diodes.CONDUCT if conducts else Diodes.BLOCK,
        borne=borne,
        allowed=float(allowed),
        unit=unit,
        reverse_needed_v=needed_v,
        source=bias.source,
    )


def pin_recovery(bias: PinBias) -> PinRecovery:
    """Hold the time in which a diode recovers against the scanner's.

    Parameters
    ----------
    bias : PinBias
        Of the diode.
    """
    if not bias.reverse_current_a:
        return PinRecovery(takes_s=inf, allowed_s=bias.turn_off_s)
    takes_s = recovery_time_s(
        bias.forward_current_a, reverse_current_a=bias.reverse_current_a, carrier_lifetime_s=bias.carrier_lifetime_s
    )
    return PinRecovery(takes_s=float(takes_s), allowed_s=bias.turn_off_s)


def pin_hold_limits() -> tuple[str, ...]:
    """Where the model stops, as sentences for the dossier."""
    return (
        (
            "A PIN diode that blocks is held against the voltage that it would make of a lasting radio-frequency "
            f"voltage by itself, from memory, and {JUNCTION_V:g} V of its junction ({_JUNCTION_SOURCE}). Only a "
            "reverse bias as great as the peak voltage needs no model; test the built coil at full field without bias."
        ),
        (
            "A PIN diode that conducts is held against the charge of its bias; lifetimes differ by a factor of two "
            "between lots, and well below the bound distortion and heat begin."
        ),
    )
