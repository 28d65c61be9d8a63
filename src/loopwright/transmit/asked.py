"""What a brief says of the transmit field: its source, where its middle is, whose mass counts."""

from collections.abc import Sequence
from typing import assert_never

import numpy as np

from loopwright.bodies import Body
from loopwright.bodies.patients.building import patient_body
from loopwright.brief.records import BodyRequest, PatientRequest
from loopwright.brief.records.transmit import BirdcageRequest, IdealisedResonatorRequest, TransmitRequest
from loopwright.conductors import FlatStrip
from loopwright.fields.rotating import Precession
from loopwright.fields.transmit import BodyResonator, TransmitSource, birdcage_field
from loopwright.fields.transmit.birdcage import Birdcage, Capacitors, Shield
from loopwright.fields.transmit.birdcage_drive import driven_in_quadrature, matched
from loopwright.fields.transmit.birdcage_wires import cage_wires, resonance
from loopwright.layouts import Element
from loopwright.transmit.room import refuse_array_outside

__all__ = ["middle_of_resonator_m", "patient_mass_kg", "source_asked"]

#: Of strips and capacitors of a birdcage, which set its quality and not the shape of its field (common practice).
STRIP_THICKNESS_M, COPPER_S_PER_M, CAPACITOR_Q = 0.1e-3, 5.8e7, 1000.0

Triple = tuple[float, float, float]


def middle_of_resonator_m(request: TransmitRequest, body: Body, elements: Sequence[Element]) -> Triple:
    """Middle of the resonator in the body frame: as asked, or in the body's box across and the array's along. [m]

    Raises
    ------
    OutsideModelError
        If the array reaches through the resonator's conductors.
    """
    low, high = np.array(body.solid.box_m)
    x, y, _ = ((low + high) / 2).tolist()
    along = np.concatenate([element.vertices_m[:, 2] for element in elements])
    middle = request.middle_m or (x, y, float(along.min() + along.max()) / 2)
    refuse_array_outside(elements, middle_m=middle, radius_m=request.resonator.radius_m)
    return middle


def source_asked(
    request: TransmitRequest, *, middle_m: Triple, frequency_hz: float, sense: Precession
) -> TransmitSource:
    """The resonator of the brief.

    Parameters
    ----------
    request : TransmitRequest
    middle_m : tuple of 3 floats
        See :func:`middle_of_resonator_m`. [m]
    frequency_hz : float
        [Hz]
    sense : Precession
        Of the spins.

    Raises
    ------
    OutsideModelError
        For a birdcage that could not be built, or has no resonance that can be matched.

    Notes
    -----
    A birdcage is tuned, matched and driven in quadrature without the body, whose load its held currents do not know.
    """
    match request.resonator:
        case IdealisedResonatorRequest(radius_m=radius_m, length_m=length_m):
            return BodyResonator(
                radius_m=radius_m, length_m=length_m, centre_m=middle_m, frequency_hz=frequency_hz, sense=sense
            )
        case BirdcageRequest():
            cage = _birdcage(request.resonator, middle_m)
            wires = cage_wires(cage, frequency_hz)
            driven = driven_in_quadrature(wires, matched(wires, resonance(wires)), sense=sense)
            return birdcage_field(wires, driven, sense=sense)
    assert_never(request.resonator)


def _birdcage(request: BirdcageRequest, middle_m: Triple) -> Birdcage:
    section = FlatStrip(
        width_m=request.conductor_width_m, thickness_m=STRIP_THICKNESS_M, conductivity_s_per_m=COPPER_S_PER_M
    )
    return Birdcage(
        radius_m=request.radius_m,
        length_m=request.length_m,
        rungs=request.rungs,
        section=section,
        shield=Shield(radius_m=request.shield_radius_m, length_m=request.shield_length_m),
        capacitor_q=CAPACITOR_Q,
        capacitors=Capacitors.END_RINGS if request.capacitors_in == "end rings" else Capacitors.RUNGS,
        centre_m=middle_m,
    )


def patient_mass_kg(request: TransmitRequest, body: BodyRequest) -> float | None:
    """Mass of the whole patient: as the brief tells it, or that of the patient who was built; else None. [kg]"""
    if request.patient_mass_kg is not None or not isinstance(body, PatientRequest):
        return request.patient_mass_kg
    return next((measure.found for measure in patient_body(body).measures if measure.name == "mass"), None)
