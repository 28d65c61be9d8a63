"""What bridges the gaps, as the dossier tells it: lumped parts or printed plates, element by element."""

from dataclasses import dataclass
from math import sqrt

import numpy as np

from loopwright.brief.films import film_of
from loopwright.brief.records import Brief, LumpedCapacitorRequest, PrintedCapacitorRequest
from loopwright.circuits import ElementFigures, TunedArray, coil_noise_figure_db
from loopwright.conductors import (
    GapCapacitors,
    PrintedGap,
    print_stack_of,
    printed_gap,
)
from loopwright.dossier.numbers import printed_as_given
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.sources import Published

__all__ = ["CapacitorEvidence", "GapLine", "LumpedEvidence", "PrintedEvidence", "capacitor_evidence"]


@dataclass(frozen=True, slots=True, kw_only=True)
class GapLine:
    """The capacitors of one element: value in each gap [F], Q, and what their loss does.

    ``resistance_ohm`` is that of all of them, referred to the element's port [ohm]; ``noise_figure_db`` is the coil's
    with them, ``cost_db`` what their loss alone adds to it [dB].
    """

    name: str
    capacitance_f: float
    gaps: int
    quality_factor: float
    resistance_ohm: float
    noise_figure_db: float
    cost_db: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LumpedEvidence:
    """Bought parts."""

    lines: tuple[GapLine, ...]
    rating_v: float
    tolerance: float
    series: str
    network_q: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedEvidence:
    """Printed plates; ``gaps`` goes with ``lines``, and ``unprinted`` tells why an element has neither."""

    lines: tuple[GapLine, ...]
    gaps: tuple[PrintedGap, ...]
    unprinted: tuple[str, ...]
    sentences: tuple[str, ...]
    margin_m: float
    gap_between_m: float
    asked_step: float
    derating: float
    network_q: float

    @property
    def array_yield(self) -> float:
        """Part of arrays in which every gap ends in its band, were gaps to fail on their own.

        Nought where the capacitor of an element cannot be printed: no array is whole then.
        """
        if self.unprinted:
            return 0.0
        return float(
            np.prod([g.trimmed.yield_fraction**line.gaps for g, line in zip(self.gaps, self.lines, strict=True)])
        )

    @property
    def array_yield_uncertainty(self) -> float:
        """Standard deviation that the number of draws leaves."""
        relative = [
            line.gaps * sqrt(max(1 - p, 1 / g.trimmed.in_band.size) / (p * g.trimmed.in_band.size))
            for g, line in zip(self.gaps, self.lines, strict=True)
            if (p := g.trimmed.yield_fraction) > 0
        ]
        return self.array_yield * float(np.sum(relative))  # one seed draws all, so the errors go together


CapacitorEvidence = LumpedEvidence | PrintedEvidence


def capacitor_evidence(brief: Brief, tuned: TunedArray) -> CapacitorEvidence | None:
    """Tell what bridges the gaps; None where the brief leaves it to one quality factor.

    Parameters
    ----------
    brief : Brief
        What was asked.
    tuned : TunedArray
        The array with the capacitances that tune it.
    """
    match brief.capacitors:
        case None:
            return None
        case LumpedCapacitorRequest() as request:
            return _lumped(brief, request, tuned)
        case PrintedCapacitorRequest() as request:
            return _printed(brief, request, tuned)


def _lumped(brief: Brief, request: LumpedCapacitorRequest, tuned: TunedArray) -> LumpedEvidence:
    capacitors = GapCapacitors(request=request, frequency_hz=tuned.frequency_hz)
    return LumpedEvidence(
        lines=tuple(
            _line(tuned, element, capacitors.quality(element.capacitance_f) or element.capacitor_q)
            for element in tuned.elements
        ),
        rating_v=request.rating_v,
        tolerance=request.tolerance,
        series=request.series,
        network_q=brief.conductor.capacitor_q,
    )


def _printed(brief: Brief, request: PrintedCapacitorRequest, tuned: TunedArray) -> PrintedEvidence:
    lines, gaps, unprinted = [], [], []
    for element in tuned.elements:
        try:
            gap = printed_gap(request, element.capacitance_f, tuned.frequency_hz)
        except OutsideModelError as error:
            unprinted.append(f"{element.name}: {error}")
            continue
        gaps.append(gap)
        lines.append(_line(tuned, element, gap.quality_factor))
    return PrintedEvidence(
        lines=tuple(lines),
        gaps=tuple(gaps),
        unprinted=tuple(unprinted),
        sentences=_told(request),
        margin_m=request.margin_m,
        gap_between_m=2 * request.margin_m + request.smallest_tab_m,
        asked_step=request.finest_step,
        derating=request.derating,
        network_q=brief.conductor.capacitor_q,
    )


def _line(tuned: TunedArray, element: ElementFigures, quality_factor: float) -> GapLine:
    """Take the resistance from the network, scaled where its Q is another; port currents move by less than 1/Q."""
    other_q = 1.0 if quality_factor == element.capacitor_q else element.capacitor_q / quality_factor
    resistance_ohm = element.capacitor_ohm * other_q
    others_ohm = element.conductor_ohm + element.other_ohm
    temperatures = {
        "body_temperature_k": tuned.temperatures.body_temperature_k,
        "coil_temperature_k": tuned.temperatures.coil_temperature_k,
    }
    with_it, without = (
        float(coil_noise_figure_db(element.body_ohm, ohm, **temperatures))
        for ohm in (others_ohm + resistance_ohm, others_ohm)
    )
    return GapLine(
        name=element.name,
        capacitance_f=element.capacitance_f,
        gaps=element.gaps,
        quality_factor=quality_factor,
        resistance_ohm=resistance_ohm,
        noise_figure_db=with_it,
        cost_db=with_it - without,
    )


def _told(request: PrintedCapacitorRequest) -> tuple[str, ...]:
    stack, film = print_stack_of(request), film_of(request.film)
    eps_r = _with_source(f"{stack.eps_r:g}", request.eps_r, film.eps_r)
    loss = _with_source(f"{stack.loss_tangent:g}", request.loss_tangent, film.loss_tangent)
    field = f"{1e-6 * stack.breakdown_v_per_m:g} kV/mm"
    breakdown = _with_source(field, request.breakdown_v_per_m, film.breakdown_v_per_m)
    drift = (
        f" Its capacitance moves by {1e6 * film.temperature_per_k.value:+.0f} ppm/K ({film.temperature_per_k.source})."
        if film.temperature_per_k is not None
        else " How its capacitance moves with temperature is not known here: measure it."
    )
    on_film = (
        f"{request.film} film, {1e6 * stack.film_m:g} µm: permittivity {eps_r}, loss tangent {loss}, breakdown field "
        f"of a 25 µm film {breakdown}.{drift}"
    )
    in_ink = (
        f"Ink {1e6 * stack.ink_m:g} µm of {1e-6 * stack.ink_conductivity_s_per_m:g} MS/m on both faces; the lower "
        f"plate reaches {printed_as_given(stack.margin_m, 'm')} beyond the upper one and its tabs, and is notched "
        "below the necks. Current enters one plate at one end and leaves the other at the other end."
    )
    return on_film, in_ink


def _with_source(text: str, measured: float | None, handbook: Published) -> str:
    known = "as measured" if measured is not None else f"{handbook.source.where}, {handbook.source.flag.value}"
    return f"{text} ({known})"
