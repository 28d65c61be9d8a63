"""A rigid former of given size round a smaller patient: where the patient comes to rest in it, and the room left.

Frame of the body: x to the patient's left, y to posterior, z to the head.  The patient lies on the former's back.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.surface import Surface
from loopwright.layouts.nearness import distances_to_m, heights_over_m

__all__ = ["CrownClearance", "LevelAt", "Resting", "rest_on_back"]

Real = NDArray[np.float64]

#: Halvings of the way to the back: from half a metre to below a micrometre.
_HALVINGS = 20
_GOLDEN = (np.sqrt(5) - 1) / 2
#: Corners this close to the plane of the opening belong to it. [m]
_AT_OPENING_M = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class CrownClearance:
    """How far the top of the head stays below the top of the former. [m]"""

    clearance_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelAt:
    """A level of the patient, as that of the ears, and the level of the former at which it comes to lie. [m]"""

    patient_m: float
    former_m: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Resting:
    """A patient at rest in a former: ``shift_m`` (3,) moves the patient there. [m]

    ``gap_m`` (corners of the wall,) is how far each corner of the former's wall is from the patient [m], ``area_m2``
    what it stands for [m^2], ``wall`` which corners of the former they are.
    """

    shift_m: Real
    least_clearance_m: float
    wall: NDArray[np.int64]
    gap_m: Real
    area_m2: Real

    def quantile_m(self, share: float) -> float:
        """The gap that this share of the wall's area stays below. [m]"""
        order = np.argsort(self.gap_m)
        weights = self.area_m2[order]
        return float(np.interp(share, (np.cumsum(weights) - weights / 2) / weights.sum(), self.gap_m[order]))


def rest_on_back(
    former: Surface,
    patient: Surface,
    *,
    pad_m: float,
    level: CrownClearance | LevelAt | None = None,
    opening_m: float | None = None,
) -> Resting:
    """Lay a patient on the back of a rigid former.

    Parameters
    ----------
    former : Surface
        The inner face of the former, closed; its opening is closed by a plane.
    patient : Surface
        The patient, or the part that goes in, anywhere.
    pad_m : float
        Least clearance between the two: the pad that the patient lies on. [m]
    level : CrownClearance or LevelAt, optional
        Where the patient lies along z; None keeps it.
    opening_m : float, optional
        Level of the former's opening towards the feet: wall and patient below it do not count. [m]

    Returns
    -------
    Resting

    Raises
    ------
    OutsideModelError
        If the patient does not fit with this pad; the error tells the clearance that the best place has.

    Notes
    -----
    Along x the middles of the boxes about both, above the opening, are made to agree.  Then the patient goes towards
    posterior as far as the pad lets it.  In a convex former there is one such place; in another, the one that is
    reached first from where the clearance is largest.  Clearance is taken at the corners of the patient's triangles.
    """
    wall = _wall(former, opening_m)
    start = _start_m(former, patient, level, opening_m)

    def clearance_m(backwards_m: float) -> float:
        moved = patient.vertices_m + start + np.array([0.0, backwards_m, 0.0])
        if opening_m is not None:
            moved = moved[moved[:, 2] > opening_m]
        inside = heights_over_m(moved, former)
        away = np.abs(inside) if wall is former else distances_to_m(moved, wall)
        return float(np.where(inside < 0, away, -away).min())

    reach_m = float(np.ptp(former.vertices_m[:, 1]))
    freest = _largest(clearance_m, -reach_m / 2, reach_m / 2)
    most = clearance_m(freest)
    if most < pad_m:
        raise OutsideModelError(
            f"the patient does not fit into the former with a pad of {pad_m * 1e3:.1f} mm: the best place leaves "
            f"{most * 1e3:.1f} mm (negative: it would cut the wall). Use a larger former or a thinner pad."
        )
    low, high = freest, freest + reach_m
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if clearance_m(middle) >= pad_m else (low, middle)
    shift = start + np.array([0.0, low, 0.0])
    corners, areas = _wall_areas_m2(wall)
    gap = distances_to_m(former.vertices_m[corners], patient.at(patient.vertices_m + shift))
    return Resting(shift_m=shift, least_clearance_m=clearance_m(low), wall=corners, gap_m=gap, area_m2=areas)


def _wall(former: Surface, opening_m: float | None) -> Surface:
    """The former without the triangles that close its opening."""
    if opening_m is None:
        return former
    above = former.corners_m[:, :, 2].max(axis=1) > opening_m + _AT_OPENING_M
    return Surface(vertices_m=former.vertices_m, triangles=former.triangles[above])


def _start_m(
    former: Surface, patient: Surface, level: CrownClearance | LevelAt | None, opening_m: float | None
) -> Real:
    """Shift that puts the patient at its level, its middle at the former's along x and y."""
    up = 0.0
    match level:
        case CrownClearance(clearance_m=clearance):
            up = float(former.vertices_m[:, 2].max() - clearance - patient.vertices_m[:, 2].max())
        case LevelAt(patient_m=of_patient, former_m=of_former):
            up = of_former - of_patient
    inside = patient.vertices_m
    if opening_m is not None:
        inside = inside[inside[:, 2] + up > opening_m]
    if not len(inside):
        raise OutsideModelError("no part of the patient lies above the opening of the former.")
    middles = [(points.min(axis=0) + points.max(axis=0)) / 2 for points in (former.vertices_m, inside)]
    across, back, _ = middles[0] - middles[1]
    return np.array([across, back, up])


def _largest(of: Callable[[float], float], low: float, high: float) -> float:
    """Where a function of one peak is largest, by the golden section."""
    inner = [high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)]
    values = [of(place) for place in inner]
    while high - low > 1e-4:
        if values[0] >= values[1]:
            high, inner[1], values[1] = inner[1], inner[0], values[0]
            inner[0] = high - _GOLDEN * (high - low)
            values[0] = of(inner[0])
        else:
            low, inner[0], values[0] = inner[0], inner[1], values[1]
            inner[1] = low + _GOLDEN * (high - low)
            values[1] = of(inner[1])
    return (low + high) / 2


def _wall_areas_m2(wall: Surface) -> tuple[NDArray[np.int64], Real]:
    """Corners of the wall, and a third of the triangles about each."""
    areas = np.zeros(len(wall.vertices_m))
    np.add.at(areas, wall.triangles.ravel(), np.repeat(np.linalg.norm(wall.area_vectors_m2, axis=1) / 3, 3))
    corners = np.unique(wall.triangles)
    return corners, areas[corners]
