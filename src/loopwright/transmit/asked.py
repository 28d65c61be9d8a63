"""What a brief says of the transmit field: its source, where its middle is, whose mass counts."""

from collections.abc import Sequence
from typing import assert_never

import numpy as np

from loopwright.bodies import Body
from loopwright.bodies.patients.building import patient_body
from loopwright.brief.records import BodyRequest, PatientRequest
from loopwright.brief.records.transmit import BirdcageRequest, IdealisedResonatorRequest, TransmitRequest
from loopwright.fields.rotating import Precession
from loopwright.fields.transmit import BodyResonator, TransmitSource
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import Element
from loopwright.transmit.room import refuse_array_outside

__all__ = ["middle_of_resonator_m", "patient_mass_kg", "source_asked"]

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
        For a birdcage, which is not solved in a job.
    """
    match request.resonator:
        case IdealisedResonatorRequest(radius_m=radius_m, length_m=length_m):
            return BodyResonator(
                radius_m=radius_m, length_m=length_m, centre_m=middle_m, frequency_hz=frequency_hz, sense=sense
            )
        case BirdcageRequest():
            raise OutsideModelError(
                "transmit.resonator: a birdcage cannot yet carry a whole job. Write `kind: idealised resonator` with "
                "the same radius and length."
            )
    assert_never(request.resonator)


def patient_mass_kg(request: TransmitRequest, body: BodyRequest) -> float | None:
    """Mass of the whole patient: as the brief tells it, or that of the patient who was built; else None. [kg]"""
    if request.patient_mass_kg is not None or not isinstance(body, PatientRequest):
        return request.patient_mass_kg
    return next((measure.found for measure in patient_body(body).measures if measure.name == "mass"), None)
