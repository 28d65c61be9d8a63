"""The modes of a source shell: the combinations of its small loops whose fields reach the body most strongly.

The impressed fields (E and B) of all loops are compressed by a randomised singular value decomposition over the current
faces. A combination is measured against the surface currents that it takes, not against the moments of its loops: loops
of equal moment carry the more current the faster the moment changes along the surface, and measured by moments the
finest combinations of a surface near the skin would come before the even field of a volume coil, which alone reaches
the middle.

References
----------
N. Halko, P. G. Martinsson, J. A. Tropp, SIAM Review 53, 217-288, 2011: randomised decomposition.
"""

from collections.abc import Callable
from functools import partial

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.body.faces import CurrentFaces
from loopwright.fields.small_loops import electric_component_v_per_m, magnetic_component_t
from loopwright.fields.source_shell import SourceShell
from loopwright.ground.constants import SPEED_OF_LIGHT_M_PER_S

__all__ = ["electric_rows_v_per_m", "places_at_once", "strongest_moments_a_m2"]

Real = NDArray[np.float64]
Complex64 = NDArray[np.complex64]
Blocks = list[tuple[NDArray[np.intp], int]]
Block = Callable[[NDArray[np.intp], int], Complex64]

#: Faces on which the sources are compressed; fields are smooth, so that more would choose the same combinations.
_FACES_TO_COMPRESS = 9000
# Random combinations beyond the number of modes asked for, as a part of it.
_SPARE = 0.2
_ENTRIES_AT_ONCE = 1_500_000


def strongest_moments_a_m2(faces: CurrentFaces, shell: SourceShell, mode_count: int) -> Complex64:
    """Moments of every loop in the modes, the strongest mode first.

    Parameters
    ----------
    faces : CurrentFaces
        Of the body, at their frequency.
    shell : SourceShell
        Where the loops lie.
    mode_count : int
        Modes wanted; no more than the shell has loops are found.

    Returns
    -------
    ndarray, shape (loops, modes)
        Three loops of every site, along x, y and z. [A m^2], up to a factor for each mode
    """
    sources = 3 * len(shell.positions_m)
    some = np.arange(0, len(faces.index), max(1, len(faces.index) // _FACES_TO_COMPRESS))
    blocks = _blocks(faces, shell, some)
    weighted = partial(_weighted_block, faces, shell, *_weights(faces))
    to_moments = _moments_of_currents(shell)
    wanted = min(mode_count, sources)
    tried = min(sources, int(wanted * (1 + _SPARE)) + 8)
    rng = np.random.default_rng(len(some))
    trial = rng.normal(size=(sources, tried)) + 1j * rng.normal(size=(sources, tried))
    fields = _forward(weighted, blocks, _by_site(to_moments, trial))
    trial = _by_site(to_moments.T, _adjoint(weighted, blocks, fields))  # one power pass
    reached = np.linalg.qr(_forward(weighted, blocks, _by_site(to_moments, np.linalg.qr(trial)[0])))[0]
    vectors, _, _ = np.linalg.svd(_by_site(to_moments.T, _adjoint(weighted, blocks, reached)), full_matrices=False)
    return _by_site(to_moments, vectors[:, :wanted]).astype(np.complex64)


def electric_rows_v_per_m(faces: CurrentFaces, shell: SourceShell, moments: Complex64) -> Complex64:
    """Impressed E (modes, faces) [V/m] of columns of moments (loops, modes) [A m^2], on all faces."""
    blocks = _blocks(faces, shell, np.arange(len(faces.index)))
    by_block = _forward(partial(_electric_block, faces, shell), blocks, moments)
    field = np.empty((by_block.shape[1], len(by_block)), dtype=np.complex64)
    field[:, np.concatenate([which for which, _ in blocks])] = by_block.T
    return field


def places_at_once(shell: SourceShell) -> int:
    """Places so few that the fields of all sites there can be held."""
    return max(1, _ENTRIES_AT_ONCE // len(shell.positions_m))


def _moments_of_currents(shell: SourceShell) -> Real:
    """Matrix (sites, sites) that makes moments from a layer of unit norm: each is the layer's potential times its area.

    On a sphere the potential of the n-th harmonic falls as 1/(2n + 1), as the moments of a given current do.
    """
    apart_m = np.linalg.norm(shell.positions_m[:, None] - shell.positions_m[None], axis=-1)
    np.fill_diagonal(apart_m, np.sqrt(shell.areas_m2 / np.pi) / 2)  # a disc's mean of 1/distance from its centre
    return np.asarray(shell.areas_m2[:, None] * np.sqrt(shell.areas_m2) / (4 * np.pi * apart_m))


def _by_site(matrix: Real, columns: NDArray[np.complexfloating]) -> NDArray[np.complex128]:
    """Product over the sites of columns (3 sites, columns), each direction for itself."""
    return np.asarray((matrix @ columns.reshape(len(matrix), -1)).reshape(columns.shape), dtype=np.complex128)


def _weights(faces: CurrentFaces) -> tuple[float, float]:
    """Weights of E and of B when sources are compressed.

    omega times half the size of the body makes B as large as the E of eddy currents. Fields of charges have little B;
    in a body that is small against its wavelength they are screened and receive nothing, so E counts for less there.
    """
    centres = faces.centres_m()
    half_size_m = float(np.sqrt(np.mean(np.sum((centres - centres.mean(axis=0)) ** 2, axis=1)))) / 2
    omega = 2 * np.pi * faces.frequency_hz
    wavenumber = omega / SPEED_OF_LIGHT_M_PER_S * np.sqrt(np.median(np.abs(faces.permittivity)))
    return min(1.0, float(wavenumber) * half_size_m), omega * half_size_m


def _blocks(faces: CurrentFaces, shell: SourceShell, some: NDArray[np.intp]) -> Blocks:
    """Faces of one family at a time, few enough to hold their fields of all sites."""
    families = faces.families()[some]
    step = places_at_once(shell)
    parts = []
    for axis in range(3):
        of_axis = some[families == axis]
        parts += [(of_axis[start : start + step], axis) for start in range(0, len(of_axis), step)]
    return parts


def _electric_block(faces: CurrentFaces, shell: SourceShell, which: NDArray[np.intp], axis: int) -> Complex64:
    """E of every source on some faces of one family, shape (faces, sources). [V/m]"""
    centres = faces.centres_m()[which]
    field = electric_component_v_per_m(centres, shell.positions_m, axis=axis, frequency_hz=faces.frequency_hz)
    return field.reshape(len(which), -1)


def _weighted_block(
    faces: CurrentFaces, shell: SourceShell, of_e: float, of_b: float, which: NDArray[np.intp], axis: int
) -> Complex64:
    """Weighted E, and below it weighted B, of every source on some faces, shape (2 faces, sources)."""
    electric = _electric_block(faces, shell, which, axis)
    centres = faces.centres_m()[which]
    magnetic = magnetic_component_t(centres, shell.positions_m, axis=axis, frequency_hz=faces.frequency_hz)
    return np.concatenate([np.float32(of_e) * electric, np.float32(of_b) * magnetic.reshape(len(which), -1)])


def _forward(block: Block, blocks: Blocks, moments: NDArray[np.complexfloating]) -> Complex64:
    """Fields (rows of all blocks, columns) of columns of moments (sources, columns)."""
    narrow = moments.astype(np.complex64)
    return np.concatenate([block(which, axis) @ narrow for which, axis in blocks])


def _adjoint(block: Block, blocks: Blocks, fields: NDArray[np.complexfloating]) -> NDArray[np.complex128]:
    """What columns of fields (rows, columns) have in common with the field of every source (sources, columns)."""
    narrow = fields.astype(np.complex64)
    start, found = 0, np.zeros((0,), dtype=np.complex128)
    for which, axis in blocks:
        here = block(which, axis)
        part = here.conj().T @ narrow[start : start + len(here)]
        found = found + part if start else part.astype(np.complex128)
        start += len(here)
    return found
