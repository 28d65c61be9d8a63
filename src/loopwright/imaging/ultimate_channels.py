"""Independent channels of unit noise, made from the modes of a source shell and the sources of an array."""

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cholesky, solve_triangular

from loopwright.bodies import Body
from loopwright.brief.records.imaging import ImagingRequest
from loopwright.fields.source_reply import SourceReply
from loopwright.imaging.accelerated import accelerate
from loopwright.imaging.aliasing import SampledMaps
from loopwright.imaging.reception import reception_field_t_per_a

__all__ = ["on_grid", "ultimate_accelerated_t_per_a_sqrt_ohm", "ultimate_channels"]

Real = NDArray[np.float64]
Complex = NDArray[np.complex128]

# Never count a combination on the word of single precision alone.
_LEAST_FLOOR = 1e-6


def ultimate_channels(
    reply: SourceReply, *, reception_sign: int, modes: int, array_sources: int, part_modes: int = 0
) -> Complex:
    """Sensitivities of independent channels of unit noise resistance, made from modes and an array's sources.

    Parameters
    ----------
    reply : SourceReply
        Fields and noise resistance of every mode, of the array's sources and of a part's modes after them.
    reception_sign : int
        +1 where B0 is along +z and gamma positive, or both reversed; else -1.
    modes, array_sources, part_modes : int
        How many of each take part, from the first.

    Returns
    -------
    ndarray, shape (channel, voxel)
        The norm over the channels is the best sensitivity. [T A^-1 ohm^-1/2]

    Notes
    -----
    The array's sources are whitened as they are, so that no array made of them passes the bound. Of the part's modes,
    scaled to unit noise resistance, only what is independent of them is added, then of the modes what is independent
    of both: the bound is never below that of the part alone. Combinations with less noise resistance than the floor,
    the square of the solution's residual for every mode, are left out: their noise would be the solver's own error,
    and counting them could push the bound above the true one. Leaving out can only lower it.
    """
    size = 1 / np.sqrt(np.diag(reply.noise_resistance_ohm).real)
    noise = reply.noise_resistance_ohm * size[:, None] * size[None, :]
    signal = reception_field_t_per_a(reply.transverse_field_t, reception_sign=reception_sign) * size[:, None]
    own = reply.modes + np.arange(array_sources)
    factor = cholesky(noise[np.ix_(own, own)], lower=True)
    chosen = np.zeros((array_sources, len(size)), dtype=np.complex128)  # channels as combinations of all rows
    chosen[:, own] = solve_triangular(factor, np.eye(array_sources), lower=True)
    for rows in (reply.modes + reply.array_sources + np.arange(part_modes), np.arange(modes)):
        added = _independent(noise, chosen, rows, floor=max(_LEAST_FLOOR, len(rows) * reply.relative_residual**2))
        chosen = np.concatenate([chosen, added])
    return np.asarray(chosen @ signal)


def _independent(noise: Complex, chosen: Complex, rows: NDArray[np.intp], *, floor: float) -> Complex:
    """Combinations (channels, all rows) of unit noise in some rows, independent of those chosen and above the floor."""
    unit = np.zeros((len(rows), len(noise)), dtype=np.complex128)
    unit[np.arange(len(rows)), rows] = 1
    rest = unit - (noise[rows] @ chosen.conj().T) @ chosen
    left = rest @ noise @ rest.conj().T
    values, vectors = np.linalg.eigh((left + left.conj().T) / 2)
    kept = values > floor
    return np.asarray((vectors[:, kept].conj().T @ rest) / np.sqrt(values[kept])[:, None])


def ultimate_accelerated_t_per_a_sqrt_ohm(
    request: ImagingRequest, *, body: Body, inside: NDArray[np.bool_], channels: Complex, known: NDArray[np.bool_]
) -> tuple[Real, ...]:
    """Accelerated sensitivity of the channels at every voxel, for every acceleration.

    Parameters
    ----------
    request : ImagingRequest
        Accelerations.
    body : Body
        The grid.
    inside : ndarray of bool, shape (x, y, z)
        Voxels that fold.
    channels : ndarray, shape (channel, voxel)
        As from ``ultimate_channels``. [T A^-1 ohm^-1/2]
    known : ndarray of bool, shape (x, y, z)
        The voxels of the channels.

    Returns
    -------
    tuple of ndarray, shape (x, y, z)
        Optimum over g sqrt(R), NaN outside the body. [T A^-1 ohm^-1/2]
    """
    row = np.full(known.shape, -1, dtype=np.intp)
    row[known] = np.arange(channels.shape[1])
    maps = SampledMaps(values=np.ascontiguousarray(channels.T), row=row)
    optimum = on_grid(np.linalg.norm(channels, axis=0), known)
    return tuple(
        accelerate(
            acceleration, grid=body.grid, maps=maps, inside=inside, region=inside, optimum=optimum, factor=None
        ).sensitivity_t_per_a_sqrt_ohm
        for acceleration in request.accelerations
    )


def on_grid(values: Real, known: NDArray[np.bool_]) -> Real:
    """Values of the known voxels on the grid, NaN elsewhere."""
    full = np.full(known.shape, np.nan)
    full[known] = values
    return full
