"""The field solutions behind a choice of conductor: one loop beside the body, at its place and further out."""

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Body
from loopwright.brief.records import Brief, ConductorChoiceRequest, ConductorRequest
from loopwright.circuits import TunedArray
from loopwright.conductors import cross_section_of, inner_reactance_ohm_per_m, resistance_ohm_per_m
from loopwright.designs.conductor_choice import CoilLoss, ConductorChoice, conductor_choice
from loopwright.designs.depths import axis_points_m, sampled_at
from loopwright.fields import FaceRule, closed_loops, reply_to_sources
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.means import Means
from loopwright.imaging.reception import reception_field_t_per_a
from loopwright.layouts import Layout
from loopwright.layouts.layout import Element

__all__ = ["choose_conductor"]

Real = NDArray[np.float64]

#: Voxels that the body fills to less than this lie on its skin, and their field is not told.
_HALF = 0.5


def choose_conductor(
    brief: Brief, request: ConductorChoiceRequest, *, body: Body, layout: Layout, array: TunedArray, means: Means
) -> ConductorChoice:
    """Hold the array's conductor, and others, against a rigid coil that stands further out.

    Parameters
    ----------
    brief : Brief
        Conductor, temperatures, computation.
    request : ConductorChoiceRequest
        What is to be compared.
    body : Body
        The body on the grid of the brief.
    layout : Layout
        Elements.
    array : TunedArray
        Tells which element the body loads least, and its inductance.
    means : Means
        What the fields are solved with.

    Returns
    -------
    ConductorChoice

    Raises
    ------
    OutsideModelError
        If the axis of the element does not reach a depth inside the body.
    """
    least = min(range(len(array.elements)), key=lambda e: array.elements[e].body_ohm)
    element = layout.elements[least]
    further_out_m = np.array((0.0, *request.further_out_m))
    loops = [element.vertices_m + step * np.asarray(element.normal) for step in further_out_m]
    means.progress.note(f"conductor choice: {element.name} at {len(loops)} distances from the body")
    reply = reply_to_sources(
        body,
        closed_loops(loops),
        face_rule=FaceRule(brief.computation.face_rule),
        relative_residual=brief.computation.relative_residual,
        progress=means.progress,
        store=means.store,
        device=means.device,
    )
    received = np.abs(
        reception_field_t_per_a(reply.magnetic_field_t_per_a, reception_sign=brief.scanner.reception_sign)
    )
    known = body.voxel_cover() >= _HALF
    points = _points_m(element, np.array(request.depths_m), body)
    smooth_ohm = _smooth_ohm(brief.conductor, element, array.elements[least].inductance_h, array.frequency_hz)

    def loss(conductor: ConductorRequest, name: str, capacitor_q: float) -> CoilLoss:
        return _loss(conductor, name, element, smooth_ohm, capacitor_q, array.frequency_hz)

    return conductor_choice(
        element=element.name,
        further_out_m=further_out_m,
        depths_m=np.array(request.depths_m),
        body_ohm=np.diagonal(reply.noise_resistance_ohm).real.copy(),
        field_t_per_a=np.stack([sampled_at(points, np.where(known, one, np.nan), grid=body.grid) for one in received]),
        rigid=loss(request.rigid, "rigid coil", request.rigid.capacitor_q),
        candidates=[
            loss(brief.conductor, "as asked for", array.elements[least].capacitor_q),
            *(loss(one, f"other {number}", one.capacitor_q) for number, one in enumerate(request.others, start=1)),
        ],
        body_temperature_k=brief.conductor.body_temperature_k,
        coil_temperature_k=brief.conductor.coil_temperature_k,
    )


def _points_m(element: Element, depths_m: Real, body: Body) -> Real:
    points = axis_points_m(np.asarray(element.centre_m), np.asarray(element.normal), depths_m, body=body)
    missed = [f"{1e3 * depth:g} mm" for depth, point in zip(depths_m, points, strict=True) if np.isnan(point).any()]
    if missed:
        raise OutsideModelError(
            f"the axis of {element.name}, which the body loads least, never lies {', '.join(missed)} below the skin: "
            "take these out of conductor_choice.depths"
        )
    return points


def _length_m(element: Element) -> float:
    return float(np.linalg.norm(np.roll(element.vertices_m, -1, axis=0) - element.vertices_m, axis=1).sum())


def _smooth_ohm(conductor: ConductorRequest, element: Element, inductance_h: float, frequency_hz: float) -> float:
    """Reactance of the loop without what the turns of its own conductor store: these are no part of another one."""
    turns_ohm_per_m = inner_reactance_ohm_per_m(cross_section_of(conductor), frequency_hz)
    return 2 * np.pi * frequency_hz * inductance_h - _length_m(element) * turns_ohm_per_m


def _loss(
    conductor: ConductorRequest,
    name: str,
    element: Element,
    smooth_ohm: float,
    capacitor_q: float,
    frequency_hz: float,
) -> CoilLoss:
    """Losses of one loop with a uniform current, made of this conductor and tuned with its capacitors."""
    section, length_m = cross_section_of(conductor), _length_m(element)
    reactance_ohm = smooth_ohm + length_m * inner_reactance_ohm_per_m(section, frequency_hz)
    return CoilLoss(
        name=name,
        conductor_ohm=length_m * resistance_ohm_per_m(section, frequency_hz),
        capacitor_ohm=reactance_ohm / capacitor_q,
        other_ohm=conductor.other_series_resistance_ohm,
    )
