"""From the body that is asked for to the body on its grid."""

from typing import assert_never

from loopwright.bodies.head import head
from loopwright.bodies.hydration import hydrated
from loopwright.bodies.limb import limb
from loopwright.bodies.patients.building import patient_body
from loopwright.bodies.solids import Solid, layered_ellipsoid, layered_elliptic_cylinder, layered_slab, layered_sphere
from loopwright.bodies.tissues import Tissue, tissue_at
from loopwright.bodies.trunk import trunk, trunk_with_arms
from loopwright.bodies.voxels import Body, voxelise
from loopwright.brief.records import (
    BodyRequest,
    EllipsoidRequest,
    EllipticCylinderRequest,
    ExplicitMaterial,
    FigureRequest,
    HeadRequest,
    LayeredRequest,
    LimbRequest,
    MaterialRequest,
    PatientRequest,
    SlabRequest,
    SphereRequest,
    TissueByName,
    TrunkRequest,
)


def place(request: BodyRequest, *, frequency_hz: float, voxel_m: float | None = None) -> Body:
    """Build the body that is asked for, at one frequency.

    Parameters
    ----------
    request : BodyRequest
        The body of the brief.
    frequency_hz : float
        Frequency at which its tissues are taken. [Hz]
    voxel_m : float, optional
        Edge of a voxel, where another grid than the brief's is wanted. [m]

    Raises
    ------
    OutsideModelError
        If layers leave no core, or a tissue is not in the table.
    """
    return voxelise(
        solid_of(request),
        spacing_m=request.voxel_m if voxel_m is None else voxel_m,
        tissues=tissues_of(request, frequency_hz=frequency_hz),
        frequency_hz=frequency_hz,
    )


def solid_of(request: BodyRequest) -> Solid:
    """The shapes of the body that is asked for."""
    if isinstance(request, PatientRequest):
        return patient_body(request).solid
    if isinstance(request, FigureRequest):
        return _figure(request)
    names, thicknesses = _layers(request)
    match request:
        case SphereRequest(radius_m=radius):
            return layered_sphere(radius, tissue_names=names, thicknesses_m=thicknesses)
        case EllipsoidRequest(semi_axes_m=semi_axes):
            return layered_ellipsoid(semi_axes, tissue_names=names, thicknesses_m=thicknesses)
        case EllipticCylinderRequest(semi_axes_m=column_axes, height_m=height):
            return layered_elliptic_cylinder(column_axes, height, tissue_names=names, thicknesses_m=thicknesses)
        case SlabRequest(size_m=size):
            return layered_slab(size, tissue_names=names, thicknesses_m=thicknesses)
    assert_never(request)


def _figure(request: FigureRequest) -> Solid:
    match request:
        case HeadRequest(age=age):
            return head(age)
        case TrunkRequest(age=age, arms="beside"):
            return trunk_with_arms(age)
        case TrunkRequest(age=age):
            return trunk(age)
        case LimbRequest(part=part, age=age, length_m=length):
            return limb(part, age, length)
    assert_never(request)


def tissues_of(request: BodyRequest, *, frequency_hz: float) -> tuple[Tissue, ...]:
    """Tissues of the body that is asked for at a frequency [Hz], in the order of its solid's tissue names."""
    if isinstance(request, FigureRequest | PatientRequest):
        found = tuple(tissue_at(name, frequency_hz=frequency_hz) for name in solid_of(request).tissue_names)
        return hydrated(found, request.hydration) if isinstance(request, PatientRequest) else found
    materials = [*(layer.material for layer in request.layers), request.material]
    return tuple(_tissue(material, frequency_hz=frequency_hz) for material in materials)


def _tissue(material: MaterialRequest, *, frequency_hz: float) -> Tissue:
    match material:
        case TissueByName(tissue=name):
            return tissue_at(name, frequency_hz=frequency_hz)
        case ExplicitMaterial(name=name, eps_r=eps_r, sigma_s_per_m=sigma):
            return Tissue(name=name, eps_r=eps_r, sigma_s_per_m=sigma, note="given in the brief")
    assert_never(material)


def _layers(request: LayeredRequest) -> tuple[list[str], list[float]]:
    """Names of the materials from outside inwards, core last, and thickness of every layer. [m]"""
    materials = [*(layer.material for layer in request.layers), request.material]
    names = [material.tissue if isinstance(material, TissueByName) else material.name for material in materials]
    return names, [layer.thickness_m for layer in request.layers]
