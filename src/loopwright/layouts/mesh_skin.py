"""The skin of a body of triangles: outlines laid along shortest lines of a smooth carrier at their stand-off."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.surface import Surface
from loopwright.layouts.carrier_kernels import followed_m, heights_m, landed_m, left_at_m
from loopwright.layouts.carriers import Carrier, carrier_about, level_surface
from loopwright.layouts.curved import Feet, frames, one_for_each, unit

Real = NDArray[np.float64]
Triple = tuple[float, float, float]

#: Shortest lines are followed in steps no longer than this; the end of 60 mm moves by less than a micrometre when
#: they are halved. [m]
_STEP_M = 7e-3
#: Corrections of a shortest line between two points; each leaves about a hundredth of the miss before.
_AIMS = 4
#: A face of the box beyond which the body goes on by more than this is a cut. [m]
_CUT_M = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeshSkin:
    """The skin of a body of triangles, as far as a carrier follows it.

    ``lower_m`` and ``upper_m`` are the cut planes past which no element may lie, infinite where nothing is cut;
    rays that look for a foot start at ``inner_m``. A foot lies under its place on the carrier by the stand-off along
    the carrier's normal: on the skin where the carrier touches it.
    """

    carrier: Carrier
    lower_m: Triple
    upper_m: Triple
    inner_m: Triple = (0.0, 0.0, 0.0)

    @property
    def wrapping(self) -> str:
        """How an outline comes to lie, in one sentence."""
        return (
            "Every node keeps its distance and bearing from the centre of its element along the carrier, which bridges "
            f"hollows that a ball of {self.carrier.ball_m * 1e3:.0f} mm radius does not enter; across these lines a "
            "doubly curved surface shortens the outline."
        )

    def feet_towards(self, directions: Real) -> Feet:
        """Feet where rays from the inner point along these directions (n, 3) leave the body for the last time."""
        carrier, rays = self.carrier, unit(directions)
        start = np.asarray(self.inner_m)
        ends = carrier.origin_m + carrier.spacing_m * (np.array(carrier.coefficients.shape) - 1)
        corners = np.stack([carrier.origin_m, ends])
        longest = float(np.linalg.norm(np.abs(corners - start).max(axis=0)))
        # Past the grid its edge value would count again: a ray ends where it leaves the grid.
        ways = left_at_m(*self._field, start, rays, longest)
        points = start + ways[:, None] * rays
        if np.any(ways < 0) or np.any(points < corners[0]) or np.any(points > corners[1]):
            raise OutsideModelError("a direction from inside the body does not leave it through the skin of this part.")
        self.refuse_past_cuts(points, "the middle of an element")
        return self._feet(points)

    def stepped(self, feet: Feet, step_m: Real, *, stand_off_m: float) -> Feet:
        """Feet after small steps (elements, 2) [m] along and across on the carrier at a stand-off. [m]"""
        points = feet.points_m + stand_off_m * feet.normal + step_m[:, :1] * feet.along + step_m[:, 1:] * feet.across
        landed, normal = self.landed(points, level_m=stand_off_m)
        along, across = frames(normal)
        return Feet(points_m=landed - stand_off_m * normal, along=along, across=across, normal=normal)

    def walked(self, foot: Feet, flat_m: Real, *, stand_off_m: float) -> Feet:
        """Feet at flat positions (n, 2) [m] drawn about one foot, with the frame carried along the way."""
        n = len(flat_m)
        distance = np.linalg.norm(flat_m, axis=1)
        turn = np.where((distance > 0)[:, None], flat_m, [1.0, 0.0]) / np.where(distance > 0, distance, 1)[:, None]
        start = turn[:, :1] * foot.along + turn[:, 1:] * foot.across
        points = np.repeat(foot.points_m + stand_off_m * foot.normal, n, axis=0)
        ends, heading, normal = self._followed(points, start, distance, np.full(n, stand_off_m))
        self.refuse_past_cuts(ends, "the middle of an element")
        along = turn[:, :1] * heading - turn[:, 1:] * np.cross(normal, heading)
        return Feet(points_m=ends - stand_off_m * normal, along=along, across=np.cross(normal, along), normal=normal)

    def wrapped_m(self, feet: Feet, flat_m: Real, *, stand_off_m: Real) -> Real:
        """Outlines laid about every foot at its stand-off (elements,) [m]; shape (elements, n, 3). [m]

        ``flat_m`` is one outline (n, 2) for all, or one for each (elements, n, 2). [m]
        """
        flat_m = one_for_each(flat_m, feet)
        elements, n = flat_m.shape[:2]
        distance = np.linalg.norm(flat_m, axis=2)
        turn = np.where((distance > 0)[..., None], flat_m, [1.0, 0.0]) / np.where(distance > 0, distance, 1)[..., None]
        start = turn[..., :1] * feet.along[:, None] + turn[..., 1:] * feet.across[:, None]
        points = np.repeat(feet.points_m + stand_off_m[:, None] * feet.normal, n, axis=0)
        ends, _, _ = self._followed(points, start.reshape(-1, 3), distance.ravel(), np.repeat(stand_off_m, n))
        return ends.reshape(elements, n, 3)

    def distances_m(self, feet: Feet, pairs: NDArray[np.int64], *, stand_off_m: float) -> Real:
        """Lengths of the shortest lines between the centres of pairs (n, 2) at this stand-off [m]; shape (n,). [m]

        A line is aimed along the chord and corrected by what it misses; meant for neighbours, between which there is
        one shortest line.
        """
        centres = feet.points_m + stand_off_m * feet.normal
        start, goal = centres[pairs[:, 0]], centres[pairs[:, 1]]
        normal = feet.normal[pairs[:, 0]]
        chord = goal - start
        length = np.linalg.norm(chord, axis=1)
        heading = unit(chord - np.sum(chord * normal, axis=1, keepdims=True) * normal)
        levels = np.full(len(pairs), stand_off_m)
        for _ in range(_AIMS):
            ends, ahead, there = self._followed(start, heading, length, levels)
            missed = goal - ends
            aside = np.sum(missed * np.cross(there, ahead), axis=1)
            angle = np.arctan2(aside, np.maximum(length, 1e-9))[:, None]
            heading = np.cos(angle) * heading + np.sin(angle) * np.cross(normal, heading)
            length = length + np.sum(missed * ahead, axis=1)
        return np.asarray(length)

    def heights_m(self, points_m: Real) -> Real:
        """Distance of points (n, 3) [m] from the carrier at no stand-off, positive outside; (n,). [m]"""
        return heights_m(*self._field, np.ascontiguousarray(points_m))

    def landed(self, points_m: Real, *, level_m: float) -> tuple[Real, Real]:
        """Points (n, 3) [m] moved to the carrier at a stand-off [m], and the outward normals there."""
        return landed_m(*self._field, np.ascontiguousarray(points_m), level_m)

    def carrier_surface(self, *, stand_off_m: float) -> Surface:
        """Triangles of the carrier at a stand-off [m], about as large as the distance of the field's nodes."""
        surface = level_surface(self.carrier, level_m=stand_off_m)
        landed, _ = self.landed(surface.vertices_m, level_m=stand_off_m)
        return surface.at(landed)

    def between_cuts(self, points_m: Real, *, inset_m: float) -> NDArray[np.bool_]:
        """Whether points (n, 3) [m] keep at least this way [m] from every cut; (n,)."""
        return np.asarray(self.past_cuts_m(points_m) <= -inset_m)

    def past_cuts_m(self, points_m: Real) -> Real:
        """How far points (..., 3) [m] lie past the cut that is worst for each, negative before it; shape (...). [m]"""
        beyond = np.maximum(np.asarray(self.lower_m) - points_m, points_m - np.asarray(self.upper_m))
        return np.asarray(beyond.max(axis=-1))

    def refuse_past_cuts(self, points_m: Real, what: str) -> None:
        """Refuse points (n, 3) [m] of something, such as `an element`, past a plane where the body is cut.

        Raises
        ------
        OutsideModelError
            If there are any.
        """
        past = self.past_cuts_m(points_m)
        if past.max(initial=-np.inf) > 0:
            worst = points_m[int(np.argmax(past))]
            below, above = np.asarray(self.lower_m) - worst, worst - np.asarray(self.upper_m)
            axis = int(np.argmax(np.maximum(below, above)))
            side = "least" if below[axis] > above[axis] else "greatest"
            raise OutsideModelError(
                f"{what} would lie {past.max() * 1e3:.0f} mm past the plane of {side} {'xyz'[axis]} where the body is "
                "cut. Use fewer or smaller elements, turn them away from the cut, or keep more of the body."
            )

    @property
    def _field(self) -> tuple[Real, Real, float]:
        return self.carrier.coefficients, self.carrier.origin_m, self.carrier.spacing_m

    def _feet(self, points_m: Real) -> Feet:
        points, normal = landed_m(*self._field, points_m, 0.0)
        along, across = frames(normal)
        return Feet(points_m=points, along=along, across=across, normal=normal)

    def _followed(self, points_m: Real, heading: Real, length_m: Real, level_m: Real) -> tuple[Real, Real, Real]:
        highest = float(np.max(level_m, initial=0.0))
        if highest > self.carrier.reach_m + 1e-9:
            raise OutsideModelError(
                f"a carrier {highest * 1e3:.1f} mm off the skin was asked for, but this one was made as far as "
                f"{self.carrier.reach_m * 1e3:.1f} mm."
            )
        return followed_m(
            *self._field, np.ascontiguousarray(points_m), np.ascontiguousarray(heading), length_m, level_m, _STEP_M
        )


def mesh_skin(
    surface: Surface,
    *,
    reach_m: float,
    lower_m: Triple = (-np.inf, -np.inf, -np.inf),
    upper_m: Triple = (np.inf, np.inf, np.inf),
    inner_m: Triple = (0.0, 0.0, 0.0),
) -> MeshSkin:
    """The skin of a closed surface, cut by the planes of a box, for carriers as far off it as ``reach_m``. [m]

    Raises
    ------
    OutsideModelError
        If no part of the body lies in the box.
    """
    low, high = surface.box_m
    lower, upper = np.asarray(lower_m), np.asarray(upper_m)
    cut_low, cut_high = lower > low + _CUT_M, upper < high - _CUT_M
    corners = surface.corners_m
    met = np.all((corners.max(axis=1) >= lower) & (corners.min(axis=1) <= upper), axis=1)
    if not met.any():
        raise OutsideModelError("no part of the body lies where the carrier is to be laid.")
    left = corners[met].reshape(-1, 3)
    box = np.maximum(lower, left.min(axis=0)), np.minimum(upper, left.max(axis=0))
    carrier = carrier_about(surface, box_m=box, reach_m=reach_m)
    x, y, z = np.where(cut_low, lower, -np.inf).tolist()
    u, v, w = np.where(cut_high, upper, np.inf).tolist()
    return MeshSkin(carrier=carrier, lower_m=(x, y, z), upper_m=(u, v, w), inner_m=inner_m)
