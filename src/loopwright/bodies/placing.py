"""From the body that is asked for to the body on its grid."""

from typing import assert_never

from loopwright.bodies.solids import Solid, layered_ellipsoid, layered_elliptic_cylinder, layered_slab, layered_sphere
from loopwright.bodies.tissues import Tissue, tissue_at
from loopwright.bodies.trunk import child_trunk
from loopwright.bodies.voxels import Body, voxelise
from loopwright.brief.records import (
    BodyRequest,
    ChildTrunkRequest,
    EllipsoidRequest,
    EllipticCylinderRequest,
    ExplicitMaterial,
    MaterialRequest,
    SlabRequest,
    SphereRequest,
    TissueByName,
)

LayeredRequest = SphereRequest | EllipsoidRequest | EllipticCylinderRequest | SlabRequest


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
    match request:
        case ChildTrunkRequest(age=age):
            return child_trunk(age)
        case SphereRequest(radius_m=radius):
            names, thicknesses = _layers(request)
            return layered_sphere(radius, tissue_names=names, thicknesses_m=thicknesses)
        case EllipsoidRequest(semi_axes_m=semi_axes):
            names, thicknesses = _layers(request)
            return layered_ellipsoid(semi_axes, tissue_names=names, thicknesses_m=thicknesses)
        case EllipticCylinderRequest(semi_axes_m=column_axes, height_m=height):
            names, thicknesses = _layers(request)
            return layered_elliptic_cylinder(column_axes, height, tissue_names=names, thicknesses_m=thicknesses)
        case SlabRequest(size_m=size):
            names, thicknesses = _layers(request)
            return layered_slab(size, tissue_names=names, thicknesses_m=thicknesses)
    assert_never(request)


def tissues_of(request: BodyRequest, *, frequency_hz: float) -> tuple[Tissue, ...]:
    """Tissues of the body that is asked for at a frequency [Hz], in the order of its solid's tissue names."""
    if isinstance(request, ChildTrunkRequest):
        return tuple(tissue_at(name, frequency_hz=frequency_hz) for name in solid_of(request).tissue_names)
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
