"""Centre-lines of closed wires of a given length: circles of several turns, ellipses, outlines bent on a cylinder."""

from math import pi, sin, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.special import ellipe

from loopwright.ground.errors import OutsideModelError

__all__ = ["bent_on_cylinder_m", "ellipse_of_length_m", "places_along", "wound_circle_m"]

Real = NDArray[np.float64]


def wound_circle_m(diameter_m: float, *, segments: int, turns: int = 1, pitch_m: float = 0.0) -> Real:
    """Closed wire that goes round so many times before it meets its beginning.

    Parameters
    ----------
    diameter_m : float
        Of the middle of the bundle. [m]
    segments : int
        On the whole wire.
    turns : int
        How often it goes round.
    pitch_m : float
        Distance between the centre-lines of neighbouring turns. [m]

    Returns
    -------
    ndarray, shape (segments, 3)
        Nodes, right-handed about z, the first one uppermost; a polygon of the area of the circle. [m]

    Raises
    ------
    OutsideModelError
        If several turns have no distance between them.

    Notes
    -----
    The turns wind slowly round the middle of their bundle, so that all are alike and no step leads back: a cut through
    the bundle shows them at the corners of a regular polygon whose side is the pitch.
    """
    if turns > 1 and not pitch_m > 0:
        raise OutsideModelError(f"{turns} turns need a pitch_m > 0, found {pitch_m:g}")
    per_turn = segments / turns
    radius = diameter_m / 2 * sqrt(2 * pi / per_turn / sin(2 * pi / per_turn))
    bundle = pitch_m / (2 * sin(pi / turns)) if turns > 1 else 0.0
    round_m = 2 * pi * turns * np.arange(segments) / segments
    away = radius + bundle * np.cos(round_m / turns)
    up = bundle * np.sin(round_m / turns)
    return np.stack([away * np.cos(pi / 2 + round_m), away * np.sin(pi / 2 + round_m), up], axis=1)


def ellipse_of_length_m(length_m: float, *, axis_ratio: float, segments: int) -> Real:
    """Ellipse of a given circumference: what a loop of fixed length becomes when it is pressed.

    Parameters
    ----------
    length_m : float
        Circumference. [m]
    axis_ratio : float
        Shorter over longer axis, up to 1.
    segments : int

    Returns
    -------
    ndarray, shape (segments, 3)
        Nodes, right-handed about z, the first one at the end of the shorter axis; a polygon of the ellipse's area. [m]
    """
    if not 0 < axis_ratio <= 1:
        raise OutsideModelError(f"axis_ratio = {axis_ratio:g} must lie between 0 and 1")
    longer = length_m / (4 * ellipe(1 - axis_ratio**2))
    angle = pi / 2 + 2 * pi * np.arange(segments) / segments
    grown = longer * sqrt(2 * pi / segments / sin(2 * pi / segments))
    return np.stack([grown * np.cos(angle), grown * axis_ratio * np.sin(angle), np.zeros(segments)], axis=1)


def bent_on_cylinder_m(flat_m: Real, radius_m: float) -> Real:
    """Lay a flat outline on a cylinder without stretching it.

    Parameters
    ----------
    flat_m : ndarray, shape (nodes, 3)
        Nodes; x goes round the cylinder, y along it, z away from its axis. [m]
    radius_m : float
        Of the cylinder. [m]

    Returns
    -------
    ndarray, shape (nodes, 3)
        [m]
    """
    round_rad, away = flat_m[:, 0] / radius_m, radius_m + flat_m[:, 2]
    return np.stack([away * np.sin(round_rad), flat_m[:, 1], away * np.cos(round_rad) - radius_m], axis=1)


def places_along(vertices_m: Real) -> Real:
    """Say how far along a closed polygon each node lies, as a fraction of its length.

    Parameters
    ----------
    vertices_m : ndarray, shape (nodes, 3)
        [m]

    Returns
    -------
    ndarray, shape (nodes,)
        From 0 at the first node to below 1.
    """
    way = np.linalg.norm(np.roll(vertices_m, -1, axis=0) - vertices_m, axis=1)
    return np.asarray(np.concatenate([[0.0], np.cumsum(way)[:-1]]) / way.sum())
