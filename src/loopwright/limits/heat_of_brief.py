"""Heat as a brief asks for it, at every source of heat of the array, in all its cases."""

from collections.abc import Sequence

import numpy as np

from loopwright.brief.records import Brief
from loopwright.brief.records.heat import HeatRequest
from loopwright.circuits.bias.bias_lines import LineCheck
from loopwright.circuits.states import Plug
from loopwright.conductors import DressedLayout
from loopwright.heating.array_heat import array_heat
from loopwright.heating.array_spots import array_spots
from loopwright.heating.asked import trace_asked
from loopwright.heating.spot import SpotStack
from loopwright.layouts import Element
from loopwright.layouts.outline_area import outline_area_m2
from loopwright.limits.bias_heat import with_bias_heat
from loopwright.limits.case_told import CaseTold
from loopwright.limits.heat_told import WholeCoil
from loopwright.limits.hot_places import HeatOfCases, heat_of_cases, whole_coil
from loopwright.transmit.driven_array import DrivenArray

__all__ = ["coil_as_a_whole", "heat_asked"]


def heat_asked(
    brief: Brief,
    request: HeatRequest,
    stack: SpotStack,
    *,
    dressed: DressedLayout,
    array: DrivenArray,
    told: Sequence[CaseTold],
    lines: Sequence[LineCheck],
) -> HeatOfCases:
    """Temperatures at all sources of heat of the array.

    Parameters
    ----------
    brief : Brief
    request : HeatRequest
        What of it is said of heat.
    stack : SpotStack
        Layers round the conductor.
    dressed : DressedLayout
    array : DrivenArray
    told : sequence of CaseTold
        All cases.
    lines : sequence of LineCheck
        Bias lines, checked: their bias heats PIN diodes too.

    Raises
    ------
    OutsideModelError
        Where a part does not fit on the conductor.
    NotConvergedError
        Where the equations of heat are not solved.
    """
    elements = dressed.layout.elements
    spots = array_spots(
        [with_bias_heat(one.answer, array.circuits, lines) for one in told],
        array.circuits,
        gap_nodes=[element.gap_nodes for element in elements],
        ring_m=[element.vertices_m for element in elements],
        request=request,
        stack=stack,
        trace=trace_asked(
            brief.conductor, dressed.cross_section, length_m=float(np.mean([_round_m(one) for one in elements]))
        ),
    )
    return heat_of_cases(
        array_heat(spots),
        names=array.names,
        cases=[one.case.name for one in told],
        duration_s=0.0 if brief.transmit is None else brief.transmit.duration_s,
    )


def coil_as_a_whole(
    request: HeatRequest,
    stack: SpotStack,
    elements: Sequence[Element],
    told: Sequence[CaseTold],
    *,
    lines: Sequence[LineCheck],
    duration_s: float,
) -> WholeCoil:
    """The coil at one temperature, in the case in which it and preamplifiers that are plugged in make most heat.

    Parameters
    ----------
    request : HeatRequest
    stack : SpotStack
        Layers round the conductor.
    elements : sequence of Element
    told : sequence of CaseTold
        Cases that count.
    lines : sequence of LineCheck
        Bias lines, whose diodes and chokes lie in the coil.
    duration_s : float
        Of the sequence. [s]
    """
    drawn_w = len(elements) * request.preamplifier_power_w
    bias_w = sum(line.line_w for line in lines)

    def plugged(one: CaseTold) -> bool:
        return any(state.plug is Plug.IN for state in one.case.states)

    def supplied_w(one: CaseTold) -> float:
        return drawn_w + bias_w if plugged(one) else 0.0

    worst = max(told, key=lambda one: one.array_w + supplied_w(one))
    return whole_coil(
        stack,
        case=worst.case.name,
        array_w=worst.array_w,
        preamplifiers_w=drawn_w if plugged(worst) else 0.0,
        bias_w=bias_w if plugged(worst) else 0.0,
        area_m2=outline_area_m2(elements),
        duration_s=duration_s,
    )


def _round_m(element: Element) -> float:
    return float(np.linalg.norm(np.roll(element.vertices_m, -1, axis=0) - element.vertices_m, axis=1).sum())
