"""Noise amplification of parallel imaging: the g-factor of SENSE."""

import numpy as np
from numpy.typing import NDArray

from loopwright.imaging.aliasing import SampledMaps, aliased_sets, sample_maps

__all__ = ["g_factor", "inverse_g_map", "inverse_g_of_gram"]

#: Least eigenvalue of the normalised Gram matrix, per position, below which the unfolding is called impossible.
_SINGULAR = 1e-13

#: Bytes of gathered maps worked on at once: bounds the memory without changing any result.
_CHUNK_BYTES = 48e6


def inverse_g_of_gram(gram: NDArray[np.complexfloating]) -> NDArray[np.float64]:
    """1/g of the first position of aliased sets.

    Parameters
    ----------
    gram : ndarray, shape (..., position, position)
        S^H Psi^-1 S, Hermitian, positive semidefinite.

    Returns
    -------
    ndarray, shape (...)
        1 / sqrt([G^-1]_00 [G]_00), between 0 and 1; 0 where G cannot be inverted to working precision.

    Notes
    -----
    G is first scaled to a unit diagonal, which leaves g alone. Its inverse is taken through its eigenvectors. A least
    eigenvalue under 1e-13 per position counts as singular: positions whose sensitivities agree, or more positions than
    elements.
    """
    diagonal = np.diagonal(gram, axis1=-2, axis2=-1).real
    alive = np.all(diagonal > 0, axis=-1)
    scale = 1 / np.sqrt(np.where(diagonal > 0, diagonal, 1.0))
    eigenvalues, vectors = np.linalg.eigh(gram * scale[..., :, None] * scale[..., None, :])
    sound = alive & (eigenvalues[..., 0] > _SINGULAR * gram.shape[-1])
    safe = np.where(sound[..., None], eigenvalues, 1.0)
    inverse_00 = np.sum(np.abs(vectors[..., 0, :]) ** 2 / safe, axis=-1)
    return np.asarray(np.where(sound, 1 / np.sqrt(np.maximum(inverse_00, 1.0)), 0.0))


def g_factor(sensitivities: NDArray[np.complexfloating], noise: NDArray[np.complexfloating]) -> NDArray[np.float64]:
    """SENSE g-factor of every position of one aliased set.

    Parameters
    ----------
    sensitivities : ndarray, shape (element, position)
        Complex sensitivities S at the positions that fold together, in any unit.
    noise : ndarray, shape (element, element)
        Noise covariance Psi, positive definite.

    Returns
    -------
    ndarray, shape (position,)
        g_i = sqrt([(S^H Psi^-1 S)^-1]_ii [S^H Psi^-1 S]_ii), at least 1; infinite where the set cannot be unfolded.

    References
    ----------
    K. P. Pruessmann, M. Weiger, M. B. Scheidegger, P. Boesiger, SENSE: sensitivity encoding for fast MRI, Magn. Reson.
    Med. 42, 952-962, 1999.
    """
    gram = sensitivities.conj().T @ np.linalg.solve(noise, sensitivities)
    orders = [np.roll(np.arange(len(gram)), -i) for i in range(len(gram))]
    inverse_g = inverse_g_of_gram(np.stack([gram[np.ix_(order, order)] for order in orders]))
    with np.errstate(divide="ignore"):
        return np.asarray(1 / inverse_g)


def inverse_g_map(
    maps: SampledMaps,
    body_mask: NDArray[np.bool_],
    targets: NDArray[np.intp],
    shifts: NDArray[np.float64],
) -> tuple[NDArray[np.intp], NDArray[np.float64]]:
    """1/g at every target voxel.

    Parameters
    ----------
    maps : SampledMaps
        Whitened sensitivities at voxel centres, see ``snr.whitened``.
    body_mask : ndarray of bool, shape (x, y, z)
        Voxels of the body.
    targets : ndarray of int, shape (voxel, 3)
        Indices of the voxels for which 1/g is wanted.
    shifts : ndarray, shape (shift, 3)
        Shifts by which positions fold together, zero first. [voxel]

    Returns
    -------
    folded : ndarray of int, shape (voxel,)
        Number of body positions in each voxel's aliased set, itself included.
    inverse_g : ndarray, shape (voxel,)
        1/g: 1 where nothing folds onto the voxel, 0 where the set cannot be unfolded.
    """
    folded = np.ones(len(targets), dtype=np.intp)
    inverse_g = np.ones(len(targets))
    elements = maps.values.shape[1]
    for same in aliased_sets(body_mask, targets, shifts):
        positions = same.shift.shape[1]
        folded[same.rows] = positions
        if positions > elements:
            inverse_g[same.rows] = 0.0
        elif positions > 1:
            step = max(1, int(_CHUNK_BYTES / (16 * positions * elements)))
            for start in range(0, len(same.rows), step):
                rows = same.rows[start : start + step]
                s = sample_maps(maps, targets[rows], same.shift[start : start + step], shifts)
                inverse_g[rows] = inverse_g_of_gram(s.conj() @ s.swapaxes(1, 2))
    return folded, inverse_g
