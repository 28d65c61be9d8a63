"""Long bones and the spine as tapered tubes between joints, a shell of cortical bone round spongy bone.

Widths over lengths are our own choice, from memory of adult bones; where a limb is too slim they are less, so that
muscle covers them. Ribs, pelvis, shoulder blades, collar bones and fingers are not there.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from loopwright.bodies.patients.balloons import Depth
from loopwright.bodies.patients.organs import Trunk
from loopwright.ground.surface import Surface

Real = NDArray[np.float64]

#: Shell of the spine over its radius, and how much slimmer it is at the base of the skull (our own choice).
_SHELL_OF_SPINE, _SLIMMER_NECK = 0.08, 0.4
#: Share of the room round its axis that a bone takes, and its least radius where there is none. [1], [m]
_OF_ROOM, _LEAST_M = 0.9, 3e-4
_AROUND = 12
#: A regular polygon of twelve corners has the area of the circle when its corners lie this much further out.
_ROUND = float(np.sqrt(2 * np.pi / (_AROUND * np.sin(2 * np.pi / _AROUND))))


@dataclass(frozen=True, slots=True, kw_only=True)
class Bone:
    """A bone from joint to joint: its radius over its length at ``stations`` from 0 to 1, and the share that is cortex.

    ``aside`` shifts it across the limb by shares of its length, for one of two that lie side by side.
    """

    start: str
    end: str
    stations: tuple[float, ...]
    radii: tuple[float, ...]
    cortex: tuple[float, ...]
    aside: float = 0.0


_LONG = (0.005, 0.1, 0.25, 0.5, 0.75, 0.9, 0.995)
_SHAFT = (0.12, 0.18, 0.4, 0.5, 0.4, 0.18, 0.12)

BONES = (
    Bone(start="hip", end="knee", stations=_LONG, radii=(0.062, 0.055, 0.036, 0.033, 0.04, 0.07, 0.078), cortex=_SHAFT),
    Bone(
        start="knee", end="ankle", stations=_LONG, radii=(0.085, 0.07, 0.04, 0.033, 0.034, 0.048, 0.055), cortex=_SHAFT
    ),
    Bone(
        start="shoulder",
        end="elbow",
        stations=_LONG,
        radii=(0.07, 0.062, 0.042, 0.035, 0.04, 0.065, 0.07),
        cortex=_SHAFT,
    ),
    Bone(
        start="elbow",
        end="wrist",
        stations=_LONG,
        radii=(0.042, 0.036, 0.03, 0.03, 0.032, 0.05, 0.056),
        cortex=_SHAFT,
        aside=0.058,
    ),
    Bone(
        start="elbow",
        end="wrist",
        stations=_LONG,
        radii=(0.055, 0.046, 0.034, 0.029, 0.027, 0.03, 0.034),
        cortex=_SHAFT,
        aside=-0.058,
    ),
    Bone(
        start="wrist", end="middle knuckle", stations=(0.05, 0.4, 0.9), radii=(0.2, 0.22, 0.2), cortex=(0.2, 0.2, 0.2)
    ),
    Bone(start="ankle", end="toes", stations=(0.0, 0.25, 0.55), radii=(0.15, 0.13, 0.08), cortex=(0.15, 0.15, 0.2)),
)


def limb_bones(
    landmarks_m: Mapping[str, Real], depth_m: Depth, *, cover_m: float, side: str
) -> list[tuple[Surface, Surface]]:
    """Outer and inner surface of every bone of arm and leg on one side.

    Parameters
    ----------
    landmarks_m : mapping
        Joint centres by name, (3,) each. [m]
    depth_m : callable
        Depth of points (n, 3) [m] under the surface that has to cover the bones, shape (n,). [m]
    cover_m : float
        Least cover. [m]
    side : str
        Left or right.
    """
    found = [_bone(bone, landmarks_m, depth_m, cover_m=cover_m, side=side) for bone in BONES]
    return [one for one in found if one is not None]


def _bone(
    bone: Bone, landmarks_m: Mapping[str, Real], depth_m: Depth, *, cover_m: float, side: str
) -> tuple[Surface, Surface] | None:
    """Outer and inner surface of a bone, ended where its axis has no cover; None where it never has any."""
    start, end = landmarks_m[f"{side} {bone.start}"], landmarks_m[f"{side} {bone.end}"]
    length = float(np.linalg.norm(end - start))
    across = _flat_side(landmarks_m, (end - start) / length, side)
    axis = start + np.outer(bone.stations, end - start) + bone.aside * length * across
    room = depth_m(axis) - cover_m
    covered = np.flatnonzero(room > 0)
    if len(covered) == 0 or covered[0] == covered[-1]:
        return None
    kept = slice(covered[0], covered[-1] + 1)
    radius = np.minimum(np.asarray(bone.radii) * length, np.maximum(_OF_ROOM * room, _LEAST_M))
    if bone.aside:
        radius = np.minimum(radius, 0.95 * abs(bone.aside) * length)
    inner = radius * (1 - np.asarray(bone.cortex))
    return tube(axis[kept], radius[kept]), tube(axis[kept], inner[kept])


def _flat_side(landmarks_m: Mapping[str, Real], along: Real, side: str) -> Real:
    """Unit vector across the forearm, in the plane of the palm."""
    fingers = landmarks_m[f"{side} middle fingertip"] - landmarks_m[f"{side} wrist"]
    normal = np.cross(along, [1.0, 0.0, 0.0]) if np.linalg.norm(np.cross(along, fingers)) < 1e-9 else fingers
    across = np.cross(along, normal)
    return np.asarray(across / np.linalg.norm(across))


def tube(axis_m: Real, radius_m: Real) -> Surface:
    """A closed tube of round sections.

    Parameters
    ----------
    axis_m : ndarray, shape (stations, 3)
        Middles of the sections, from one flat end to the other. [m]
    radius_m : ndarray, shape (stations,)
        Their radii. [m]
    """
    along = np.gradient(axis_m, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    mean = along.mean(axis=0)
    first = np.cross(along, np.eye(3)[np.argmin(np.abs(mean))])
    first /= np.linalg.norm(first, axis=1, keepdims=True)
    second = np.cross(along, first)
    turn = 2 * np.pi * np.arange(_AROUND) / _AROUND
    ring = first[:, None] * np.cos(turn)[:, None] + second[:, None] * np.sin(turn)[:, None]
    rings = axis_m[:, None] + _ROUND * radius_m[:, None, None] * ring
    count = len(axis_m)
    vertices = np.concatenate([rings.reshape(-1, 3), axis_m[[0, -1]]])
    k, j = (index.ravel() for index in np.meshgrid(np.arange(count - 1), np.arange(_AROUND), indexing="ij"))
    n = (j + 1) % _AROUND
    a, b, c, d = k * _AROUND + j, k * _AROUND + n, (k + 1) * _AROUND + n, (k + 1) * _AROUND + j
    j = np.arange(_AROUND)
    n, last = (j + 1) % _AROUND, (count - 1) * _AROUND
    start, end = np.full(_AROUND, count * _AROUND), np.full(_AROUND, count * _AROUND + 1)
    triangles = np.concatenate(
        [
            np.column_stack([a, b, c]),
            np.column_stack([a, c, d]),
            np.column_stack([start, n, j]),
            np.column_stack([end, last + j, last + n]),
        ]
    )
    return Surface(vertices_m=vertices, triangles=triangles.astype(np.int64))


def together(surfaces: Sequence[Surface]) -> Surface:
    """Several closed surfaces as one."""
    offsets = np.cumsum([0, *(len(one.vertices_m) for one in surfaces)])
    return Surface(
        vertices_m=np.concatenate([one.vertices_m for one in surfaces]),
        triangles=np.concatenate([one.triangles + first for one, first in zip(surfaces, offsets, strict=False)]),
    )


def spine(trunk: Trunk, *, top_m: float) -> tuple[Surface, Surface]:
    """Outer and inner surface of the spine, from the pelvis to the base of the skull at a height. [m]"""
    heights, places = np.array(trunk.spine_m).T
    z = np.linspace(heights[0], top_m - 0.02 * trunk.chest.depth_m, 17)
    axis = np.column_stack([np.zeros_like(z), PchipInterpolator(heights, places)(z), z])
    slimmer = np.clip((z - trunk.xiphoid_m) / (heights[-1] - trunk.xiphoid_m), 0, 1)
    radius = trunk.spine_radius_m * (1 - _SLIMMER_NECK * slimmer)
    return tube(axis, radius), tube(axis, radius * (1 - _SHELL_OF_SPINE))
