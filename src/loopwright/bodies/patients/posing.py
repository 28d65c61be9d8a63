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
    elbow,
    hip,
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

#: The limb that a pose bends.
BENT_SIDE = "left"
#: Room between an arm that lies beside the body and the body, over the length: our own choice.
ARM_ROOM_OF_LENGTH = 0.012
#: Angle between an arm past the head and the long axis (our own choice). [rad]
ARMS_UP_RAD = 0.45
#: The table presses the back until this share of the skin lies on it (our own choice; nothing was measured).
CONTACT_OF_SKIN = 0.03
#: What is pressed further than the table comes to lie this much nearer to it per 2.7-fold of the way, and never
#: crosses it. [m]
_CONTACT_M = 1.5e-3
_HALVINGS = 14
_MARKS_OF_HEAD = ("head", "left eye", "right eye", "glabella", "nasion", "nose tip", "chin")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lying:
    """A figure on its back, where the table is [m] along y, and what was done to the figure in sentences."""

    stance: Stance
    table_m: float
    notes: tuple[str, ...]


def lying(stance: Stance, pose: PoseRequest) -> Lying:
    """The figure as it lies in the scanner.

    Parameters
    ----------
    stance : Stance
        As it stands, arms away from the body.
    pose : PoseRequest
        Arms and bends; the bends are those of the left side.

    Notes
    -----
    Every joint is a hinge: bones keep their lengths, and the skin near a joint takes part of the angle. In the offered
    range the volume of an adult or an infant changes by less than 1.5 %; skin in the crease of a bent joint is not
    pressed flat, and may cross itself there by millimetres. An arm beside the body lies in the plane of the trunk, not
    on the table. A bent knee is lifted by half of its angle at the hip.
    """
    arms = [_shoulder_rad(stance, side) for side in SIDES] if pose.arms == "down" else None
    bends = {"wrist": pose.wrist_bend_rad, "elbow": pose.elbow_bend_rad, "knee": pose.knee_bend_rad}
    laid = stance
    for side in SIDES:
        mine = bends if side == BENT_SIDE else dict.fromkeys(bends, 0.0)
        straight = straight_elbow_rad(stance, side)
        # The joints further out first: their hinges are known in the standing figure.
        laid = bent(laid, wrist(stance, side), mine["wrist"])
        laid = bent(laid, elbow(stance, side), mine["elbow"] - straight)
        laid = bent(laid, knee(stance, side), mine["knee"])
        laid = bent(laid, hip(stance, side), mine["knee"] / 2)  # so that the foot stays above the table
    for k, side in enumerate(SIDES):
        laid = arms_up(laid, side) if arms is None else bent(laid, shoulder(laid, side), arms[k])
    flat, table = pressed(laid)
    return Lying(stance=flat, table_m=table, notes=_notes(stance, flat, pose))


def straight(stance: Stance) -> Stance:
    """The figure with straight elbows."""
    for side in SIDES:
        stance = bent(stance, elbow(stance, side), -straight_elbow_rad(stance, side))
    return stance


def arms_up(stance: Stance, side: str) -> Stance:
    """The figure with one arm brought up past the head."""
    return bent(stance, shoulder(stance, side), np.pi - ARMS_UP_RAD - _arm_angle_rad(stance, side))


def _shoulder_rad(stance: Stance, side: str) -> float:
    """Angle that brings a straight arm down beside the body, as near as the room between allows. [rad]"""
    stance = straight(stance)
    hinge = shoulder(stance, side)
    low, high = -_arm_angle_rad(stance, side), 0.0  # the arm is free at high
    for _ in range(_HALVINGS):
        angle = (low + high) / 2
        low, high = (low, angle) if _is_free(stance, hinge, angle, side) else (angle, high)
    return high


def _arm_angle_rad(stance: Stance, side: str) -> float:
    """Angle between a hanging arm and this one, seen from the front, by the upper arm. [rad]"""
    way = stance.landmarks_m[f"{side} elbow"] - stance.landmarks_m[f"{side} shoulder"]
    return float(np.arctan2(abs(way[0]), -way[2]))


def _is_free(stance: Stance, hinge: Hinge, angle_rad: float, side: str) -> bool:
    """Whether the lower half of a turned arm keeps its room from the widest place of the body beside it."""
    vertices = stance.surface.vertices_m
    arm = turned_m(vertices[hinge.share > 0.98], hinge.centre_m, hinge.axis, angle_rad)
    length = np.linalg.norm(stance.landmarks_m[f"{side} wrist"] - hinge.centre_m)
    arm = arm[np.linalg.norm(arm - hinge.centre_m, axis=1) > 0.45 * length]
    others = vertices[sum(share_of(stance, each, *ARM) for each in SIDES) < 0.5]
    step = 0.04 * length
    edges = np.arange(others[:, 2].min() - step, others[:, 2].max() + 2 * step, step)
    widest = np.full(len(edges), -np.inf)
    np.maximum.at(widest, np.digitize(others[:, 2], edges) - 1, SIGN[side] * others[:, 0])
    widest = np.maximum(widest, np.maximum(np.roll(widest, 1), np.roll(widest, -1)))
    at = np.clip(np.digitize(arm[:, 2], edges) - 1, 0, len(edges) - 1)
    room = ARM_ROOM_OF_LENGTH * np.ptp(vertices[:, 2])
    return bool(np.all(SIGN[side] * arm[:, 0] > widest[at] + room))


def pressed(stance: Stance) -> tuple[Stance, float]:
    """The figure with its back flattened by a table, and where the table is.

    Parameters
    ----------
    stance : Stance
        On its back: y points down to the table.

    Returns
    -------
    Stance
        Flattened; its volume is that before.
    float
        Position of the table along y. [m]

    Notes
    -----
    A back of the head that reaches further than the trunk is carried forward as a whole, until it touches; one that
    does not is left where it is, as on a cushion. What else lies beyond the table is pressed up to it along y, nearer
    and nearer without crossing, so that no skin passes through other skin. The volume that this takes comes back as an
    even swelling of trunk, upper arms and thighs, growing from nothing at the table to its full amount at half the
    depth of the trunk. Real tissue flows to the side near the table; shoulder blades and sacrum are pressed like the
    rest.
    """
    surface = stance.surface
    trunk = surface.vertices_m[stance.share("trunk") > 0.5]
    depth = float(np.ptp(trunk[:, 1]))
    table = _table_m(stance)
    stance = _head_forward(stance, table)
    x, y, z = stance.surface.vertices_m.T
    near = table - _CONTACT_M
    lain = np.where(y > near, table - _CONTACT_M * np.exp(-np.maximum(y - near, 0) / _CONTACT_M), y)
    flat = surface.at(np.column_stack([x, lain, z]))
    soft = stance.share("trunk", *(f"{side} {part}" for side in SIDES for part in ("upper arm", "thigh")))
    free = soft * np.clip((table - lain) / (0.5 * depth), 0, 1)
    return replace(stance, surface=swollen(flat, free, volume_m3=surface.volume_m3)), table


def _table_m(stance: Stance) -> float:
    """Place along y at which enough of the trunk lies on the table. [m]"""
    surface, trunk = stance.surface, stance.share("trunk") > 0.5
    of_trunk = np.all(trunk[surface.triangles], axis=1)
    areas = np.maximum(surface.area_vectors_m2[of_trunk, 1], 0)
    places = surface.corners_m[of_trunk, :, 1].mean(axis=1)
    order = np.argsort(-places)
    reached = np.searchsorted(np.cumsum(areas[order]), CONTACT_OF_SKIN * surface.area_m2)
    return float(places[order][reached])


def _head_forward(stance: Stance, table_m: float) -> Stance:
    """The figure with its head carried forward, where the back of the head reaches beyond the table."""
    of_head = stance.share("head")
    beyond = float(stance.surface.vertices_m[of_head > 0.5, 1].max()) - table_m
    if beyond <= 0:
        return stance
    low, high = (float(stance.landmarks_m[name][2]) for name in ("neck", "head"))
    vertices = stance.surface.vertices_m
    up = np.clip((vertices[:, 2] - low) / (high - low), 0, 1)
    follows = of_head + stance.share("neck") * up**2 * (3 - 2 * up)
    moved = vertices - np.outer(follows, [0.0, beyond, 0.0])
    marks = {
        name: mark - np.array([0.0, beyond, 0.0]) if name in _MARKS_OF_HEAD else mark
        for name, mark in stance.landmarks_m.items()
    }
    return replace(stance, surface=stance.surface.at(moved), landmarks_m=marks)


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


def _notes(standing: Stance, flat: Stance, pose: PoseRequest) -> tuple[str, ...]:
    change = 100 * (flat.surface.volume_m3 / standing.surface.volume_m3 - 1)
    bends = {"knee": pose.knee_bend_rad, "elbow": pose.elbow_bend_rad, "wrist": pose.wrist_bend_rad}
    told = [f"{BENT_SIDE} {joint} bent by {np.degrees(angle):.0f} degrees" for joint, angle in bends.items() if angle]
    arms = "beside the body" if pose.arms == "down" else "past the head"
    told_change = f"{change:+.1f}".replace("-", "\N{MINUS SIGN}")
    note = (
        f"On the back, arms {arms}, {', '.join(told) if told else 'limbs straight'}: joints are turned as hinges, the "
        f"back is pressed until {100 * CONTACT_OF_SKIN:.0f} % of the skin lie on the table, and the volume pressed out "
        f"comes back as an even swelling (our own choice, nothing measured). The volume changes by {told_change} %."
    )
    return (note,)
