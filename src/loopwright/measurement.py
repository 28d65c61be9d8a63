"""A measurement held against the design: the job of job.py as far as the circuits, then what the bench says."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright import __version__, bench, bodies, circuits, dossier, fields
from loopwright.brief import Brief
from loopwright.brief.records import CircuitRequest
from loopwright.circuits.parts import Capacitor, Inductor, Line, Resistor
from loopwright.circuits.requested_parts import part_tolerance
from loopwright.circuits.wiring import ElementCircuit
from loopwright.fields.wires.polynomial import interpolate
from loopwright.ground.errors import Complaint, MeasurementError, OutsideModelError
from loopwright.ground.means import Means
from loopwright.ground.measuring import Load, Others
from loopwright.job import coarse_voxel_m, dressed_array, driven_array, tuned_on
from loopwright.questions import wired_array

__all__ = ["AsMeasured", "MeasurementOutcome", "what_to_turn"]

#: Points of the measurement that are fitted: in air a resonance may be as narrow as a thirtieth of the band.
_MOST_POINTS = 201
#: Where a trimmer stands nobody knows before it is measured (common practice), as a logarithm.
_TRIMMER_WIDTH = 0.2

_ON_BODY = (
    "Turns are told for the coil on the body of the brief, where its match belongs: parts, inductance and coupling as "
    "fitted in air, the load as computed. The reflections in the list are computed, not measured; a coil that is "
    "matched in air is not matched on a body."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class AsMeasured:
    """A measurement and how it was taken.

    Attributes
    ----------
    measured : MeasuredNetwork
        As read.
    elements : tuple of str
        Names in the order of its ports; empty for all elements of the array.
    others : Others
        How the elements that were not measured were left.
    load : Load
        What the array lay on.
    turnable : tuple of str
        Parts that can be turned; empty for those that the synthesis found.
    """

    measured: bench.MeasuredNetwork
    elements: tuple[str, ...] = ()
    others: Others = Others.OPEN
    load: Load = Load.BODY
    turnable: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasurementOutcome:
    """What was found, and the page that is written from it."""

    evidence: dossier.BenchEvidence
    dossier: dossier.Dossier


def what_to_turn(brief: Brief, asked: AsMeasured, means: Means) -> MeasurementOutcome:
    """Fit the circuits of a brief to a measurement and say which part to turn.

    Parameters
    ----------
    brief : Brief
        With a circuit.
    asked : AsMeasured
        The measurement.
    means : Means
        What the fields are solved with, or taken up from.

    Raises
    ------
    MeasurementError
        With everything that is wrong with the measurement; no field has been solved then.
    OutsideModelError, NotConvergedError
        If the brief has no circuit, or a model is asked for something it cannot tell.
    """
    if brief.circuit is None:
        raise OutsideModelError(
            "the brief has no circuit, so nothing can be turned: write the wiring of the elements under `circuit`, "
            "which elements of coaxial line do not take yet"
        )
    body = bodies.place(brief.body, frequency_hz=brief.scanner.frequency_hz)
    coarse_body = bodies.place(brief.body, frequency_hz=body.frequency_hz, voxel_m=coarse_voxel_m(brief))
    dressed = dressed_array(brief, body, coarse_body, means)
    names = tuple(element.name for element in dressed.layout.elements)
    chosen = _looked_over(brief, asked, names)
    driven = driven_array(brief, dressed, fields.chosen_excitation(brief.computation.excitation, dressed, body))
    reply, array = tuned_on(brief, body, driven, means)
    outcome = wired_array(brief, driven.network, reply, array, means)
    assert outcome is not None  # noqa: S101 - the brief has a circuit
    ports = outcome.ports
    if asked.load is Load.NONE:
        in_air = circuits.array_ports(driven.network, None, array.temperatures)
        ports = circuits.with_joints(in_air, brief.conductor.other_series_resistance_ohm)
    evidence = _evidence(brief, outcome, ports, asked, names, chosen)
    return MeasurementOutcome(evidence=evidence, dossier=dossier.compile_bench(evidence))


def _looked_over(brief: Brief, asked: AsMeasured, names: tuple[str, ...]) -> tuple[int, ...]:
    """Numbers of the elements that were measured; everything that is wrong is told at once."""
    wanted = asked.elements or names
    found = [
        *_wrong_names(asked.elements, names),
        *bench.complaints_about(
            asked.measured,
            elements=len(wanted),
            band_hz=_band_hz(brief),
            frequency_hz=brief.scanner.frequency_hz,
        ),
    ]
    if found:
        raise MeasurementError(tuple(found))
    return tuple(names.index(name) for name in wanted)


def _wrong_names(wanted: tuple[str, ...], names: tuple[str, ...]) -> list[Complaint]:
    told = {name: "no element is called so" for name in wanted if name not in names}
    told |= {name: "named twice" for name in wanted if wanted.count(name) > 1}
    return [
        Complaint(
            file="--elements",
            line=0,
            field="element",
            found=f"{name}, {wrong}",
            allowed=", ".join(names),
            remedy="name each element that was measured once, in the order of the file's ports",
        )
        for name, wrong in told.items()
    ]


def _band_hz(brief: Brief) -> tuple[float, float]:
    middle_hz, fraction = brief.scanner.frequency_hz, brief.computation.band_fraction
    return middle_hz * (1 - fraction), middle_hz * (1 + fraction)


def _evidence(
    brief: Brief,
    outcome: circuits.CircuitOutcome,
    ports: circuits.ArrayPorts,
    asked: AsMeasured,
    names: tuple[str, ...],
    chosen: tuple[int, ...],
) -> dossier.BenchEvidence:
    band_hz = (float(ports.frequencies_hz[0]), float(ports.frequencies_hz[-1]))
    measured = bench.within(asked.measured, band_hz, most_points=_MOST_POINTS)
    built = outcome.bought.circuits
    turnable = _turnable(asked.turnable, outcome.wanted.free, built[chosen[0]])
    model = _model(outcome, ports, asked, measured, built, chosen)
    fit = bench.fit(model, measured)
    measured_names = tuple(names[element] for element in chosen)
    wanted_ohm = outcome.source_ohm[list(chosen)].tolist()
    on_body_ohm = _beside(outcome.ports, np.array([ports.frequency_hz]), built, chosen, asked.others)[0]
    turned = fit if asked.load is Load.BODY else bench.with_load(fit, on_body_ohm)
    return dossier.BenchEvidence(
        title=brief.title,
        tool_version=__version__,
        element_names=measured_names,
        measured=measured,
        methods=dossier.methods_of(brief),
        how_measured=_how_measured(asked, measured, tuple(name for name in names if name not in measured_names)),
        design_scattering=model.scattering_with(np.zeros(len(model.differences))),
        fit=fit,
        loops=bench.fitted_loops(fit),
        wanted_ohm=tuple(wanted_ohm),
        turns=bench.turns(turned, wanted_ohm=wanted_ohm, adjustable=turnable),
        cautions=(
            *(() if asked.load is Load.BODY else (_ON_BODY,)),
            *bench.cautions_of(measured),
            *bench.doubts_about(fit, measured, measured_names),
        ),
    )


def _model(
    outcome: circuits.CircuitOutcome,
    ports: circuits.ArrayPorts,
    asked: AsMeasured,
    measured: bench.MeasuredNetwork,
    built: tuple[ElementCircuit, ...],
    chosen: tuple[int, ...],
) -> bench.BenchModel:
    at_hz = np.append(measured.frequencies_hz, ports.frequency_hz)
    beside_ohm = _beside(ports, at_hz, built, chosen, asked.others)
    return bench.bench_model(
        frequencies_hz=measured.frequencies_hz,
        frequency_hz=ports.frequency_hz,
        port_ohm=beside_ohm[:-1],
        operation_ohm=beside_ohm[-1],
        port_element=np.repeat(np.arange(len(chosen)), [built[element].gap_count for element in chosen]),
        circuits=[built[element] for element in chosen],
        priors=bench.Priors(parts=_widths(outcome.request, built[chosen[0]], outcome.bought.trimmed)),
        reference_ohm=measured.reference_ohm,
    )


def _beside(
    ports: circuits.ArrayPorts,
    at_hz: NDArray[np.float64],
    built: tuple[ElementCircuit, ...],
    chosen: tuple[int, ...],
    others: Others,
) -> NDArray[np.complex128]:
    return bench.ports_beside_others(
        interpolate(ports.frequencies_hz, ports.impedance_ohm, at_hz),
        built,
        measured=chosen,
        others=others,
        frequencies_hz=at_hz,
    )


def _widths(request: CircuitRequest, circuit: ElementCircuit, trimmed: Sequence[str]) -> dict[str, float]:
    """Widths of the priors of the parts whose tolerance the brief gives, and of trimmers."""
    found = {}
    for branch in circuit.branches:
        tolerance = part_tolerance(request, branch)
        if branch.name in trimmed:
            found[branch.name] = _TRIMMER_WIDTH
        elif tolerance is not None:
            found[branch.name] = tolerance
    return found


def _turnable(wanted: tuple[str, ...], free: tuple[str, ...], circuit: ElementCircuit) -> tuple[str, ...]:
    can = tuple(
        b.name for b in circuit.branches if isinstance(circuit.part(b.name), Capacitor | Inductor | Resistor | Line)
    )
    cannot = [name for name in wanted if name not in can]
    if cannot:
        raise OutsideModelError(
            f"{', '.join(cannot)} cannot be turned; there are {', '.join(can)}: name those in --turn"
        )
    return wanted or free or can


def _how_measured(asked: AsMeasured, measured: bench.MeasuredNetwork, others: tuple[str, ...]) -> str:
    lay = "on the body of the brief" if asked.load is Load.BODY else "in air, without a body"
    left = {
        Others.OPEN: "their gaps open",
        Others.DETUNED: "their PIN diodes conducting and their preamplifiers in place",
    }[asked.others]
    told = (
        f"Taken as measured {lay}, every measured port terminated in the {measured.reference_ohm:g} ohm of the "
        "analyser in place of its preamplifier, no diode acting"
    )
    return f"{told}. Of the others, {', '.join(others)}: {left}." if others else f"{told}."
