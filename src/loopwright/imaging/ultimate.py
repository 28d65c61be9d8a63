"""What no array can beat: the best combination of all sources of a shell, unaccelerated and accelerated.

The modes of a source shell are one large array without conductor loss. Its optimum combination bounds that of every
array whose fields they span, and with their whitened sensitivities in place of the array's the same SENSE formula tells
the ultimate accelerated SNR [wiesinger2004]. The array's own sources join the modes, so that on this grid the bound
holds by construction; how well it holds without them is told beside it. The bound is the best of the combinations that
were solved: a lower estimate of the ultimate, and fractions are left out where it has not settled.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Body
from loopwright.brief.records.imaging import ImagingRequest
from loopwright.brief.records.scanner import Scanner
from loopwright.fields.source_reply import SourceReply
from loopwright.fields.ultimate_sources import ShellReply
from loopwright.imaging.quality import ImageQuality
from loopwright.imaging.settling import MOST_CHANGE, Settling, change_of, settling_of
from loopwright.imaging.ultimate_channels import (
    on_grid,
    ultimate_accelerated_t_per_a_sqrt_ohm,
    ultimate_channels,
)

__all__ = [
    "AcceleratedUltimate",
    "PlateauPlace",
    "UltimateQuality",
    "ultimate_quality",
]

Real = NDArray[np.float64]
Complex = NDArray[np.complex128]

#: Fractions are told where the voxels' own steps no longer show. [voxel]
LEAST_DEPTH_IN_VOXELS = 2.0

#: Parts of all modes at which the plateau is shown.
PLATEAU_PARTS = (0.1, 0.25, 0.5, 0.75, 1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class AcceleratedUltimate:
    """Ultimate accelerated sensitivity (x, y, z) of one acceleration, and how much of it the array has.

    ``fraction`` is NaN where it is not told: where this bound has not settled, or cannot unfold.
    [T A^-1 ohm^-1/2], [1]
    """

    name: str
    sensitivity_t_per_a_sqrt_ohm: Real
    fraction: Real
    fraction_largest: float
    settling: Settling


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateauPlace:
    """The bound at one voxel for growing numbers of modes, without the array's own sources. [T A^-1 ohm^-1/2]"""

    name: str
    at_m: tuple[float, float, float]
    depth_m: float
    values_t_per_a_sqrt_ohm: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UltimateQuality:
    """The ultimate on the grid of ``body``, with what is needed to trust it.

    Attributes
    ----------
    coverage : "complete" or "covered"
        Sources all round the body, or on what the array covers of the same surface.
    body : Body
        The voxels.
    deep : ndarray of bool, shape (x, y, z)
        Voxels deeper than two voxels: where fractions are told if the bound has settled.
    sensitivity_t_per_a_sqrt_ohm : ndarray, shape (x, y, z)
        Ultimate sensitivity, NaN elsewhere than in ``deep``. [T A^-1 ohm^-1/2]
    fraction : ndarray, shape (x, y, z)
        The array's optimum over it; NaN where ``change`` exceeds ``MOST_CHANGE``.
    change : ndarray, shape (x, y, z)
        What the second half of the modes, and the array's own sources, added to the bound; NaN outside ``deep``.
    settling : Settling
        The changes in sum.
    without_array : float
        The array's optimum over the bound of the modes alone, largest of all deep voxels: above 1 by as much as the
        modes fail to span the array's fields.
    accelerations : tuple of AcceleratedUltimate
    mode_counts : tuple of int
        Numbers of modes at which the plateau was read.
    plateau : tuple of PlateauPlace
    sources, modes, array_sources, part_modes, dropped : int
        Small loops of the shell, modes solved, sources of the array and modes of the covered part that join them,
        combinations left out below the floor.
    stand_off_m, spacing_m, margin_m : float
        Of the shell, and of its covered part round the outlines of the elements. [m]
    relative_residual : float
        Largest that the solutions reached.
    """

    coverage: Literal["complete", "covered"]
    body: Body
    deep: NDArray[np.bool_]
    sensitivity_t_per_a_sqrt_ohm: Real
    fraction: Real
    change: Real
    settling: Settling
    without_array: float
    accelerations: tuple[AcceleratedUltimate, ...]
    mode_counts: tuple[int, ...]
    plateau: tuple[PlateauPlace, ...]
    sources: int
    modes: int
    array_sources: int
    part_modes: int
    dropped: int
    stand_off_m: float
    spacing_m: float
    margin_m: float
    relative_residual: float


def ultimate_quality(
    solved: ShellReply, request: ImagingRequest, scanner: Scanner, *, body: Body, quality: ImageQuality
) -> UltimateQuality:
    """Hold the array against the best of all sources of a shell.

    Parameters
    ----------
    solved : ShellReply
        The shell, with the array's sources after its modes.
    request : ImagingRequest
        Accelerations.
    scanner : Scanner
        Direction of B0 and sign of the nucleus.
    body : Body
        The grid of the shell's reply.
    quality : ImageQuality
        The array's, on the same grid and for the same accelerations.

    Returns
    -------
    UltimateQuality
    """
    reply, sign = solved.reply, scanner.reception_sign
    rows = len(reply.noise_resistance_ohm)
    part_modes = rows - reply.modes - reply.array_sources
    everything = ultimate_channels(
        reply, reception_sign=sign, modes=reply.modes, array_sources=reply.array_sources, part_modes=part_modes
    )
    deep = quality.body_mask & (quality.depth_m >= LEAST_DEPTH_IN_VOXELS * body.grid.spacing_m)
    bound = on_grid(np.linalg.norm(everything, axis=0), reply.known)
    counts = tuple(sorted({max(1, round(part * reply.modes)) for part in PLATEAU_PARTS}))
    alone = [_of_modes(reply, sign, count) for count in counts]
    own = quality.sensitivity_t_per_a_sqrt_ohm
    # the array's own sources are no part of the half, lest they hide what the modes have not reached
    half = ultimate_channels(
        reply, reception_sign=sign, modes=reply.modes // 2, array_sources=0, part_modes=part_modes // 2
    )
    change = change_of(on_grid(np.linalg.norm(half, axis=0), reply.known), bound, deep)
    return UltimateQuality(
        coverage=solved.coverage,
        body=body,
        deep=deep,
        sensitivity_t_per_a_sqrt_ohm=np.where(deep, bound, np.nan),
        fraction=_settled(_ratio(own, bound, deep), change),
        change=change,
        settling=settling_of(change),
        without_array=_largest(_ratio(own, alone[-1], deep)),
        accelerations=_accelerations(request, body, quality, deep, half, everything, reply.known),
        mode_counts=counts,
        plateau=_plateau(body, deep, quality.depth_m, alone),
        sources=reply.sources,
        modes=reply.modes,
        array_sources=reply.array_sources,
        part_modes=part_modes,
        dropped=rows - len(everything),
        stand_off_m=solved.stand_off_m,
        spacing_m=solved.spacing_m,
        margin_m=solved.margin_m,
        relative_residual=reply.relative_residual,
    )


def _of_modes(reply: SourceReply, reception_sign: int, modes: int) -> Real:
    """Bound of the first modes of the shell by themselves, (x, y, z). [T A^-1 ohm^-1/2]"""
    found = ultimate_channels(reply, reception_sign=reception_sign, modes=modes, array_sources=0)
    return on_grid(np.linalg.norm(found, axis=0), reply.known)


def _accelerations(
    request: ImagingRequest,
    body: Body,
    quality: ImageQuality,
    deep: NDArray[np.bool_],
    half: Complex,
    everything: Complex,
    known: NDArray[np.bool_],
) -> tuple[AcceleratedUltimate, ...]:
    halves, bounds = (
        ultimate_accelerated_t_per_a_sqrt_ohm(
            request, body=body, inside=quality.body_mask, channels=channels, known=known
        )
        for channels in (half, everything)
    )
    found = []
    for of_half, bound, own in zip(halves, bounds, quality.accelerations, strict=True):
        change = change_of(of_half, bound, deep)
        fraction = _settled(_ratio(own.sensitivity_t_per_a_sqrt_ohm, bound, deep), change)
        found.append(
            AcceleratedUltimate(
                name=own.request.name,
                sensitivity_t_per_a_sqrt_ohm=np.where(deep, bound, np.nan),
                fraction=fraction,
                fraction_largest=_largest(fraction),
                settling=settling_of(change),
            )
        )
    return tuple(found)


def _plateau(body: Body, deep: NDArray[np.bool_], depth_m: Real, alone: list[Real]) -> tuple[PlateauPlace, ...]:
    """Read the bound in the deepest voxel, at half its depth, and just deep enough to count."""
    deepest = float(np.max(depth_m[deep]))
    least = LEAST_DEPTH_IN_VOXELS * body.grid.spacing_m
    points = body.grid.centre_points_m()
    from_centre = np.linalg.norm(points, axis=-1)
    places = []
    for name, depth in (("deepest", deepest), ("half as deep", deepest / 2), ("two voxels deep", least)):
        # of voxels about equally near to the depth, the one closest to the body's centre
        misfit = np.round(np.abs(depth_m - depth) / body.grid.spacing_m, 1) + from_centre / (1 + from_centre.max()) / 20
        at = np.unravel_index(int(np.argmin(np.where(deep, misfit, np.inf))), deep.shape)
        x, y, z = (float(value) for value in points[at])
        places.append(
            PlateauPlace(
                name=name,
                at_m=(x, y, z),
                depth_m=float(depth_m[at]),
                values_t_per_a_sqrt_ohm=tuple(float(bound[at]) for bound in alone),
            )
        )
    return tuple(places)


def _ratio(own: Real, bound: Real, where: NDArray[np.bool_]) -> Real:
    told = where & (np.nan_to_num(bound) > 0)
    return np.divide(own, bound, out=np.full(own.shape, np.nan), where=told)


def _settled(fraction: Real, change: Real) -> Real:
    return np.where(change <= MOST_CHANGE, fraction, np.nan)


def _largest(fraction: Real) -> float:
    return float(np.nanmax(fraction)) if np.isfinite(fraction).any() else float("nan")
