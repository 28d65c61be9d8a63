"""The source shell: small closed loops all over a complete surface that stands off from the body.

Any field that currents outside the surface can set up in the body, currents on the surface can set up too. Small loops
lying in the surface make surface currents without charge; loops standing on edge, which is a magnetic surface current,
make the fields of charges as well, though no loop carries any. All three directions together are complete as the
spacing shrinks; tests compare them with the exact multipoles of a sphere.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from loopwright.bodies import Body
from loopwright.ground.errors import OutsideModelError

__all__ = ["SourceShell", "covered_part", "source_shell"]

Real = NDArray[np.float64]
Depth = Callable[[Real], Real]

# Candidates lie so many times closer than the loops that are chosen from them.
_FINER = 3
_STEPS_TO_SURFACE = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceShell:
    """Places of small closed loops on a surface round the body, and the share of the surface that each stands for.

    ``positions_m`` (sites, 3) [m], ``areas_m2`` (sites,) [m^2]. Every site holds three loops, along x, y and z.
    """

    positions_m: Real
    areas_m2: Real
    stand_off_m: float
    spacing_m: float


def source_shell(body: Body, *, stand_off_m: float, spacing_m: float) -> SourceShell:
    """Spread sites evenly over the surface at a distance from the body.

    Parameters
    ----------
    body : Body
        Its solid tells the depth of any point, its grid how far it reaches.
    stand_off_m : float
        Distance of the surface from the skin. [m]
    spacing_m : float
        No place of the surface is farther than about this from a site. [m]

    Returns
    -------
    SourceShell

    Raises
    ------
    OutsideModelError
        If the distances are not positive.

    Notes
    -----
    The surface is the one on which the depth is minus the stand-off: where the solid tells only a lower bound of the
    distance outside, as beyond the edges of a column, the surface lies farther out and is still closed. Cells of a grid
    that it crosses are moved onto it; of these each next site is the one farthest from all before it. A cell in the
    band about the surface stands for its volume over the width of the band, and gives it to the nearest site.
    """
    if stand_off_m <= 0 or spacing_m <= 0:
        raise OutsideModelError(
            f"a source shell needs stand_off_m and spacing_m above zero, found {stand_off_m:g} and {spacing_m:g}"
        )
    cell_m = spacing_m / _FINER
    depth_m = body.solid.depth_m
    candidates = _candidates(depth_m, _half_extents_m(body), stand_off_m, spacing_m, cell_m)
    on_surface = _moved_onto(depth_m, candidates, stand_off_m, cell_m)
    sites = on_surface[_spread(on_surface, spacing_m)]
    _, nearest = cKDTree(sites).query(on_surface)
    areas = np.bincount(nearest, minlength=len(sites)) * cell_m**3 / (2 * cell_m)
    return SourceShell(
        positions_m=sites, areas_m2=np.asarray(areas, dtype=np.float64), stand_off_m=stand_off_m, spacing_m=spacing_m
    )


def covered_part(
    body: Body, shell: SourceShell, outlines_m: Sequence[Real], *, normals: Real, margin_m: float
) -> SourceShell:
    """Sites that an array covers, at whatever height its elements lie.

    Parameters
    ----------
    body : Body
        Round which the shell lies.
    shell : SourceShell
        The complete surface.
    outlines_m : sequence of ndarray, shape (vertices, 3)
        Centreline of each element. [m]
    normals : ndarray, shape (elements, 3)
        Unit vectors away from the body.
    margin_m : float
        A site belongs to an element when the skin nearest to the site lies within the outline projected along the
        element's normal, or this near to it. [m]

    Raises
    ------
    OutsideModelError
        If an element covers no site.

    Notes
    -----
    Only skin that faces the element counts, and none that lies farther below the outline than the outline's own height
    and width: not the far side of the body, nor a second part behind the first.
    """
    depth_m = body.solid.depth_m
    skin = _moved_onto(depth_m, shell.positions_m, 0.0, shell.spacing_m / _FINER)
    outward = -_slopes(depth_m, skin, 1e-3 * shell.spacing_m)
    covered = np.zeros(len(skin), dtype=np.bool_)
    for number, (outline, normal) in enumerate(zip(outlines_m, normals, strict=True), start=1):
        along, across = np.linalg.svd(normal[None])[2][1:]
        flat = np.stack([along, across], axis=1)
        lowest = float(np.min(outline @ normal)) - float(np.max(-depth_m(outline))) - float(np.ptp(outline @ flat))
        under = (outward @ normal > 0) & (skin @ normal >= lowest)
        under[under] = _within(skin[under] @ flat, outline @ flat, margin_m)
        if not under.any():
            raise OutsideModelError(
                f"element {number} of the array covers no part of the source shell: lay it nearer to the body, or ask "
                "for the complete shell"
            )
        covered |= under
    return SourceShell(
        positions_m=shell.positions_m[covered],
        areas_m2=shell.areas_m2[covered],
        stand_off_m=shell.stand_off_m,
        spacing_m=shell.spacing_m,
    )


def _within(points_m: Real, outline_m: Real, margin_m: float) -> NDArray[np.bool_]:
    """Tell which points (n, 2) [m] lie inside a closed outline (vertices, 2) [m] or within a margin of it."""
    start, step = outline_m, np.roll(outline_m, -1, axis=0) - outline_m
    offset = points_m[:, None] - start
    length_squared = np.maximum(np.sum(step**2, axis=1), np.finfo(np.float64).tiny)
    part = np.clip(np.sum(offset * step, axis=2) / length_squared, 0, 1)
    near = np.linalg.norm(offset - part[..., None] * step, axis=2).min(axis=1) <= margin_m
    # a line from the point along the first axis crosses the outline an odd number of times
    spans = (offset[..., 1] >= 0) != (offset[..., 1] - step[:, 1] >= 0)
    rise = np.where(step[:, 1] == 0, 1.0, step[:, 1])
    beyond = offset[..., 0] < step[:, 0] * offset[..., 1] / rise
    return np.asarray(near | (np.sum(spans & beyond, axis=1) % 2 == 1))


def _half_extents_m(body: Body) -> Real:
    """Half the size of the box about the origin that holds the grid. [m]"""
    ends = np.array([np.abs(body.grid.nodes_m(axis)[[0, -1]]).max() for axis in range(3)])
    return np.asarray(ends)


def _candidates(depth_m: Depth, half_extents_m: Real, stand_off_m: float, spacing_m: float, cell_m: float) -> Real:
    """Centres of the fine cells in a band two cells wide about the surface; coarse cells far from it are skipped."""
    counts = [int(np.ceil((half + stand_off_m) / spacing_m)) + 1 for half in half_extents_m]
    axes = [spacing_m * np.arange(-count, count + 1) for count in counts]
    coarse = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    near = np.abs(depth_m(coarse) + stand_off_m) < spacing_m
    steps = cell_m * (np.arange(_FINER) - (_FINER - 1) / 2)
    fine = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)
    cells = (coarse[near][:, None, :] + fine).reshape(-1, 3)
    return np.asarray(cells[np.abs(depth_m(cells) + stand_off_m) < cell_m])


def _moved_onto(depth_m: Depth, points_m: Real, stand_off_m: float, cell_m: float) -> Real:
    """Points moved along the slope of the depth onto the surface."""
    step = 1e-3 * cell_m
    moved = points_m
    for _ in range(_STEPS_TO_SURFACE):
        slope = _slopes(depth_m, moved, step)
        excess = depth_m(moved) + stand_off_m
        moved = moved - slope * (excess / np.maximum(np.sum(slope**2, axis=1), 0.1))[:, None]
    return moved


def _slopes(depth_m: Depth, points_m: Real, step_m: float) -> Real:
    """Slope of the depth at points, shape (points, 3), into the body. [1]"""
    return np.stack(
        [(depth_m(points_m + step_m * e) - depth_m(points_m - step_m * e)) / (2 * step_m) for e in np.eye(3)], axis=1
    )


def _spread(points_m: Real, spacing_m: float) -> NDArray[np.intp]:
    """Numbers of points, each the farthest from all before it, until none is farther than the spacing."""
    chosen = [0]
    distance = np.sum((points_m - points_m[0]) ** 2, axis=1)
    while distance.max() > spacing_m**2:
        chosen.append(int(np.argmax(distance)))
        distance = np.minimum(distance, np.sum((points_m - points_m[chosen[-1]]) ** 2, axis=1))
    return np.asarray(chosen)
