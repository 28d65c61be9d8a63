"""What is known of the array in the transmit field: what the section of states and faults is told from."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.records import OwnWiringRequest, PinDiodePart
from loopwright.circuits import (
    GENERIC_PIN_DIODE,
    ArrayUnderField,
    CircuitOutcome,
    held_current_a,
)
from loopwright.circuits.bias.pin_diode import forward_resistance_ohm
from loopwright.circuits.parts import Capacitor
from loopwright.dossier.evidence import Evidence
from loopwright.dossier.gap_evidence import LumpedEvidence, PrintedEvidence
from loopwright.dossier.numbers import printed, printed_in_steps
from loopwright.dossier.protection_tables import ranked_faults

__all__ = ["Protection", "capacitor_stress_v", "protection_of", "worst_fault"]

Real = NDArray[np.float64]

#: Part of a diode's bias below which its resistance is no longer that of the circuit.
_ENOUGH_BIAS = 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class Protection:
    """What the section is told from.

    Attributes
    ----------
    found : ArrayUnderField
    outcome : CircuitOutcome
    names : tuple of str
        Of the elements.
    held_a : dict of str to ndarray, shape (C,)
        Radio-frequency current that the bias of each PIN diode holds, peak. [A]
    held_from : str
        Where that comes from, in words.
    weak_bias : tuple of str
        One sentence for each PIN diode that the bias lines give less than the current its circuit takes.
    rating_v : float or None
        Peak voltage that capacitors without a rating of their own may see; None where nobody said. [V]
    rating_from : str
        Where that comes from, in words.
    """

    found: ArrayUnderField
    outcome: CircuitOutcome
    names: tuple[str, ...]
    held_a: dict[str, Real]
    held_from: str
    weak_bias: tuple[str, ...]
    rating_v: float | None
    rating_from: str


def protection_of(evidence: Evidence) -> Protection | None:
    """Put together what is known of the array in the transmit field; None where no circuit was asked for."""
    if evidence.circuit is None or evidence.under_field is None:
        return None
    held_a, held_from = _held(evidence, evidence.circuit, evidence.under_field)
    rating_v, rating_from = _capacitor_rating(evidence)
    return Protection(
        found=evidence.under_field,
        outcome=evidence.circuit,
        names=evidence.element_names,
        held_a=held_a,
        held_from=held_from,
        weak_bias=tuple(_weak_bias(evidence, evidence.circuit, evidence.under_field)),
        rating_v=rating_v,
        rating_from=rating_from,
    )


def _held(evidence: Evidence, outcome: CircuitOutcome, found: ArrayUnderField) -> tuple[dict[str, Real], str]:
    names = evidence.element_names
    if evidence.interface is not None:
        lines = evidence.interface.lines
        by_element = [
            min((line.held_a for line in lines if name in line.line.elements or "all" in line.line.elements),
                default=np.nan)
            for name in names
        ]  # fmt: skip
        if all(isfinite(held) for held in by_element):
            return dict.fromkeys(found.pin_current_a, np.array(by_element)), "the bias lines of the interface"
    held = {
        diode: np.full(
            len(names),
            float(
                held_current_a(
                    _pin_part(outcome, diode).bias_current_a,
                    carrier_lifetime_s=GENERIC_PIN_DIODE.carrier_lifetime_s,
                    frequency_hz=outcome.ports.frequency_hz,
                )
            ),
        )
        for diode in found.pin_current_a
    }
    lifetime = printed_in_steps(GENERIC_PIN_DIODE.carrier_lifetime_s, "s")
    return held, f"the bias current of the circuit and a carrier lifetime of {lifetime} ({GENERIC_PIN_DIODE.source})"


def _weak_bias(evidence: Evidence, outcome: CircuitOutcome, found: ArrayUnderField) -> Iterator[str]:
    """Say where a diode's share of its line is less than the current at which its resistance was taken."""
    lines = () if evidence.interface is None else evidence.interface.lines
    given_a = min((line.current_a / line.line.branches for line in lines), default=np.inf)
    for diode in found.pin_current_a:
        part = _pin_part(outcome, diode)
        if given_a < _ENOUGH_BIAS * part.bias_current_a:
            ohm = forward_resistance_ohm(
                given_a,
                resistance_ohm=part.forward_resistance_ohm,
                at_current_a=part.bias_current_a,
                exponent=GENERIC_PIN_DIODE.resistance_exponent,
            )
            taken, told = printed(part.forward_resistance_ohm, "ohm"), printed(float(ohm), "ohm", digits=2)
            yield (
                f"{diode} is taken at {taken} under {printed_in_steps(part.bias_current_a, 'A')}; the bias lines of "
                f"the interface give it {printed_in_steps(given_a, 'A', digits=2)}, at which it may have {told} "
                f"({GENERIC_PIN_DIODE.source}), and detuning is less than told. Write both in the circuit as they "
                "will be."
            )


def _pin_part(outcome: CircuitOutcome, diode: str) -> PinDiodePart:
    request = outcome.request
    if isinstance(request, OwnWiringRequest):
        return next(part.what for part in request.parts if part.name == diode and isinstance(part.what, PinDiodePart))
    part = getattr(request, "pin_diode", None)
    assert isinstance(part, PinDiodePart)  # noqa: S101 - a ready wiring with a PIN diode has its record
    return part


def _capacitor_rating(evidence: Evidence) -> tuple[float | None, str]:
    match evidence.capacitors:
        case LumpedEvidence(rating_v=rating_v):
            return rating_v, "the rating in `capacitors`"
        case PrintedEvidence(gaps=gaps) if gaps:
            return min(gap.withstand_v for gap in gaps), "what the weakest of the printed plates withstands, derated"
    return None, ""


def capacitor_stress_v(told: Protection) -> tuple[float, str] | None:
    """Largest voltage across a capacitor without rating of its own, over the detuned states, and where it stands."""
    borne = [
        (part.voltage_v, f"{part.name} of {name}, {state}")
        for state in told.found.detuned
        for name, circuit, element in zip(
            told.names, told.outcome.circuits, told.found.state(state).elements, strict=True
        )
        for part in element.parts
        if isinstance(circuit.part(part.name), Capacitor) and not isfinite(part.share)
    ]
    return max(borne) if borne else None


def worst_fault(told: Protection) -> tuple[str, float]:
    """Name the single fault that lets most current through, in words with state and element, and the current. [A]"""
    for words, by_state in ranked_faults(told.found):
        if any(fault.fault is not None for fault in by_state.values()):
            state, fault = max(by_state.items(), key=lambda item: float(np.nanmax(item[1].current_a)))
            worst = int(np.nanargmax(fault.current_a))
            return f"{words}, {state}, {told.names[worst]}", float(fault.current_a[worst])
    raise ValueError("a circuit without parts")
