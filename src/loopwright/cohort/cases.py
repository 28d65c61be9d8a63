"""One case of a study: who wears what, what its figures are, and how they are kept."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, fields
from enum import Enum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loopwright import __version__
from loopwright.brief import CohortRequest, PlannedCase
from loopwright.cohort.bearing import Bearing
from loopwright.cohort.images import AcceleratedImages, Images
from loopwright.cohort.wearing import Fit
from loopwright.ground.tables import data_digest

__all__ = ["Asked", "Case", "CaseFigures", "CaseResult", "Outcome", "cases_of", "from_arrays", "to_arrays"]

_FIGURES_OF = f"cohort case 5, loopwright {__version__}"
Arrays = dict[str, NDArray[np.generic]]


class Asked(Enum):
    """What a study is asked for: how arrays fit, which needs no field; or images as well."""

    FIT = "fit"
    IMAGES = "images"


class Outcome(Enum):
    """What became of a case."""

    FOUND = "found"
    REFUSED = "refused"
    FAILED = "failed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One array on one patient at one stand-off, with all that its figures depend on."""

    planned: PlannedCase
    request: CohortRequest
    asked: Asked

    @property
    def name(self) -> str:
        """Patient, array and stand-off, as progress tells them."""
        return f"{self.array_name} on {self.planned.patient.name}"

    @property
    def array_name(self) -> str:
        """Array and, where the study varies it, its stand-off."""
        at = self.planned.stand_off
        return f"{self.planned.array.name}, {at}" if at else self.planned.array.name

    @property
    def key(self) -> str:
        """sha256 of everything that can change its figures, by which the store knows them."""
        array, request = self.planned.array, self.request
        former = None if array.former is None else array.former.model_dump(mode="json")
        rest = [request.rest, array.give_m, array.mass_kg, array.strap_tension_n_per_m]
        layers = [request.outer_layer_m, request.centre_radius_m] if self.asked is Asked.IMAGES else []
        parts = [_FIGURES_OF, data_digest(), self.asked.value, self.planned.brief.canonical(), former, rest, layers]
        return hashlib.sha256(json.dumps(parts, sort_keys=True).encode()).hexdigest()


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseFigures:
    """What a case leaves.

    Attributes
    ----------
    elements : int
    shift_m : float
        By how much the array moved against the patient to the front (-y), to its rest. [m]
    spanned_share : float
        Part of the tape round the patient at z = 0 that the array spans.
    fit : Fit
    bearing : Bearing
    images : Images or None
        None where they were not asked for.
    excitation : str
        Current that drove the body; empty without images.
    """

    elements: int
    shift_m: float
    spanned_share: float
    fit: Fit
    bearing: Bearing
    images: Images | None = None
    excitation: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseResult:
    """What became of a case; ``figures`` are None where it was refused or failed, and ``reason`` says why."""

    patient: str
    array: str
    outcome: Outcome
    figures: CaseFigures | None = None
    reason: str = ""


def cases_of(request: CohortRequest, planned: tuple[PlannedCase, ...], asked: Asked) -> tuple[Case, ...]:
    """Return the cases of a study in its order, each without the patients and arrays of the others."""
    common = request.model_copy(update={"patients": (), "arrays": ()})
    return tuple(Case(planned=one, request=common, asked=asked) for one in planned)


def to_arrays(figures: CaseFigures) -> Arrays:
    """Turn figures into arrays that a store keeps."""
    flat: dict[str, object] = {
        "elements": figures.elements,
        "shift_m": figures.shift_m,
        "spanned_share": figures.spanned_share,
        "excitation": np.frombuffer(figures.excitation.encode(), dtype=np.uint8),
        **{f"fit_{name}": value for name, value in _fields(figures.fit)},
        **{f"bearing_{name}": value for name, value in _fields(figures.bearing)},
    }
    if figures.images is not None:
        flat |= {f"images_{name}": value for name, value in _fields(figures.images) if name != "accelerations"}
        rows = [[value for _, value in _fields(one)] for one in figures.images.accelerations]
        flat["accelerations"] = np.array(rows, dtype=np.float64).reshape(len(rows), -1)
    return {name: np.asarray(value) for name, value in flat.items()}


def from_arrays(arrays: Mapping[str, NDArray[np.generic]]) -> CaseFigures | None:
    """Turn kept arrays into figures again; None where they are those of another form."""
    try:
        images = None
        if "accelerations" in arrays:
            rows = [_accelerated(row) for row in arrays["accelerations"]]
            images = Images(**_taken(Images, "images_", arrays), accelerations=tuple(rows))
        return CaseFigures(
            elements=int(arrays["elements"]),
            shift_m=float(arrays["shift_m"]),
            spanned_share=float(arrays["spanned_share"]),
            fit=Fit(**_taken(Fit, "fit_", arrays)),
            bearing=Bearing(**_taken(Bearing, "bearing_", arrays)),
            images=images,
            excitation=np.asarray(arrays["excitation"], dtype=np.uint8).tobytes().decode(),
        )
    except (KeyError, TypeError, ValueError):
        return None


def _fields(record: object) -> list[tuple[str, object]]:
    return [(field.name, getattr(record, field.name)) for field in fields(record)]  # type: ignore[arg-type]


def _taken(record: type, prefix: str, arrays: Mapping[str, NDArray[np.generic]]) -> dict[str, Any]:
    """The fields of a record from arrays: numbers as numbers, rows as tuples."""
    names = [field.name for field in fields(record) if field.name != "accelerations"]
    found = {name: arrays[f"{prefix}{name}"].tolist() for name in names}
    return {name: tuple(value) if isinstance(value, list) else value for name, value in found.items()}


def _accelerated(row: NDArray[np.generic]) -> AcceleratedImages:
    names = [field.name for field in fields(AcceleratedImages)]
    return AcceleratedImages(**dict(zip(names, row.tolist(), strict=True)))
