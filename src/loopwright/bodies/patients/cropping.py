"""Cuts the part that is asked for out of a patient, with enough body around it, and lays the frame at its middle."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from loopwright.bodies.meshes import MeshShape
from loopwright.bodies.patients.balloons import Depth, quick_depth
from loopwright.bodies.patients.bones import together
from loopwright.bodies.patients.joints import Stance
from loopwright.bodies.patients.posing import BENT_SIDE
from loopwright.bodies.solids import Region
from loopwright.brief.records import PatientPart
from loopwright.ground.surface import Surface

Real = NDArray[np.float64]

_ARM, _LEG = ("upper arm", "forearm", "hand"), ("thigh", "shank", "foot")


@dataclass(frozen=True, slots=True, kw_only=True)
class Crop:
    """Where a part is cut out.

    Attributes
    ----------
    origin_m
        What becomes the origin, (3,). [m]
    along
        What becomes the direction of z, unit vector (3,).
    low_m, high_m
        Where the part ends along z from there, its margin included; infinite where nothing is cut. [m]
    limb
        Parts of the body that are kept, where the part is one of a limb; else all.
    told
        Origin and cuts in words.
    """

    origin_m: Real
    along: Real
    low_m: float
    high_m: float
    limb: tuple[str, ...]
    told: str


def crop_of(part: PatientPart, stance: Stance, *, margin_m: float) -> Crop:
    """Where this part of a figure is cut out.

    Parameters
    ----------
    part : str
        One of the parts that a brief can ask for.
    stance : Stance
        On its back.
    margin_m : float
        How much body is kept past the part on either side. [m]
    """
    if part in ("knee", "elbow", "wrist", "hand"):
        return _of_limb(part, stance, margin_m)
    marks, up = stance.landmarks_m, np.array([0.0, 0.0, 1.0])
    middle = _middle_m(stance)
    match part:
        case "head":
            origin = np.array([0.0, _brow_m(stance), marks["glabella"][2]])
            low, high = float(marks["chin"][2] - origin[2]), inf
            told = "The origin is the middle of the head at the height of the glabella; cut below the chin"
        case "neck":
            origin = (marks["neck"] + marks["head"]) / 2 * [0, 1, 1]
            low, high = (float(marks[name][2] - origin[2]) for name in ("suprasternal notch", "chin"))
            told = "The origin is the middle of the neck; cut below the notch of the breastbone and above the chin"
        case "chest":
            origin = np.array([0.0, middle, (marks["left nipple"][2] + marks["right nipple"][2]) / 2])
            low, high = (float(marks[name][2] - origin[2]) for name in ("navel", "suprasternal notch"))
            told = (
                "The origin is the middle of the trunk at the height of the nipples; cut below the navel and above the "
                "notch of the breastbone"
            )
        case "trunk":
            origin = np.array([0.0, middle, (marks["crotch"][2] + marks["suprasternal notch"][2]) / 2])
            low, high = (float(marks[name][2] - origin[2]) for name in ("crotch", "suprasternal notch"))
            told = (
                "The origin is the middle of the trunk between crotch and notch of the breastbone; cut below the one "
                "and above the other"
            )
        case _:
            origin = np.array([0.0, middle, (marks["crotch"][2] + marks["suprasternal notch"][2]) / 2])
            return Crop(origin_m=origin, along=up, low_m=-inf, high_m=inf, limb=(), told=_WHOLE)
    told += f", {margin_m * 1e3:.0f} mm away from it on each side that is cut."
    return Crop(origin_m=origin, along=up, low_m=low - margin_m, high_m=high + margin_m, limb=(), told=told)


_WHOLE = "The origin is the middle of the trunk between crotch and notch of the breastbone; nothing is cut."


def _of_limb(part: str, stance: Stance, margin_m: float) -> Crop:
    """A part of the left arm or leg, the limb above it along z."""
    side, marks = BENT_SIDE, stance.landmarks_m
    above, joint, reach = {
        "knee": ("hip", "knee", 0.2),
        "elbow": ("shoulder", "elbow", 0.25),
        "wrist": ("elbow", "wrist", 0.25),
        "hand": ("elbow", "wrist", 0.1),
    }[part]
    origin, start = marks[f"{side} {joint}"], marks[f"{side} {above}"]
    length = float(np.linalg.norm(start - origin))
    low = inf if part == "hand" else reach * length + margin_m
    high = reach * length + margin_m
    cut = "above it" if part == "hand" else "on either side of it"
    along = (start - origin) / length
    off, y = float(np.degrees(np.arccos(np.clip(along[2], -1, 1)))), _axes(along)[1, 1]
    return Crop(
        origin_m=origin,
        along=along,
        low_m=-low,
        high_m=high,
        limb=tuple(f"{side} {name}" for name in (_LEG if part == "knee" else _ARM)),
        told=(
            f"The origin is the {side} {joint}, z runs along the limb towards the {above}, y to "
            f"{'the back' if y > 0 else 'the front'}; the limb is cut "
            f"{high * 1e3:.0f} mm {cut}, {margin_m * 1e3:.0f} mm of it margin. The rest of the body is left out. "
            f"That z is {off:.0f} degrees from the patient's long axis; the static field is taken along it."
        ),
    )


def cropped(regions: Sequence[Region], stance: Stance, crop: Crop) -> tuple[Region, ...]:
    """The regions of the part, in the frame of the crop; those of which nothing is left are gone.

    Parameters
    ----------
    regions : sequence of Region
        Skin, what is under the skin, what is under the fat (all three with the triangles of the skin), and what is in
        it. Every shape is one of triangles.
    stance : Stance
        The figure they fill.
    crop : Crop
        Where to cut.
    """
    lower, upper = (-inf, -inf, crop.low_m), (inf, inf, crop.high_m)
    kept: list[Region] = []
    new: dict[int, int] = {}
    limb = stance.share(*crop.limb) > 0.5 if crop.limb else None
    inside: Depth | None = None
    for index, region in enumerate(regions):
        surface: Surface | None = _surface(region)
        if limb is not None and surface is not None:
            if len(surface.vertices_m) == len(limb):
                surface = closed_part(surface, limb)
                inside = quick_depth(surface)
            elif inside is not None:
                surface = _pieces_inside(surface, inside)
        surface = None if surface is None else framed(surface, crop)
        if surface is None or not _meets(surface, crop):
            continue
        within = None if region.within is None else new[region.within]
        new[index] = len(kept)
        shape = MeshShape(surface=surface, lower_m=lower, upper_m=upper)
        kept.append(Region(shape=shape, tissue=region.tissue, within=within))
    return tuple(kept)


def framed(surface: Surface, crop: Crop) -> Surface:
    """A surface in the frame of a crop."""
    return surface.at(framed_m(surface.vertices_m, crop))


def framed_m(points_m: Real, crop: Crop) -> Real:
    """Points (..., 3) [m] in the frame of a crop. [m]"""
    return np.asarray((points_m - crop.origin_m) @ _axes(crop.along))


def _axes(z: Real) -> Real:
    """Axes x, y, z of the frame of a crop in that of the patient, as columns; x as far to the left as z lets it."""
    x = np.array([1.0, 0.0, 0.0]) - z[0] * z if abs(z[0]) < 0.95 else np.array([0.0, 0.0, 1.0]) - z[2] * z
    x = x / np.linalg.norm(x)
    return np.column_stack([x, np.cross(z, x), z])


def closed_part(surface: Surface, chosen: NDArray[np.bool_]) -> Surface:
    """The triangles all of whose vertices are chosen, the hole that is left closed by a fan from its middle.

    Of several pieces only the largest counts.
    """
    triangles = surface.triangles[np.all(chosen[surface.triangles], axis=1)]
    piece = _pieces(triangles, len(surface.vertices_m))[triangles[:, 0]]
    triangles = triangles[piece == np.bincount(piece).argmax()]
    edges = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    size = len(surface.vertices_m)
    there, back = edges[:, 0] * size + edges[:, 1], edges[:, 1] * size + edges[:, 0]
    rim = edges[~np.isin(there, back)]
    middle = surface.vertices_m[rim[:, 0]].mean(axis=0)
    fan = np.column_stack([rim[:, 1], rim[:, 0], np.full(len(rim), size)])
    used, renumbered = np.unique(np.concatenate([triangles, fan]), return_inverse=True)
    vertices = np.vstack([surface.vertices_m, middle])[used]
    return Surface(vertices_m=vertices, triangles=renumbered.reshape(-1, 3).astype(np.int64))


def _pieces_inside(surface: Surface, depth_m: Depth) -> Surface | None:
    """Those connected pieces of a surface whose middle lies inside another one."""
    piece = _pieces(surface.triangles, len(surface.vertices_m))
    kept = []
    for label in np.unique(piece):
        chosen = piece == label
        if depth_m(surface.vertices_m[chosen].mean(axis=0)[None])[0] > 0:
            used, renumbered = np.unique(surface.triangles[chosen[surface.triangles[:, 0]]], return_inverse=True)
            kept.append(Surface(vertices_m=surface.vertices_m[used], triangles=renumbered.reshape(-1, 3)))
    return together(kept) if kept else None


def _pieces(triangles: NDArray[np.int64], size: int) -> NDArray[np.int64]:
    """Number of the connected piece of every vertex."""
    a, b, c = triangles.T
    links = coo_array((np.ones(2 * len(a)), (np.append(a, b), np.append(b, c))), shape=(size, size))
    return np.asarray(connected_components(links, directed=False)[1], dtype=np.int64)


def _meets(surface: Surface, crop: Crop) -> bool:
    low, high = surface.box_m
    return bool(low[2] < crop.high_m - 1e-6 and high[2] > crop.low_m + 1e-6)


def _surface(region: Region) -> Surface:
    if not isinstance(region.shape, MeshShape):
        raise TypeError("a patient has shapes of triangles only")
    return region.shape.surface


def _middle_m(stance: Stance) -> float:
    """Middle of the trunk along y. [m]"""
    y = stance.surface.vertices_m[stance.share("trunk") > 0.5, 1]
    return float(y.min() + y.max()) / 2


def _brow_m(stance: Stance) -> float:
    """Middle of the head along y at the height of the glabella. [m]"""
    head = stance.surface.vertices_m[stance.share("head") > 0.5]
    ring = head[np.abs(head[:, 2] - stance.landmarks_m["glabella"][2]) < 0.1 * np.ptp(head[:, 2]), 1]
    return float(ring.min() + ring.max()) / 2
