"""Lays a standing figure on its back: elbows straight, arms beside the body or past the head, the back on a table.

Our own way of moving a surface; no motion was measured.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.patients.joints import (
    ARM,
    SIDES,
    SIGN,
    Hinge,
    Stance,
    bent,
    collar,
    elbow,
    knee,
    share_of,
    shoulder,
    straight_elbow_rad,
    turned_m,
    wrist,
)
from loopwright.brief.records import PoseRequest
from loopwright.ground.surface import Surface

Real = NDArray[np.float64]

#: Room between an arm that lies beside the body and the body: our own choice, for elements between the two. [m]
ARM_ROOM_OF_LENGTH = 0.012
#: Arms beside the head reach past it at this angle from the long axis (our own choice). [rad]
_ARMS_UP_RAD = 0.45
_STEPS = 14

#: The table presses the trunk by this share of its depth (our own choice; nothing was measured).
PRESSED_OF_DEPTH = 0.06
#: Skin pressed further than the table comes to lie this near to it per 2.7-fold of the way; it never crosses. [m]
_CONTACT_M = 1.5e-3


def arms_beside(stance: Stance) -> Stance:
    """The figure with both arms brought down beside the body, as near as the room between allows."""
    for side in SIDES:
        hinge = shoulder(stance, side)
        most = _arm_angle_rad(stance, side)
        low, high = -most, 0.0  # the arm is free at high
        for _ in range(_STEPS):
            angle = (low + high) / 2
            low, high = (low, angle) if _is_free(stance, hinge, angle, side) else (angle, high)
        stance = bent(stance, hinge, high)
    return stance


def arms_past_the_head(stance: Stance) -> Stance:
    """The figure with both arms brought up beside the head."""
    for side in SIDES:
        angle = np.pi - _ARMS_UP_RAD - _arm_angle_rad(stance, side)
        stance = bent(stance, shoulder(stance, side), angle)
    return stance


def _arm_angle_rad(stance: Stance, side: str) -> float:
    """Angle between a hanging arm and this one, seen from the front. [rad]"""
    way = stance.landmarks_m[f"{side} wrist"] - stance.landmarks_m[f"{side} shoulder"]
    return float(np.arctan2(abs(way[0]), -way[2]))


def _is_free(stance: Stance, hinge: Hinge, angle_rad: float, side: str) -> bool:
    """Whether the lower half of a turned arm keeps its room from the widest place of the body beside it."""
    sign = SIGN[side]
    vertices = stance.surface.vertices_m
    arm = turned_m(vertices[hinge.share > 0.98], hinge.centre_m, hinge.axis, angle_rad)
    length = np.linalg.norm(stance.landmarks_m[f"{side} wrist"] - hinge.centre_m)
    arm = arm[np.linalg.norm(arm - hinge.centre_m, axis=1) > 0.45 * length]
    others = vertices[sum(share_of(stance, each, *ARM) for each in SIDES) < 0.5]
    step = 0.04 * length
    edges = np.arange(others[:, 2].min() - step, others[:, 2].max() + 2 * step, step)
    widest = np.full(len(edges), -np.inf)
    np.maximum.at(widest, np.digitize(others[:, 2], edges) - 1, sign * others[:, 0])
    widest = np.maximum(widest, np.maximum(np.roll(widest, 1), np.roll(widest, -1)))
    at = np.clip(np.digitize(arm[:, 2], edges) - 1, 0, len(edges) - 1)
    room = ARM_ROOM_OF_LENGTH * np.ptp(vertices[:, 2])
    return bool(np.all(sign * arm[:, 0] > widest[at] + room))


def pressed(stance: Stance, *, depth_of_trunk: float = PRESSED_OF_DEPTH) -> tuple[Stance, float]:
    """The figure with its back flattened by a table, and where the table is.

    Parameters
    ----------
    stance : Stance
        On its back: y points down to the table.
    depth_of_trunk : float
        How far the table presses the trunk, over the depth of the trunk. [1]

    Returns
    -------
    Stance
        Flattened; its volume is that before.
    float
        Position of the table along y. [m]

    Notes
    -----
    What lies beyond the table is pressed up to it along y, nearer and nearer to it without crossing, so that no skin
    passes through other skin. The volume that this takes comes back as an even swelling of the skin of trunk, arms and
    thighs, growing from nothing at the table to its full amount at half the depth of the trunk. Real tissue flows to
    the side near the table; bones in contact (shoulder blades, sacrum) are pressed like the rest.
    """
    before = stance.surface
    trunk = before.vertices_m[stance.share("trunk") > 0.5]
    back, depth = trunk[:, 1].max(), float(np.ptp(trunk[:, 1]))
    table = back - depth_of_trunk * depth
    y = before.vertices_m[:, 1]
    near = table - _CONTACT_M
    lain = np.where(y > near, table - _CONTACT_M * np.exp(-np.maximum(y - near, 0) / _CONTACT_M), y)
    flat = before.at(np.column_stack([before.vertices_m[:, 0], lain, before.vertices_m[:, 2]]))
    soft = stance.share("trunk", *(f"{side} {part}" for side in SIDES for part in ("upper arm", "thigh")))
    free = soft * np.clip((table - lain) / (0.5 * depth), 0, 1)
    return replace(stance, surface=swollen(flat, free, volume_m3=before.volume_m3)), float(table)


def swollen(surface: Surface, amount: Real, *, volume_m3: float) -> Surface:
    """The surface moved along its normals in proportion to an amount (vertices,) until it holds a volume. [m^3]"""
    normals, found = surface.vertex_normals, surface
    step_m, last_m, last = 0.0, 0.0, surface.volume_m3
    slope = float(np.sum(amount[surface.triangles].mean(axis=1) * np.linalg.norm(surface.area_vectors_m2, axis=1)))
    for _ in range(6):
        if abs(volume_m3 - last) < 1e-9 * volume_m3 or slope == 0:
            break
        step_m, last_m, before = step_m + (volume_m3 - last) / slope, step_m, last
        found = surface.at(surface.vertices_m + step_m * amount[:, None] * normals)
        last = found.volume_m3
        slope = (last - before) / (step_m - last_m)
    return found


