"""From the body that is asked for to the body on its grid."""

from dataclasses import replace
from math import prod
from typing import assert_never

from loopwright.bodies.bottle import bottle
from loopwright.bodies.filling import liquid_tissue
from loopwright.bodies.head import head
from loopwright.bodies.hydration import hydrated
from loopwright.bodies.imported.labelled import labelled_solid
from loopwright.bodies.limb import limb
from loopwright.bodies.patients.building import patient_body
from loopwright.bodies.solids import (
    Solid,
    layered_ellipsoid,
    layered_elliptic_cylinder,
    layered_slab,
    layered_sphere,
    layered_surface,
)
from loopwright.bodies.tissues import Tissue, tissue_at
from loopwright.bodies.trunk import trunk, trunk_with_arms
from loopwright.bodies.voxels import Body, voxelise
from loopwright.brief.records import (
    LEAST_HALVES,
    MOST_VOXELS,
    BodyRequest,
    BottleRequest,
    EllipsoidRequest,
    EllipticCylinderRequest,
    ExplicitMaterial,
    FigureRequest,
    FormulaRequest,
    HeadRequest,
    LabelsRequest,
    LayeredRequest,
    LimbRequest,
    LiquidMaterial,
    MaterialRequest,
    PatientRequest,
    SlabRequest,
    SphereRequest,
    SurfaceRequest,
    TissueByName,
    TrunkRequest,
    materials_of,
)
from loopwright.ground.errors import OutsideModelError


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
        If layers leave no core, a tissue is not in the table, or a patient makes too many voxels.
    """
    solid = solid_of(request)
    return voxelise(
        _on_voxels(solid, request.voxel_m) if isinstance(request, PatientRequest) else solid,
        spacing_m=request.voxel_m if voxel_m is None else voxel_m,
        tissues=tissues_of(request, frequency_hz=frequency_hz),
        frequency_hz=frequency_hz,
    )


def _on_voxels(solid: Solid, voxel_m: float) -> Solid:
    """A patient with a caution where it is thin for its voxels; its size is known no sooner than it is built."""
    size = [high - low for low, high in zip(*solid.box_m, strict=True)]
    count, least = prod(size) / voxel_m**3, min(size) / 2
    if count > MOST_VOXELS:
        raise OutsideModelError(
            f"{solid.name}: {count / 1e6:.0f} million voxels of {voxel_m * 1e3:g} mm, more than "
            f"{MOST_VOXELS / 1e6:.0f} million. Make the voxel larger than "
            f"{1e3 * voxel_m * (count / MOST_VOXELS) ** (1 / 3):.2g} mm, or ask for less of the body."
        )
    if voxel_m <= least / LEAST_HALVES:
        return solid
    coarse = (
        f"Voxels of {voxel_m * 1e3:g} mm are coarse for a body whose least half-width is {least * 1e3:.2g} mm: "
        f"{LEAST_HALVES} fit between its middle and its skin only from {1e3 * least / LEAST_HALVES:.2g} mm down."
    )
    return replace(solid, cautions=(*solid.cautions, coarse))


def solid_of(request: BodyRequest) -> Solid:
    """The shapes of the body that is asked for."""
    if isinstance(request, PatientRequest):
        return patient_body(request).solid
    if isinstance(request, FigureRequest):
        return _figure(request)
    if isinstance(request, SurfaceRequest | LabelsRequest):
        return _from_file(request)
    return _by_formula(request)


def _by_formula(request: FormulaRequest) -> Solid:
    names, thicknesses = _layers(request)
    match request:
        case SphereRequest(radius_m=radius):
            return layered_sphere(radius, tissue_names=names, thicknesses_m=thicknesses)
        case EllipsoidRequest(semi_axes_m=semi_axes):
            return layered_ellipsoid(semi_axes, tissue_names=names, thicknesses_m=thicknesses)
        case EllipticCylinderRequest(semi_axes_m=column_axes, height_m=height):
            return layered_elliptic_cylinder(column_axes, height, tissue_names=names, thicknesses_m=thicknesses)
        case BottleRequest():
            return bottle(request, tissue_names=names)
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
    return tuple(_tissue(material, frequency_hz=frequency_hz) for material in materials_of(request))


def _tissue(material: MaterialRequest, *, frequency_hz: float) -> Tissue:
    match material:
        case TissueByName(tissue=name):
            return tissue_at(name, frequency_hz=frequency_hz)
        case ExplicitMaterial(name=name, eps_r=eps_r, sigma_s_per_m=sigma):
            return Tissue(name=name, eps_r=eps_r, sigma_s_per_m=sigma, note="given in the brief")
        case LiquidMaterial():
            return liquid_tissue(material, frequency_hz=frequency_hz)
    assert_never(material)


def _layers(request: LayeredRequest) -> tuple[list[str], list[float]]:
    """Names of the materials from outside inwards, core last, and thickness of every layer. [m]"""
    return [_name(material) for material in materials_of(request)], [layer.thickness_m for layer in request.layers]


def _from_file(request: SurfaceRequest | LabelsRequest) -> Solid:
    """The body that a file brings; labels of one material are one tissue."""
    if isinstance(request, SurfaceRequest):
        names, thicknesses = _layers(request)
        solid = layered_surface(request.surface, tissue_names=names, thicknesses_m=thicknesses, name=request.file)
    else:
        materials = materials_of(request)
        labels = [tuple(one.label for one in request.tissues if one.material == material) for material in materials]
        names = [_name(material) for material in materials]
        solid = labelled_solid(request.volume, labels=labels, tissue_names=names, name=request.file)
    return replace(solid, notes=(*solid.notes, *request.notes))


def _name(material: MaterialRequest) -> str:
    return material.tissue if isinstance(material, TissueByName) else material.name
