"""Heat as a brief asks for it, at every source of heat of the array, in all its cases."""

from collections.abc import Sequence

import numpy as np

from loopwright.brief.records import Brief
from loopwright.brief.records.heat import HeatRequest
from loopwright.circuits.states import Plug
from loopwright.conductors import DressedLayout
from loopwright.heating.array_heat import array_heat
from loopwright.heating.array_spots import array_spots
from loopwright.heating.asked import trace_asked
from loopwright.heating.spot import SpotStack
from loopwright.layouts import Element
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

    Raises
    ------
    OutsideModelError
        Where a part does not fit on the conductor.
    NotConvergedError
        Where the equations of heat are not solved.
    """
    elements = dressed.layout.elements
    spots = array_spots(
        [one.answer for one in told],
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
    request: HeatRequest, stack: SpotStack, elements: Sequence[Element], told: Sequence[CaseTold], *, duration_s: float
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
    duration_s : float
        Of the sequence. [s]
    """
    drawn_w = len(elements) * request.preamplifier_power_w

    def preamplifiers_w(one: CaseTold) -> float:
        return drawn_w if any(state.plug is Plug.IN for state in one.case.states) else 0.0

    worst = max(told, key=lambda one: one.array_w + preamplifiers_w(one))
    return whole_coil(
        stack,
        case=worst.case.name,
        array_w=worst.array_w,
        preamplifiers_w=preamplifiers_w(worst),
        area_m2=sum(_area_m2(element) for element in elements),
        duration_s=duration_s,
    )


def _round_m(element: Element) -> float:
    return float(np.linalg.norm(np.roll(element.vertices_m, -1, axis=0) - element.vertices_m, axis=1).sum())


def _area_m2(element: Element) -> float:
    """Area that a loop encloses, by its vector area."""
    inwards = element.vertices_m - element.vertices_m.mean(axis=0)
    return float(np.linalg.norm(np.cross(inwards, np.roll(inwards, -1, axis=0)).sum(axis=0)) / 2)
