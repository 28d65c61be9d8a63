"""From temperatures at all sources of heat to what is told: hottest places, surfaces, probes, the coil as a whole."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.heating.array_heat import ArrayHeat, rises_k
from loopwright.heating.lumped import Bodies, bodies_response, box_body
from loopwright.heating.probes import Expected, ProbePlace, ProbePlan, probe_plan
from loopwright.heating.sequences import settling_s
from loopwright.heating.spot import Place, SpotStack
from loopwright.limits.heat_told import HotPlace, SurfaceHeat, WholeCoil

__all__ = ["HeatOfCases", "heat_of_cases", "hot_places_of", "hottest_of_all", "probes_for", "whole_coil"]

Floats = NDArray[np.float64]

#: Places that are told of a hot spot, as far as the stack has them.
TOLD = (Place.APPLIED_SURFACE, Place.PART, Place.OUTER_SURFACE, Place.SKIN)
#: Places of probes that are closer than this count as one. [m]
APART_M = 0.03
#: Sources of heat among which probes are placed, case by case.
_CANDIDATES = 8


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatOfCases:
    """Rises at all sources of heat in all cases.

    Attributes
    ----------
    heat : ArrayHeat
    names : tuple of str
        Of the elements.
    cases : tuple of str
        Names of the cases.
    after_k, settled_k, after_uncertainty_k, settled_uncertainty_k : mapping of Place to ndarray
        Rise after the sequence and in the end, shape (sources, cases), and the half-width of both. [K]
    duration_s : float
        Of the sequence. [s]
    """

    heat: ArrayHeat
    names: tuple[str, ...]
    cases: tuple[str, ...]
    after_k: dict[Place, Floats]
    settled_k: dict[Place, Floats]
    after_uncertainty_k: dict[Place, Floats]
    settled_uncertainty_k: dict[Place, Floats]
    duration_s: float

    @property
    def at_rest_c(self) -> float:
        """Of the surface on the patient without power. [degC]"""
        return self.heat.start_c(Place.APPLIED_SURFACE)

    @property
    def core_c(self) -> float:
        """Of the core of the body. [degC]"""
        return self.heat.spots.kinds[0].stack.core.temperature_c

    def surface(self, case: int) -> tuple[float, float]:
        """Hottest surface on the patient in a case in the end, and the half-width of its interval. [degC], [K]

        The interval reaches as far as that of any place: one that is a little cooler may be known less well.
        """
        rise_k = self.settled_k[Place.APPLIED_SURFACE][:, case]
        far_k = rise_k + self.settled_uncertainty_k[Place.APPLIED_SURFACE][:, case]
        return self.at_rest_c + float(rise_k.max()), float(far_k.max() - rise_k.max())


def heat_of_cases(heat: ArrayHeat, *, names: Sequence[str], cases: Sequence[str], duration_s: float) -> HeatOfCases:
    """Work out all rises.

    Parameters
    ----------
    heat : ArrayHeat
    names : sequence of str
        Of the elements.
    cases : sequence of str
        Names of the cases.
    duration_s : float
        Of the sequence. [s]
    """
    places = [place for place in TOLD if all(place in one.fine for one in heat.responses.values())]
    after = {place: rises_k(heat, place, time_s=duration_s) for place in places}
    settled = {place: rises_k(heat, place) for place in places}
    return HeatOfCases(
        heat=heat,
        names=tuple(names),
        cases=tuple(cases),
        after_k={place: found[0] for place, found in after.items()},
        settled_k={place: found[0] for place, found in settled.items()},
        after_uncertainty_k={place: found[1] for place, found in after.items()},
        settled_uncertainty_k={place: found[1] for place, found in settled.items()},
        duration_s=duration_s,
    )


def hot_places_of(found: HeatOfCases, case: int, count: int) -> tuple[HotPlace, ...]:
    """The hottest places of one case on the patient, the hottest first."""
    rise = found.settled_k[Place.APPLIED_SURFACE][:, case]
    return tuple(_hot_place(found, at, case) for at in np.argsort(-rise, kind="stable")[:count].tolist())


def hottest_of_all(found: HeatOfCases, cases: Sequence[int], count: int) -> tuple[HotPlace, ...]:
    """The hottest sources of heat over some cases, each in its worst, the hottest on the patient first."""
    rise = found.settled_k[Place.APPLIED_SURFACE][:, list(cases)]
    order = np.argsort(-rise.max(axis=1), kind="stable")[:count].tolist()
    return tuple(_hot_place(found, at, cases[int(np.argmax(rise[at]))]) for at in order)


def _hot_place(found: HeatOfCases, at: int, case: int) -> HotPlace:
    source = found.heat.spots.sources[at]
    response = found.heat.responses.get(found.heat.spots.kinds[source.kind])
    return HotPlace(
        element=found.names[source.element],
        part=source.part,
        position_m=source.position_m,
        case=found.cases[case],
        power_w=float(found.heat.spots.power_w[at, case]),
        places={
            place: SurfaceHeat(
                start_c=(start_c := found.heat.start_c(place)),
                after_c=start_c + float(found.after_k[place][at, case]),
                settled_c=start_c + float(settled[at, case]),
                time_constant_s=float("nan") if response is None else response.time_constant_s(place),
                uncertainty_k=float(found.settled_uncertainty_k[place][at, case]),
            )
            for place, settled in found.settled_k.items()
        },
    )


def probes_for(found: HeatOfCases, cases: Sequence[int], *, probes: int) -> ProbePlan:
    """Where to measure, so that the hottest place of each of these cases is seen as far as probes reach.

    Parameters
    ----------
    found : HeatOfCases
    cases : sequence of int
        Cases that are measured.
    probes : int
        At hand; one of them is for reference, so that two are the fewest of which a plan can be made.

    Returns
    -------
    ProbePlan
        Temperatures of the surface on the patient after the sequence.
    """
    return probe_plan(tuple(_probe_places(found, cases)), count=max(probes, 2), apart_m=APART_M)


def _probe_places(found: HeatOfCases, cases: Sequence[int]) -> Iterator[ProbePlace]:
    rise = found.after_k[Place.APPLIED_SURFACE]
    off = found.after_uncertainty_k[Place.APPLIED_SURFACE]
    taken = {at for case in cases for at in np.argsort(-rise[:, case], kind="stable")[:_CANDIDATES].tolist()}
    for at in sorted(taken):
        source = found.heat.spots.sources[at]
        yield ProbePlace(
            name=source.part,
            element=found.names[source.element],
            part=source.part,
            position_m=source.position_m,
            expected={
                found.cases[case]: Expected(
                    temperature_c=found.at_rest_c + float(rise[at, case]), uncertainty_k=float(off[at, case])
                )
                for case in cases
            },
        )


def whole_coil(
    stack: SpotStack,
    *,
    case: str,
    array_w: float,
    preamplifiers_w: float,
    bias_w: float,
    area_m2: float,
    duration_s: float,
) -> WholeCoil:
    """Warm the coil as a whole: all heat spread over the outer surface, none into the patient.

    Parameters
    ----------
    stack : SpotStack
        Layers round the conductor; those of coil and cover store heat.
    case : str
        Name of the case in which the array takes up most.
    array_w, preamplifiers_w, bias_w : float
        Heat of the array, of its preamplifiers and of its bias lines. [W]
    area_m2 : float
        Of the surface to the air. [m^2]
    duration_s : float
        Of the sequence. [s]
    """
    layers = (*stack.outer, *stack.inner)
    mass_kg = area_m2 * sum(layer.density_kg_per_m3 * layer.thickness_m for layer in layers)
    stored = area_m2 * sum(
        layer.density_kg_per_m3 * layer.thickness_m * layer.heat_capacity_j_per_kg_k for layer in layers
    )
    coil = box_body(
        "coil",
        area_m2=area_m2,
        mass_kg=mass_kg,
        heat_capacity_j_per_kg_k=stored / mass_kg,
        transfer_w_per_m2_k=stack.air.transfer_w_per_m2_k,
    )
    response = bodies_response(Bodies(bodies=(coil,)), {"coil": array_w + preamplifiers_w + bias_w})
    settled_k = float(response.final_rise_k()[0])
    return WholeCoil(
        case=case,
        array_w=array_w,
        preamplifiers_w=preamplifiers_w,
        bias_w=bias_w,
        area_m2=area_m2,
        rise_after_k=float(response.rise_k(duration_s)[0, 0]),
        rise_settled_k=settled_k,
        time_constant_s=settling_s(response) if settled_k > 0 else float("nan"),
    )
