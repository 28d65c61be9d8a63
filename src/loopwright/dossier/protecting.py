"""States and faults: what the transmit field drives in every state of the circuits, and with each part failed."""

from loopwright.circuits import ArrayUnderField, driven_diode_limits
from loopwright.circuits.readings.bench_readings import Quantity
from loopwright.circuits.states import ACTIVELY_DETUNED, PASSIVELY_DETUNED
from loopwright.dossier.findings import Section
from loopwright.dossier.numbers import printed_in_steps
from loopwright.dossier.protection import Protection
from loopwright.dossier.protection_findings import protection_findings, protection_troubles
from loopwright.dossier.protection_tables import fault_table, onset_table, pin_table, trap_table
from loopwright.dossier.states_told import bench_definitions, bench_table, probe_table, states_table, stress_table

__all__ = ["states_section"]

_GAUGE = "a rotating field of {} peak B1+, electric field along z"
_LIMITS = (
    (
        "Currents and voltages are peak, and hold while the field has its peak: heating goes with the rms over a "
        "sequence and is not computed here, neither of parts nor of the patient."
    ),
    (
        "The field is uniform and rotating, as without the array; what the loops do to it is left out, so the current "
        "of a tuned loop is an upper bound. Its electric field is along z, as in a long resonator: another one with "
        "the same B1+ moves the currents of detuned loops by some per cent to tens of per cent."
    ),
    (
        "In a state diodes conduct or block as it says, whatever the field does to them, and a PIN diode without bias "
        "is taken as blocking. A fault is one part of one element; bridges between elements, wet textile, folded "
        "elements and cables are not among them."
    ),
)
_CAUTION = (
    "These currents are computed for parts as written, not measured. Every state and every fault has to be tested on "
    "the built coil, plugged and unplugged, and its heating measured, before anyone lies in it."
)


def states_section(told: Protection) -> Section:
    """Tell states, faults, ratings and diodes.

    Parameters
    ----------
    told : Protection
        What is known.
    """
    found, names = told.found, told.names
    field = _GAUGE.format(printed_in_steps(found.b1_plus_t, "T"))
    quantities = _quantities(found)
    return Section(
        anchor="states",
        title="States and faults",
        prose=(
            *_LIMITS,
            *(sentence for sentence in bench_definitions() if any(q.value in sentence for q in quantities)),
            *((f"A PIN diode's current is held against {told.held_from}.",) if found.pin_current_a else ()),
            *(driven_diode_limits() if any(found.onsets) else ()),
        ),
        cautions=(*protection_troubles(told), _CAUTION),
        findings=tuple(protection_findings(told)),
        tables=(
            states_table(found.states, names, field=field, matched_a=found.matched_a),
            stress_table(found.states, names),
            *((trap_table(found),) if found.traps else ()),
            fault_table(found, names),
            *((onset_table(found, names),) if any(found.onsets) else ()),
            *((pin_table(found, told.held_a, names),) if found.pin_current_a else ()),
            bench_table((found.bench,), names, quantities=quantities),
            probe_table(dict(zip(names, told.outcome.probes, strict=True))),
        ),
        pictures=("states",),
    )


def _quantities(found: ArrayUnderField) -> tuple[Quantity, ...]:
    having = {state.name for state in found.states}
    return (
        Quantity.DECOUPLING,
        *((Quantity.ACTIVE,) if ACTIVELY_DETUNED.name in having else ()),
        *((Quantity.PASSIVE,) if PASSIVELY_DETUNED.name in having else ()),
    )
