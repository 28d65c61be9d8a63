"""Figures of states and faults, and a sentence for each thing that does not hold."""

from collections.abc import Iterator
from functools import partial
from math import isfinite, nan

import numpy as np
from numpy.typing import NDArray

from loopwright.circuits.states import (
    ACTIVELY_DETUNED,
    BIAS_MISSING,
    DETUNED_BY_BOTH,
    PASSIVELY_DETUNED,
    RECEIVING,
    UNPLUGGED,
)
from loopwright.circuits.under_field.stresses import COMMON_MARGIN
from loopwright.dossier.findings import CHOSEN, Finding, computed
from loopwright.dossier.numbers import printed
from loopwright.dossier.protection import Protection, capacitor_stress_v, worst_fault

__all__ = ["protection_findings", "protection_troubles"]

Real = NDArray[np.float64]

_HOW = "nodal analysis of all circuits under the voltages that a uniform rotating field induces in the open gaps"
_NOT_STUDIED = "reaction on the transmit field, strays and tolerances were not studied in this run"

#: Parts beyond their rating that are named, in each state.
_NAMED = 3
_figure = partial(computed, how=_HOW, because=_NOT_STUDIED)


def protection_troubles(told: Protection) -> Iterator[str]:
    """Give one sentence for each thing that does not hold."""
    found = told.found
    if not found.detuned:
        yield "Nothing in this wiring detunes it: in the transmit field it carries what is told for it tuned."
    yield from _beyond_rating(told)
    yield from _beyond_bias(told)
    yield from told.weak_bias
    late = [own[0].acts_t for own in found.onsets if own and own[0].acts_t > found.b1_plus_t]
    if late:
        yield (
            f"In {len(late)} elements no crossed diodes act in the field asked for: passive detuning as told does not "
            "come about there."
        )
    for name in found.detuned:
        yield from found.state(name).notes


def _beyond_rating(told: Protection) -> Iterator[str]:
    for state, exceeded in told.found.exceeded.items():
        for one in exceeded[:_NAMED]:
            yield f"{state}: {one.sentence}; a factor of {COMMON_MARGIN:g} is common practice."
        if len(exceeded) > _NAMED:
            yield f"{state}: {len(exceeded) - _NAMED} further parts have less than that margin."
    stress = capacitor_stress_v(told)
    if stress is not None and told.rating_v is not None and told.rating_v < COMMON_MARGIN * stress[0]:
        yield (
            f"{stress[1]}: {printed(stress[0], 'V')} peak, against {printed(told.rating_v, 'V')}, "
            f"{told.rating_from}; a factor of {COMMON_MARGIN:g} is common practice."
        )


def _beyond_bias(told: Protection) -> Iterator[str]:
    for diode, current_a in told.found.pin_current_a.items():
        margin = float(np.nanmin(told.held_a[diode] / current_a))
        if margin < COMMON_MARGIN:
            yield (
                f"{diode}: while biased it carries {printed(float(np.nanmax(current_a)), 'A')} peak; the bias holds "
                f"{margin:.2g} times the current. Below once it rectifies and heats; a factor of {COMMON_MARGIN:g} is "
                "common practice."
            )


#: Keys of the states by their names.
_KEYS = {
    RECEIVING.name: "receiving",
    ACTIVELY_DETUNED.name: "actively_detuned",
    DETUNED_BY_BOTH.name: "both_detuned",
    BIAS_MISSING.name: "no_bias",
    PASSIVELY_DETUNED.name: "passively_detuned",
    UNPLUGGED.name: "tuned",
}


def protection_findings(told: Protection) -> Iterator[Finding]:
    """Give every figure of states and faults."""
    found = told.found
    yield Finding(key="states.transmit_field_t", label="peak B1+ in which states and faults are told",
                  value=found.b1_plus_t, unit="T", how="as asked", source="the brief",
                  no_uncertainty_because=CHOSEN)  # fmt: skip
    for state in found.states:
        means = tuple(element.mean_current_a for element in state.elements)
        yield _figure(f"states.{_KEYS[state.name]}_current_a", f"mean gap current of each element, {state.name}, peak",
                      means, "A")  # fmt: skip
    for state in found.states:
        if state.name not in (RECEIVING.name, UNPLUGGED.name):
            isolation = tuple(element.isolation_db for element in state.elements)
            yield _figure(f"states.{_KEYS[state.name]}_below_tuned_db", f"isolation, {state.name}, from the tuned "
                          "array", isolation, "dB")  # fmt: skip
    yield _figure("states.matched_current_a", "mean gap current with power-matched loads, peak",
                  _tuple(found.matched_a), "A")  # fmt: skip
    yield _figure("states.intact_current_a", "mean gap current of each element with nothing that acts, the others "
                  "detuned, peak", _tuple(found.intact_a), "A")  # fmt: skip
    words, current_a = worst_fault(told)
    yield _figure("states.worst_fault", "single fault that lets most current through", words, "")
    yield _figure("states.worst_fault_current_a", "mean gap current with it, peak", current_a, "A")
    stress = capacitor_stress_v(told)
    if stress is not None:
        yield _figure("states.capacitor_voltage_v", "largest voltage across a capacitor without a rating in the "
                      "circuit, detuned states, peak", stress[0], "V")  # fmt: skip
    if found.pin_current_a:
        margin = min(float(np.nanmin(told.held_a[d] / current)) for d, current in found.pin_current_a.items())
        yield _figure("states.pin_held_margin", "current that the bias of a PIN diode holds, over its own, least",
                      margin, "1")  # fmt: skip
    if any(found.onsets):
        acts = tuple(own[0].acts_t if own and isfinite(own[0].acts_t) else nan for own in found.onsets)
        yield _figure("states.diodes_act_from_t", "peak B1+ from which crossed diodes of each element act", acts, "T")


def _tuple(values: Real) -> tuple[float, ...]:
    return tuple(float(value) for value in values)
