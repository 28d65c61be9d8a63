"""The records that make up a brief, in SI units, one file per topic."""

from loopwright.brief.records.array import (
    ArrayRequest,
    ElementRequest,
    ElementShape,
    TilingPattern,
    TilingRequest,
    TilingSpan,
)
from loopwright.brief.records.body import (
    BodyRequest,
    ChildAge,
    ChildTrunkRequest,
    EllipsoidRequest,
    EllipticCylinderRequest,
    ExplicitMaterial,
    LayerRequest,
    MaterialRequest,
    SlabRequest,
    SphereRequest,
    TissueByName,
)
from loopwright.brief.records.brief import Brief, DefaultUsed
from loopwright.brief.records.computation import ComputationRequest
from loopwright.brief.records.conductor import (
    ConductorRequest,
    FlatStripRequest,
    PrintedStripRequest,
    RoundWireRequest,
)
from loopwright.brief.records.designs import DesignsRequest
from loopwright.brief.records.imaging import (
    AccelerationRequest,
    Axis,
    BoxRegion,
    ImagingRequest,
    Plane,
    RegionRequest,
    SliceRequest,
    SphereRegion,
    WholeBodyRegion,
)
from loopwright.brief.records.record import Record
from loopwright.brief.records.scanner import B0Direction, Scanner

__all__ = [
    "AccelerationRequest",
    "ArrayRequest",
    "Axis",
    "B0Direction",
    "BodyRequest",
    "BoxRegion",
    "Brief",
    "ChildAge",
    "ChildTrunkRequest",
    "ComputationRequest",
    "ConductorRequest",
    "DefaultUsed",
    "DesignsRequest",
    "ElementRequest",
    "ElementShape",
    "EllipsoidRequest",
    "EllipticCylinderRequest",
    "ExplicitMaterial",
    "FlatStripRequest",
    "ImagingRequest",
    "LayerRequest",
    "MaterialRequest",
    "Plane",
    "PrintedStripRequest",
    "Record",
    "RegionRequest",
    "RoundWireRequest",
    "Scanner",
    "SlabRequest",
    "SliceRequest",
    "SphereRegion",
    "SphereRequest",
    "TilingPattern",
    "TilingRequest",
    "TilingSpan",
    "TissueByName",
    "WholeBodyRegion",
]
