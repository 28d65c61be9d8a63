"""The whole brief."""

import json
from dataclasses import dataclass
from typing import Any

from loopwright.brief.records.array import ArrayRequest
from loopwright.brief.records.body import BodyRequest
from loopwright.brief.records.capacitors import CapacitorsRequest
from loopwright.brief.records.circuit import CircuitRequest
from loopwright.brief.records.cohort import CohortRequest
from loopwright.brief.records.computation import ComputationRequest
from loopwright.brief.records.conductor import ConductorRequest
from loopwright.brief.records.conductor_choice import ConductorChoiceRequest
from loopwright.brief.records.designs import DesignsRequest
from loopwright.brief.records.family import FamilyRequest
from loopwright.brief.records.heat import HeatRequest
from loopwright.brief.records.imaging import ImagingRequest
from loopwright.brief.records.interface import InterfaceRequest
from loopwright.brief.records.limits import LimitRequest
from loopwright.brief.records.loading import LoadingRequest
from loopwright.brief.records.record import Record
from loopwright.brief.records.scanner import Scanner
from loopwright.brief.records.tolerances import TolerancesRequest
from loopwright.brief.records.transmit import TransmitRequest
from loopwright.ground.sources import Source

__all__ = ["Brief", "DefaultUsed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DefaultUsed:
    """A value that the brief left open, as the engineer would have written it, and where it comes from."""

    field: str
    value: str
    source: Source


class Brief(Record):
    """What the engineer asks for and has chosen, in SI units."""

    title: str
    scanner: Scanner
    body: BodyRequest
    array: ArrayRequest
    conductor: ConductorRequest
    circuit: CircuitRequest | None = None
    imaging: ImagingRequest
    computation: ComputationRequest
    conductor_choice: ConductorChoiceRequest | None = None
    capacitors: CapacitorsRequest | None = None
    interface: InterfaceRequest | None = None
    tolerances: TolerancesRequest | None = None
    family: FamilyRequest | None = None
    loading_equivalence: LoadingRequest | None = None
    transmit: TransmitRequest | None = None
    heat: HeatRequest | None = None
    limits: tuple[LimitRequest, ...] = ()
    designs: DesignsRequest | None = None
    cohort: CohortRequest | None = None
    defaults_used: tuple[DefaultUsed, ...] = ()

    def canonical(self) -> str:
        """Return everything that can change a result, as JSON of SI values with sorted keys.

        Title, wording, the origin of the defaults, the designs to compare and the patients of a study are left out, so
        two briefs that ask for the same array in other words give the same text.
        """
        asked = self.model_dump(
            mode="json",
            exclude={
                "title": True,
                "designs": True,
                "cohort": True,
                "defaults_used": True,
                "scanner": {"frequency_convention"},
                "body": {"file"},  # the digest of its bytes tells more than its name
            },
        )
        if asked["array"]["carrier"] is None:
            del asked["array"]["carrier"]
        for topic in ("circuit", "tolerances", "family", "loading_equivalence", "transmit", "heat", "limits"):
            if not asked[topic]:
                del asked[topic]  # so that a brief without it keeps the text that it had before there was such a topic
        return json.dumps(_without_negative_zero(asked), sort_keys=True, separators=(",", ":"), ensure_ascii=True)


def _without_negative_zero(value: Any) -> Any:
    """Return the same tree with 0.0 for every -0.0, which JSON would tell apart."""
    if isinstance(value, dict):
        return {key: _without_negative_zero(entry) for key, entry in value.items()}
    if isinstance(value, list):
        return [_without_negative_zero(entry) for entry in value]
    return 0.0 if isinstance(value, float) and value == 0 else value
