"""How an array sits on a patient: where it comes to rest, and how far its conductors are from the skin."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Solid
from loopwright.brief.records import Rest
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import Drawn, Element, FilmSkin, Layout

__all__ = ["GAP_EDGES_M", "Fit", "Worn", "fit_of", "put_on"]

Real = NDArray[np.float64]
Triple = tuple[float, float, float]

#: Edges of the bins in which gaps are counted; the last one takes all that is wider. [m]
GAP_EDGES_M = np.append(np.arange(0.0, 61e-3, 1e-3), np.inf)

#: Points per segment at which the way to the skin is measured.
_PROBES = 3
#: A way of some centimetres is then known to less than a micrometre.
_HALVINGS = 18
#: Steps towards the back are no longer, so that a small patient is not carried past what would stop it. [m]
_LONGEST_STEP_M = 10e-3
#: A patient is at rest with less room than this; without end it would be approached ever more slowly. [m]
_AT_REST_M = 1e-5
_STEPS_FROM_BEHIND = 100
#: Rounding, not padding: what a shape's distance may be off. [m]
_ROUNDING_M = 1e-7


@dataclass(frozen=True, slots=True, kw_only=True)
class Worn:
    """An array where it comes to rest on a patient.

    Attributes
    ----------
    layout : Layout
        In the frame of the patient.
    shift_m : tuple of float
        By how much it was moved from the frame of its former; zero for one that follows the skin. [m]
    own_distance_m : ndarray, shape (points,)
        Distance of the points of its conductors from the skin on which it was laid. [m]
    skin_distance_m : ndarray, shape (points,)
        That from the patient's skin. [m]
    length_m : ndarray, shape (points,)
        Length of conductor for which each point stands. [m]
    """

    layout: Layout
    shift_m: Triple
    own_distance_m: Real
    skin_distance_m: Real
    length_m: Real

    @property
    def gap_m(self) -> Real:
        """Distance from the skin beyond that of the array on what it was laid on, shape (points,). [m]"""
        return self.skin_distance_m - self.own_distance_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """How an array fits a patient, along its conductors.

    Attributes
    ----------
    skin_distance_median_m, skin_distance_percentile_95_m, skin_distance_largest_m, skin_distance_least_m : float
        Distance of the conductors' lines from the patient's skin. [m]
    gap_median_m, gap_percentile_95_m, gap_largest_m, gap_least_m : float
        Gap beyond the stand-off; negative where padding is pressed in. [m]
    touching_share : float
        Part of the conductors' length with a gap below 1 mm.
    gap_shares : tuple of float
        Part of that length in every bin of ``GAP_EDGES_M``; what is pressed in counts in the first.
    """

    skin_distance_median_m: float
    skin_distance_percentile_95_m: float
    skin_distance_largest_m: float
    skin_distance_least_m: float
    gap_median_m: float
    gap_percentile_95_m: float
    gap_largest_m: float
    gap_least_m: float
    touching_share: float
    gap_shares: tuple[float, ...]


def put_on(
    layout: Layout, *, laid_on: Solid, patient: Solid, rest: Rest | None, give_m: float, padding_m: float = np.inf
) -> Worn:
    """Put an array on a patient.

    Parameters
    ----------
    layout : Layout
        The array on what it was laid on.
    laid_on, patient : Solid
        That body, and the patient.
    rest : "centre", "back", "front" or None
        Where the patient lies in a stiff array; None for an array that was laid on the patient.
    give_m : float
        By how much its padding can be pressed in. [m]
    padding_m : float
        Most padding under a conductor: where it stood further off, over a hollow, nothing fills the hollow. [m]

    Raises
    ------
    OutsideModelError
        If the patient does not go into the array.

    Notes
    -----
    The array moves against the patient without turning; a film, which does not follow the skin everywhere, stays where
    it was laid, its gap what it stands off beyond its layers. Distances are those of the shapes: exact for bodies of
    one part, lower bounds beyond the cut ends of a column.
    """
    points, length_m = _points_m(layout)
    own = -laid_on.depth_m(points)
    if rest is None:
        touching = np.minimum(own, _film_levels_m(layout))
        return Worn(
            layout=layout, shift_m=(0.0, 0.0, 0.0), own_distance_m=touching, skin_distance_m=own, length_m=length_m
        )
    if give_m >= own.min():
        raise OutsideModelError(
            f"padding cannot give by {give_m * 1e3:g} mm where conductors stand {own.min() * 1e3:.1f} mm off the "
            "former: they would enter the patient. Write a smaller `give` or a larger `stand_off`"
        )
    needed_m = np.minimum(own, padding_m) - give_m - _ROUNDING_M
    way_m = -_way_from_behind_m(points, needed_m, patient) if rest == "front" else 0.0
    least = float(np.min(-patient.depth_m(points) - needed_m))
    if rest != "front" and least < 0:
        raise OutsideModelError(
            f"the patient does not go into the array: {-least * 1e3:.1f} mm are missing between conductors and skin, "
            f"after {give_m * 1e3:g} mm by which the padding gives"
        )
    way_m = _way_to_rest_m(points, needed_m, patient) if rest == "back" else way_m
    shift = (0.0, -way_m, 0.0)
    distance = -patient.depth_m(points + np.array(shift))
    there = replace(_shifted(layout, shift), least_skin_distance_m=float(distance.min()))
    return Worn(layout=there, shift_m=shift, own_distance_m=own, skin_distance_m=distance, length_m=length_m)


def fit_of(worn: Worn) -> Fit:
    """Tell how an array that is worn fits."""
    distance, gap, length = worn.skin_distance_m, worn.gap_m, worn.length_m
    counts = np.histogram(np.maximum(gap, 0.0), bins=GAP_EDGES_M, weights=length)[0]
    return Fit(
        skin_distance_median_m=_quantile_m(distance, length, 0.5),
        skin_distance_percentile_95_m=_quantile_m(distance, length, 0.95),
        skin_distance_largest_m=float(distance.max()),
        skin_distance_least_m=float(distance.min()),
        gap_median_m=_quantile_m(gap, length, 0.5),
        gap_percentile_95_m=_quantile_m(gap, length, 0.95),
        gap_largest_m=float(gap.max()),
        gap_least_m=float(gap.min()),
        touching_share=float(np.average(gap < 1e-3, weights=length)),
        gap_shares=tuple((counts / length.sum()).tolist()),
    )


def _quantile_m(values_m: Real, length_m: Real, share: float) -> float:
    """The value that this share of the conductors' length stays below, between points as they lie along it. [m]"""
    order = np.argsort(values_m, kind="stable")
    at = np.cumsum(length_m[order]) - length_m[order] / 2
    return float(np.interp(share, (at - at[0]) / (at[-1] - at[0]), values_m[order]))


def _points_m(layout: Layout) -> tuple[Real, Real]:
    """Points along all conductors (points, 3) and the length for which each stands (points,). [m]"""
    share = (np.arange(_PROBES) / _PROBES)[:, None, None]
    points, lengths = [], []
    for element in layout.elements:
        ahead = np.roll(element.vertices_m, -1, axis=0)
        points.append((element.vertices_m * (1 - share) + ahead * share).reshape(-1, 3))
        lengths.append(np.tile(np.linalg.norm(ahead - element.vertices_m, axis=1) / _PROBES, _PROBES))
    return np.concatenate(points), np.concatenate(lengths)


def _film_levels_m(layout: Layout) -> Real | float:
    """How far the same points stand off where a film touches; infinite for what follows the skin. [m]"""
    match layout.drawn:
        case Drawn(skin=FilmSkin(), stand_offs_m=levels):
            return np.repeat(levels, [_PROBES * len(element.vertices_m) for element in layout.elements])
        case _:
            return np.inf


def _way_to_rest_m(points_m: Real, needed_m: Real, patient: Solid) -> float:
    """How far the patient can move towards +y before padding stops it, points (n, 3) [m], distances (n,) [m]. [m]"""

    def room_m(way_m: float) -> float:
        return float(np.min(-patient.depth_m(points_m - np.array([0.0, way_m, 0.0])) - needed_m))

    low, high = 0.0, 1e-3
    while room_m(high) >= 0:
        low, high = high, high + min(high, _LONGEST_STEP_M)
        if high > 1.0:
            raise OutsideModelError(
                "the array has nothing behind the patient that would stop it: "
                "write `rest: front`, where it is laid on the chest, or `rest: centre`"
            )
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if room_m(middle) >= 0 else (low, middle)
    return low


def _way_from_behind_m(points_m: Real, needed_m: Real, patient: Solid) -> float:
    """How far a patient who is brought from behind comes to the front (-y) past the origin; negative if not so far. [m]

    Nothing can be met within the room that is left, so each step is as long as that room.
    """
    high_y = float(patient.skin.box_m[1][1])
    way_m = float(patient.skin.box_m[0][1] - points_m[:, 1].max() - needed_m.max())
    for _ in range(_STEPS_FROM_BEHIND):
        room_m = float(np.min(-patient.depth_m(points_m + np.array([0.0, way_m, 0.0])) - needed_m))
        if room_m < _AT_REST_M:
            break
        way_m += room_m
        if way_m > high_y - float(points_m[:, 1].min()):
            raise OutsideModelError("the array has nothing before the patient that would stop it: write another `rest`")
    return way_m


def _shifted(layout: Layout, shift_m: Triple) -> Layout:
    shift = np.array(shift_m)
    return replace(layout, elements=tuple(_element_at(element, shift) for element in layout.elements))


def _element_at(element: Element, shift_m: Real) -> Element:
    x, y, z = (np.array(element.centre_m) + shift_m).tolist()
    return replace(element, centre_m=(x, y, z), vertices_m=element.vertices_m + shift_m)
