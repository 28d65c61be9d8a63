"""Arrays that are carried out over many patients."""

from typing import Annotated, Literal

from pydantic import Field

from loopwright.brief.records.array import ArrayRequest
from loopwright.brief.records.body import BodyRequest
from loopwright.brief.records.conductor import ConductorRequest
from loopwright.brief.records.record import Positive, Record

__all__ = ["CohortArray", "CohortLimits", "CohortPatient", "CohortRequest", "Rest"]

Rest = Literal["centre", "back", "front"]


class CohortPatient(Record):
    """One body that an array is put on.

    Attributes
    ----------
    name
        Results go by it.
    age_years
        For axes; before birth at term it is negative.
    circumference_m
        For axes and size bands; None takes that of the body's skin at z = 0. [m]
    pose, loading
        Words for the table, where bodies differ in them.
    imaging_keys
        Keys of ``imaging`` that this patient has for itself.
    cover_keys
        Keys of the cover of a tiling that follows the skin that this patient has for itself.
    """

    name: str
    body: BodyRequest
    age_years: float | None = None
    circumference_m: Positive | None = None
    pose: str = ""
    loading: str = ""
    imaging_keys: tuple[str, ...] = ()
    cover_keys: tuple[str, ...] = ()


class CohortArray(Record):
    """One array that is put on patients.

    Attributes
    ----------
    name
        Results go by it.
    former
        Body on which a stiff array was formed; None for one that follows every patient's skin.
    give_m
        By how much the padding of a stiff array can be pressed in. [m]
    mass_kg
        Of all of the array, as weighed; None takes conductor and films. [kg]
    strap_tension_n_per_m
        Pull of a strap round it over its width; None for none. [N/m]
    """

    name: str
    array: ArrayRequest
    conductor: ConductorRequest | None = None
    former: BodyRequest | None = None
    give_m: Annotated[float, Field(ge=0)] = 0.0
    mass_kg: Positive | None = None
    strap_tension_n_per_m: Positive | None = None


class CohortLimits(Record):
    """What is to be kept; None sets no limit.

    Attributes
    ----------
    gap_m
        95th percentile, along the conductors, of the gap beyond the stand-off. [m]
    spanned_share
        Least part of the tape round the patient at z = 0 that an array spans.
    snr_loss
        Part of the outer layer's SNR that may be lost against the best array on the same patient.
    mass_kg
        [kg]
    mass_per_area_kg_per_m2
        [kg/m^2]
    flex_cycles
        Bends that the array has to live through.
    """

    gap_m: Positive | None = None
    spanned_share: Annotated[float, Field(gt=0, lt=1)] | None = None
    snr_loss: Annotated[float, Field(gt=0, lt=1)] | None = None
    mass_kg: Positive
    mass_per_area_kg_per_m2: Positive
    flex_cycles: int | None = None


class CohortRequest(Record):
    """Patients, arrays and stand-offs, of which every combination is a case.

    Attributes
    ----------
    patients, arrays
    stand_offs_m
        In place of that of every tiling; empty keeps them as written. [m]
    outer_layer_m
        Thickness of the layer below the edge of the region that counts as its outer part. [m]
    centre_radius_m
        Radius of the ball about the region's centroid that counts as its centre. [m]
    rest
        Where a patient lies in a stiff array.
    limits
    """

    patients: tuple[CohortPatient, ...]
    arrays: tuple[CohortArray, ...]
    stand_offs_m: tuple[Positive, ...] = ()
    outer_layer_m: Positive
    centre_radius_m: Positive
    rest: Rest
    limits: CohortLimits
