"""An invented record of what is told while the scanner transmits: consistent, and easy to follow by hand."""

from dataclasses import replace
from math import inf, nan

import numpy as np

from loopwright.circuits.faults.cases import ArrayCase, Wearing
from loopwright.circuits.faults.listing import as_case
from loopwright.circuits.states import (
    ACTIVELY_DETUNED,
    BIAS_MISSING,
    DETUNED_BY_BOTH,
    PASSIVELY_DETUNED,
    RECEIVING,
    UNPLUGGED,
    Diodes,
)
from loopwright.circuits.under_field.pin_hold import PinHold, PinRecovery
from loopwright.dossier.transmit_maps import transmit_maps
from loopwright.ground.sources import Flag, Source
from loopwright.heating.probes import Expected, ProbePlace, probe_plan
from loopwright.heating.spot import Place
from loopwright.limits import (
    BodyAlone,
    CaseTold,
    DiodeFollowed,
    FaultRow,
    HotPlace,
    LimitName,
    OnsetCurve,
    ScalarInBody,
    Spacing,
    SurfaceHeat,
    WhileTransmitting,
    WholeCoil,
    assess,
    assess_spacing,
    packaged_limits,
    ranked,
)
from loopwright.transmit.answers import CaseAnswer, ElementAnswer, PartAnswer, PowerBalance
from loopwright.transmit.b1 import B1Change, B1Statistics
from loopwright.transmit.detection import Detection
from loopwright.transmit.exposure import Exposure
from loopwright.transmit.finding import Finding, Told
from loopwright.transmit.global_sar import GlobalSar
from loopwright.transmit.local_sar import LocalSar

EXPOSURE = Exposure(peak_b1_plus_t=14e-6, rms_b1_plus_t=2.8e-6, duration_s=900.0)
REST_C, HEATED = 34.2, 8
_UNKNOWN = Finding(told=Told.UNKNOWN, words="the bias may pass the part")
_NOT = Finding(told=Told.NOT_NOTICED, words="no threshold is crossed")
_BIAS = Finding(told=Told.NOTICED, words="voltage of the line above its threshold")
_PRESCAN = Finding(told=Told.NOTICED, words="channel lost half of its signal")
#: Per element: what fails, current [A], lowest and highest B1+, rise of the surface [K], bias monitor, prescan.
_FAILURES = (
    ("trap diode open", 1.9, 0.71, 1.34, 12.6, _BIAS, _NOT),
    ("trap coil open", 1.4, 0.80, 1.19, 6.1, _UNKNOWN, _NOT),
    ("match capacitor short", 0.35, 0.96, 1.05, 1.2, _NOT, _PRESCAN),
    ("fuse open", 0.02, 0.99, 1.01, 0.1, _NOT, _PRESCAN),
)


def change(low, high):
    """B1+ in a region whose mean lies half-way between one and the middle of both ends."""

    def statistics(lowest, highest):
        return B1Statistics(
            mean=(2 + lowest + highest) / 4, deviation=(highest - lowest) / 6, lowest_percent=lowest,
            highest_percent=highest, lowest=lowest - 0.04, highest=highest + 0.05,
            lowest_place_m=(0.0, -0.05, 0.0), highest_place_m=(0.02, -0.06, 0.01),
        )  # fmt: skip

    driven = statistics(low, high)
    adjustment = 1 / driven.mean
    return B1Change(
        as_driven=driven, adjusted=statistics(low * adjustment, high * adjustment), adjustment=adjustment, left_out=3
    )


def case_told(case, names, *, current_a, low=0.99, high=1.01, at=0, rise_k=None, monitor=_NOT, prescan=_NOT):
    """One case in which the element `at` carries the most current; warm where a rise is given."""
    elements = tuple(_element(name, current_a if k == at else 0.3 * current_a) for k, name in enumerate(names))
    hot = () if rise_k is None else (_hot(names[at], at, case.name, rise_k),)
    averaged = rise_k is not None and rise_k > 5
    return CaseTold(
        case=case,
        answer=CaseAnswer(
            case=case,
            port_current_a_per_t=np.zeros(4 * len(names), complex),
            elements=elements,
            balance=PowerBalance(given_w=0, parts_w=0, receivers_w=0, traces_w=0, joints_w=0, body_w=0, radiated_w=0),
        ),
        b1=change(low, high),
        absorbed_w=9.1 * ((low + high) / 2) ** 2,
        local_sar_ratio_bound=1 + 0.7 * current_a,
        local_sar=LocalSar(
            peak_w_per_kg=1.8 * (1 + 0.4 * current_a), place_m=(0.0, -0.06, 0.0), cube_side_m=0.0216,
            same_cube_without_w_per_kg=0.9, peak_without_w_per_kg=1.8,
        ) if averaged else None,
        hot_places=hot,
        detection=Detection(bias_monitor=monitor, prescan=prescan),
    )  # fmt: skip


def _element(name, current_a):
    heat_w = 0.4 * current_a**2
    parts = (
        PartAnswer(name="gap 1 capacitor", voltage_v=60 * current_a, current_a=current_a, power_w=0.2 * heat_w,
                   share=0.4 * current_a, opens_after_s=nan),
        PartAnswer(name="trap coil", voltage_v=85 * current_a, current_a=1.4 * current_a, power_w=heat_w,
                   share=0.6 * current_a, opens_after_s=nan),
        PartAnswer(name="fuse", voltage_v=0.1, current_a=current_a, power_w=0.01, share=0.3 * current_a,
                   opens_after_s=2.3 if current_a > 1.5 else inf),
    )  # fmt: skip
    return ElementAnswer(
        name=name, largest_current_a=current_a, mean_current_a=0.8 * current_a, largest_at=3,
        gap_voltage_v=np.array([60.0, 40.0, 85.0, 20.0]) * current_a, trace_w=0.3 * heat_w,
        largest_trace_w_per_m=heat_w, hottest_at=3, parts=parts,
    )  # fmt: skip


def place_of(at):
    """Of the trap of an element, on the ring of the synthetic evidence. [m]"""
    angle = 2 * np.pi * (at // 2) / 8
    return (0.107 * float(np.sin(angle)), -0.083 * float(np.cos(angle)), 0.03 * (-1) ** at)


def _hot(element, at, case, rise_k):
    def heat(share):
        return SurfaceHeat(
            start_c=REST_C, after_c=REST_C + share * rise_k, settled_c=REST_C + 1.1 * share * rise_k,
            time_constant_s=210.0, uncertainty_k=0.12 * rise_k,
        )  # fmt: skip

    places = {Place.PART: heat(2.4), Place.OUTER_SURFACE: heat(1.3), Place.APPLIED_SURFACE: heat(1.0),
              Place.SKIN: heat(0.8), Place.BELOW_SKIN: heat(0.5)}  # fmt: skip
    return HotPlace(
        element=element, part="trap coil", position_m=place_of(at), case=case, power_w=0.04 * rise_k, places=places
    )


def row_of(told):
    """The row by which a case is ranked."""
    surface = told.hot_places[0].places[Place.APPLIED_SURFACE] if told.hot_places else None
    by = {"bias monitor": told.detection.bias_monitor, "prescan": told.detection.prescan}
    driven = told.b1.as_driven
    return FaultRow(
        name=told.case.name,
        family=told.case.family,
        noticed_by=tuple(name for name, one in by.items() if one.told is Told.NOTICED),
        largest_current_a=told.largest_current_a,
        surface_c=None if surface is None else surface.settled_c,
        surface_uncertainty_c=None if surface is None else surface.uncertainty_k,
        mean_b1_change_percent=100 * (driven.mean - 1),
        least_local_b1=driven.lowest_percent,
        greatest_local_b1=driven.highest_percent,
        local_sar_ratio=None if told.local_sar is None else told.local_sar.ratio,
        rating_over_stress=told.rating_over_stress,
        ratings_exceeded=len(told.ratings_exceeded),
        fuse_opens_after_s=None if told.fuse_opens_after_s == inf else told.fuse_opens_after_s,
    )


def made_transmit(names, *, shape=(36, 28, 34)):
    """All of it for elements of these names, maps on a grid of this shape."""
    conditions = _conditions(names)
    faults = _faults(names)
    limits = packaged_limits()
    transmitting = [one for one in conditions if one.case.name in (DETUNED_BY_BOTH.name, PASSIVELY_DETUNED.name)]
    order = ranked([row_of(one) for one in (*transmitting, *faults)], limits, surface_at_rest_c=REST_C)
    hot = sorted((hot for one in (*conditions, *faults) for hot in one.hot_places),
                 key=lambda hot: -hot.places[Place.APPLIED_SURFACE].after_c)[:HEATED]  # fmt: skip
    told = WhileTransmitting(
        source="idealised resonator of 0.3 m radius and 0.5 m length, electric field along z (E_z = ω B1 r), field "
        "turning with the spins, scaled to the B1+rms of the brief",
        scaled_by="B1+rms and peak B1+ as the brief tells them",
        sense="with the spins, clockwise about +z",
        gauge="E_z form: along z alone, of the size ω B1+ r at a distance r from the axis of the resonator",
        frequency_hz=123.2e6,
        exposure=EXPOSURE,
        middle_m=(0.0, 0.0, 0.02),
        body_alone=BodyAlone(
            sar=GlobalSar(absorbed_w=9.0, model_mass_kg=11.2, exposed_mass_kg=10.4, patient_mass_kg=15.0),
            peak_local_w_per_kg=1.8, peak_local_place_m=(0.03, -0.06, 0.0), mean_b1_in_region=1.04,
            absorbed_uncertainty_w=0.3,
        ),
        conditions=conditions,
        faults=faults,
        ranked=order,
        worst=tuple(one.row.name for one in order[:HEATED]),
        worst_sure_w_per_kg=3.1,
        assessments=(),
        limit_set=limits,
        spacing=Spacing(distance_m=5.2e-3, element=names[2], place_m=place_of(2),
                        each_m=np.linspace(5.2e-3, 7e-3, len(names)), missed_m=6e-5),
        diodes=_diodes(names),
        onset_curves=tuple(
            OnsetCurve(condition=condition, b1_plus_t=(0.4e-6, 1e-6, 3e-6, 14e-6),
                       mean_b1=(1 + below, 1 + 0.9 * below, 0.997, 0.995))
            for condition, below in (("plugged in", 0.021), ("unplugged", 0.094))
        ),
        pin_holds=_holds(names),
        pin_recovery=(PinRecovery(takes_s=9e-6, allowed_s=100e-6), PinRecovery(takes_s=11e-6, allowed_s=100e-6)),
        hot_places=tuple(hot),
        surface_at_rest_c=REST_C,
        whole_coil=WholeCoil(case=hot[0].case, array_w=3.2, preamplifiers_w=4.8, bias_w=0.31, area_m2=0.12,
                             rise_after_k=4.4, rise_settled_k=5.1, time_constant_s=640.0),
        probes=_plan(hot),
        maps=_maps(shape),
        limits=("The currents of the resonator are held.", "Parts bear what their ratings say."),
        not_described=("`interface`: no bias line, so the bias monitor is judged by its diodes alone",),
    )  # fmt: skip
    return replace(told, assessments=_assessments(told))


def _conditions(names):
    n = len(names)
    return (
        case_told(as_case(RECEIVING, n), names, current_a=0.55, low=0.86, high=1.15),
        case_told(as_case(ACTIVELY_DETUNED, n), names, current_a=0.031, rise_k=0.6),
        case_told(as_case(DETUNED_BY_BOTH, n), names, current_a=0.018, rise_k=0.4),
        case_told(as_case(BIAS_MISSING, n), names, current_a=0.052),
        case_told(as_case(PASSIVELY_DETUNED, n), names, current_a=0.049, low=0.985, high=1.02, rise_k=0.9, at=1),
        case_told(as_case(UNPLUGGED, n), names, current_a=2.2, low=0.61, high=1.42, at=2),
    )


def _faults(names):
    found = []
    for condition, less in ((DETUNED_BY_BOTH, 1.0), (PASSIVELY_DETUNED, 0.8)):
        for at, name in enumerate(names):
            away = less * (1 - 0.03 * at)
            for words, current_a, low, high, rise_k, monitor, prescan in _FAILURES:
                failed = replace(condition, name=f"{condition.name}, {words}", pin_diodes=Diodes.BLOCK)
                case = ArrayCase(
                    name=f"{name}: {words} ({condition.name})",
                    states=tuple(failed if k == at else condition for k in range(len(names))),
                    failed=(at,), family=condition.name,
                )  # fmt: skip
                found.append(case_told(
                    case, names, current_a=away * current_a, low=1 - away * (1 - low), high=1 + away * (high - 1),
                    at=at, rise_k=away * rise_k if rise_k > 5 else None, monitor=monitor, prescan=prescan,
                ))  # fmt: skip
        states = (condition,) * len(names)
        case = ArrayCase(name=f"{names[0]} folded over {names[1]} ({condition.name})", states=states, failed=(0, 1),
                         family=condition.name, wearing=Wearing.FOLDED)  # fmt: skip
        found.append(case_told(case, names, current_a=0.21 * less, low=0.93, high=1.04, monitor=_UNKNOWN))
    return tuple(found)


def _assessments(told):
    limits, sar = told.limit_set, told.body_alone.sar
    hot = told.hot_places[0].places[Place.APPLIED_SURFACE]
    worst = told.named(told.ranked[0].row.name)
    held = (
        (LimitName.SURFACE, hot.settled_c, hot.uncertainty_k, f"in the case {told.hot_places[0].case!r}"),
        (LimitName.WHOLE_BODY_NORMAL, sar.whole_body_w_per_kg, 0.02, "in “actively detuned”"),
        (LimitName.PARTIAL_NORMAL, sar.partial_body_w_per_kg, 0.03, "in “actively detuned”"),
        (LimitName.MEAN_B1, 4.8, 0.6, "in “A1: trap coil open (passively detuned, unplugged)”"),
        (LimitName.LEAST_B1, worst.b1.as_driven.lowest_percent, None, f"in “{worst.case.name}”"),
        (LimitName.RATING, 0.88, None, f"in “{worst.case.name}”"),
        (LimitName.BLOCKING, None, None, "traps are told in the section on states and faults"),
    )
    return (
        *(assess(limits.named(name), value, uncertainty=known, why=why) for name, value, known, why in held),
        assess_spacing(told.spacing, limits),
    )


def _diodes(names):
    return tuple(
        DiodeFollowed(
            element=name, part="crossed diodes", condition=condition, acts_t=(1.1 + 0.1 * k + more) * 1e-6,
            conducts_at_peak=True, current_a=0.4 + 0.01 * k, b1_below=1 + below, b1_at_onset=1 + 0.6 * below,
            b1_at_peak=0.995,
        )
        for condition, below, more in (("plugged in", 0.021, 0.0), ("unplugged", 0.094, 1.5))
        for k, name in enumerate(names)
    )  # fmt: skip


def _holds(names):
    source = Source(key="", where="a diode of a micrometre of layer", flag=Flag.COMMON_PRACTICE)
    return tuple(
        PinHold(element=k, part="trap diode", state=DETUNED_BY_BOTH.name, diodes=Diodes.CONDUCT, borne=0.8 + 0.01 * k,
                allowed=4.0, unit="A", reverse_needed_v=0.0, source=source)
        for k in reversed(range(len(names)))
    )  # fmt: skip


def _plan(hot):
    cases = [one.case for one in hot[:4]]
    places = [
        ProbePlace(
            name="surface that faces the skin",
            element=one.element,
            part=one.part,
            position_m=one.position_m,
            expected={
                case: Expected(
                    temperature_c=one.places[Place.APPLIED_SURFACE].after_c if case == one.case else REST_C + 0.5,
                    uncertainty_k=one.places[Place.APPLIED_SURFACE].uncertainty_k,
                )
                for case in cases
            },
        )
        for one in hot
    ]
    return probe_plan(places, count=4, apart_m=0.02)


def _maps(shape):
    x, y, z = np.meshgrid(*(np.linspace(-1, 1, n) for n in shape), indexing="ij")
    inside = x**2 + y**2 < 0.75
    near = np.exp(-((x - 0.1) ** 2 + (y + 0.8) ** 2 + z**2) / 0.08)

    def one(name, title, values, unit):
        return ScalarInBody(name=name, title=title, definition=f"{title}, voxel by voxel.", unit=unit,
                            values=np.where(inside, values, np.nan).astype(np.float32))  # fmt: skip

    return (
        one("b1_ratio_plugged", "B1+ over that without the array, actively detuned", 1 - 0.02 * near, "1"),
        one("b1_ratio_worst", "B1+ over that without the array, worst case", 1 - 0.35 * near + 0.3 * x * near, "1"),
        one("sar_10g_without", "10 g average without the array", 0.4 + 1.3 * (x**2 + y**2), "W/kg"),
        one("sar_10g_worst", "10 g average, worst case", 0.4 + 1.3 * (x**2 + y**2) + 1.4 * near, "W/kg"),
    )


def with_transmit(evidence, told):
    """Evidence of a run in which this was told."""
    maps = replace(evidence.maps, scalars=(*evidence.maps.scalars, *transmit_maps(told)))
    return replace(evidence, maps=maps, while_transmitting=told)


def without_heat(told):
    """The same where the brief has no `heat`."""

    def cold(one):
        return replace(one, hot_places=())

    conditions, faults = (tuple(cold(one) for one in several) for several in (told.conditions, told.faults))
    rows = [row_of(one) for one in (*conditions, *faults) if one.case.name in {r.row.name for r in told.ranked}]
    return replace(
        told, conditions=conditions, faults=faults, hot_places=(), surface_at_rest_c=nan, whole_coil=None, probes=None,
        ranked=ranked(rows, told.limit_set, surface_at_rest_c=REST_C),
        assessments=tuple(
            assess(one.limit, None, uncertainty=None, why="the brief has no `heat`")
            if one.limit.name == LimitName.SURFACE else one
            for one in told.assessments
        ),
    )  # fmt: skip
