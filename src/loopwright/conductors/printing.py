"""From a requested print to the capacitor of one gap: plate, ladder, loss, voltage, and what comes of many prints."""

from dataclasses import dataclass, replace
from math import pi

import numpy as np

from loopwright.brief.films import film_of
from loopwright.brief.records import PrintedCapacitorRequest
from loopwright.conductors.print_tolerance import PrintSpreads, Share, spread_shares
from loopwright.conductors.printed_capacitor import (
    Plate,
    PrintStack,
    plate_for,
    printed_q,
    printing_limits,
    withstand_v,
)
from loopwright.conductors.trimming import Trimmed, trim_draws
from loopwright.conductors.trimming_ladder import Ladder, LadderRequest, design_ladder, finest_printable_step

__all__ = ["DRAWS", "PrintedGap", "print_spreads_of", "print_stack_of", "printed_gap", "printed_step_f"]

#: Prints that are drawn for a yield, and the seed, so that the same brief gives the same figures.
DRAWS = 10_000
_SEED = 22


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedGap:
    """The printed capacitor in one gap.

    ``whole`` is the plate that would have the target without tabs; ``step`` the relative step of the ladder, coarser
    than asked for where the smallest tab is too large. ``withstand_v`` is peak [V], ``heat_w`` what the capacitor turns
    into heat while it is applied [W].
    """

    target_f: float
    whole: Plate
    ladder: Ladder
    step: float
    shares: tuple[Share, ...]
    quality_factor: float
    withstand_v: float
    heat_w: float
    trimmed: Trimmed
    limits: tuple[str, ...]


def print_stack_of(request: PrintedCapacitorRequest) -> PrintStack:
    """Ink and film of a request; what the brief gives wins over the table."""
    film = film_of(request.film)
    return PrintStack(
        film_m=request.film_thickness_m,
        eps_r=film.eps_r.value if request.eps_r is None else request.eps_r,
        loss_tangent=film.loss_tangent.value if request.loss_tangent is None else request.loss_tangent,
        breakdown_v_per_m=film.breakdown_v_per_m.value
        if request.breakdown_v_per_m is None
        else request.breakdown_v_per_m,
        ink_m=request.ink_thickness_m,
        ink_conductivity_s_per_m=request.ink_conductivity_s_per_m,
        margin_m=request.margin_m,
    )


def print_spreads_of(request: PrintedCapacitorRequest) -> PrintSpreads:
    """What varies from print to print, as the request says."""
    return PrintSpreads(
        thickness=request.thickness_spread,
        eps_r=request.permittivity_spread,
        edge_m=request.edge_spread_m,
        registration_m=request.registration_m,
    )


def printed_gap(request: PrintedCapacitorRequest, capacitance_f: float, frequency_hz: float) -> PrintedGap:
    """Design the printed capacitor of one gap, and print it many times.

    Parameters
    ----------
    request : PrintedCapacitorRequest
        How capacitors are printed.
    capacitance_f : float
        Capacitance that tunes the element. [F]
    frequency_hz : float
        Operating frequency. [Hz]

    Raises
    ------
    OutsideModelError
        If plate or ladder cannot be printed.
    """
    stack, spreads = print_stack_of(request), print_spreads_of(request)
    asked = _ladder_asked(request, capacitance_f)
    whole = plate_for(stack, capacitance_f, narrowest_m=asked.narrowest_m, widest_m=asked.widest_m)
    ladder = design_ladder(stack, spreads, asked)
    q = printed_q(stack, whole, frequency_hz)
    most_v = withstand_v(stack, thickness_spread=spreads.thickness, derating=request.derating)
    return PrintedGap(
        target_f=capacitance_f,
        whole=whole,
        ladder=ladder,
        step=asked.finest_step,
        shares=spread_shares(stack, whole, spreads),
        quality_factor=q,
        withstand_v=most_v,
        heat_w=pi * frequency_hz * capacitance_f * most_v**2 / q,
        trimmed=trim_draws(ladder, stack, spreads, generator=np.random.default_rng(_SEED), draws=DRAWS),
        limits=printing_limits(stack, whole, frequency_hz),
    )


def printed_step_f(request: PrintedCapacitorRequest, capacitance_f: float) -> float:
    """Finest step of the ladder of a printed capacitor: as asked for, or what its smallest tab allows. [F]

    Parameters
    ----------
    request : PrintedCapacitorRequest
        How capacitors are printed.
    capacitance_f : float
        Its value. [F]
    """
    return _ladder_asked(request, capacitance_f).finest_step * capacitance_f


def _ladder_asked(request: PrintedCapacitorRequest, capacitance_f: float) -> LadderRequest:
    asked = LadderRequest(
        target_f=capacitance_f,
        finest_step=request.finest_step,
        measurement_error=request.measurement_error,
        smallest_tab_m=request.smallest_tab_m,
        narrowest_m=request.plate_width_least_m,
        widest_m=request.plate_width_most_m,
        fine_tabs=request.fine_tabs,
        bridges=request.bridges,
    )
    least = finest_printable_step(print_stack_of(request), print_spreads_of(request), asked)
    return replace(asked, finest_step=max(asked.finest_step, least))
