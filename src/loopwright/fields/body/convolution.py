"""Products with the volume integral operator, by transforms padded one axis at a time.

The operator acts on normal components on the faces of a regular voxel grid. All three face families are held in one
array of shape (..., 3, nx+1, ny+1, nz+1): face (a, i, j, k) of family a is the one on the low side of voxel (i, j, k).
Code is written for any array library with numpy's interface; on the CPU the transforms are SciPy's.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import array_api_compat
import numpy as np
import scipy.fft
from numpy.typing import NDArray

from loopwright.fields.body.lattice import lattice_green_function

Array = Any  # any array library with numpy's interface

# Columns of the second axis handled together: keeps the work of the widest stage in the cache.
_COLUMNS_TOGETHER = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class SpectralKernel:
    """The scalar Green function and the staggered differences on the padded grid, in Fourier space.

    ``scalar`` is the transform of the convolution kernel times the voxel volume, shape (Nx, Ny, Nz) [m^2]; ``wave`` is
    k0^2 times it, corrected for the dispersion of the grid [1]; ``forward`` holds the transform of the difference from
    a face to the next face along each axis, (exp(j theta) - 1)/h [1/m].
    """

    scalar: Array
    wave: Array
    forward: tuple[Array, Array, Array]
    wavenumber_per_m: float
    spacing_m: float
    face_shape: tuple[int, int, int]

    @property
    def padded_shape(self) -> tuple[int, int, int]:
        """Shape of the padded grid."""
        nx, ny, nz = self.scalar.shape
        return int(nx), int(ny), int(nz)


def padded_length(voxels: int) -> int:
    """Smallest transform-friendly length at which differences of the kernel do not wrap round."""
    return int(scipy.fft.next_fast_len(2 * voxels + 3))


def _scalar_kernel(padded: tuple[int, ...], wavenumber_per_m: float, spacing_m: float) -> NDArray[np.complex128]:
    """Green function times voxel volume, even and periodic: lattice static part, smooth remainder. [m^2]"""
    octant = [np.arange(n // 2 + 1) for n in padded]
    r = spacing_m * np.sqrt(octant[0][:, None, None] ** 2 + octant[1][:, None] ** 2 + octant[2] ** 2)
    kr = wavenumber_per_m * r
    with np.errstate(invalid="ignore", divide="ignore"):
        # (exp(-jkR) - 1)/R without cancellation
        remainder = (-2 * np.sin(kr / 2) ** 2 - 1j * np.sin(kr)) / (4 * np.pi * r)
    remainder[0, 0, 0] = -1j * wavenumber_per_m / (4 * np.pi)
    static = lattice_green_function((len(octant[0]), len(octant[1]), len(octant[2])))
    folds = [np.minimum(np.arange(n), n - np.arange(n)) for n in padded]
    return (spacing_m**2 * static + spacing_m**3 * remainder)[np.ix_(*folds)]


def spectral_kernel(voxels: tuple[int, int, int], wavenumber_per_m: float, spacing_m: float) -> SpectralKernel:
    """Transform the Green function once for a grid.

    Parameters
    ----------
    voxels : (int, int, int)
        Voxels along each axis.
    wavenumber_per_m : float
        Free-space wavenumber. [1/m]
    spacing_m : float
        Edge of a voxel. [m]

    Returns
    -------
    SpectralKernel
        Held in single precision, which is enough: the floor of a solution is near 1e-5.

    Notes
    -----
    On the grid a wave of wavenumber k meets K^2 = k^2 (1 - k^2 h^2/20), averaged over directions, where it should meet
    k^2. Dividing the wave term's kernel by 1 + K^2 h^2/20 restores it, to fourth order; the static term, which must
    stay exactly inverse to the staggered differences, is left alone.
    """
    face_shape = (voxels[0] + 1, voxels[1] + 1, voxels[2] + 1)
    padded = tuple(padded_length(count) for count in voxels)
    scalar = scipy.fft.fftn(_scalar_kernel(padded, wavenumber_per_m, spacing_m))
    x, y, z = ((np.exp(2j * np.pi * np.fft.fftfreq(n)) - 1) / spacing_m for n in padded)
    forward = (x[:, None, None], y[:, None], z)
    stiffness = sum(np.abs(difference) ** 2 for difference in forward) * spacing_m**2
    wave = wavenumber_per_m**2 * scalar / (1 + stiffness / 20)
    return SpectralKernel(
        scalar=scalar.astype(np.complex64),
        wave=wave.astype(np.complex64),
        forward=(forward[0].astype(np.complex64), forward[1].astype(np.complex64), forward[2].astype(np.complex64)),
        wavenumber_per_m=wavenumber_per_m,
        spacing_m=spacing_m,
        face_shape=face_shape,
    )


Multiplier = Callable[[Array, SpectralKernel, slice], Array]


def _transforms(xp: Any) -> tuple[Callable[..., Array], Callable[..., Array]]:
    """Forward and inverse one-axis transforms of this array library."""
    if array_api_compat.is_numpy_namespace(xp):
        return scipy.fft.fft, scipy.fft.ifft
    return xp.fft.fft, xp.fft.ifft


def convolve(faces: Array, kernel: SpectralKernel, multiplier: Multiplier) -> Array:
    """Apply a multiplier in Fourier space to one set of face components.

    Parameters
    ----------
    faces : array, shape (3, nx+1, ny+1, nz+1)
        Components on the three face families.
    kernel : SpectralKernel
        Of the same grid.
    multiplier : callable
        Takes transformed components, shape (3, Nx, columns, Nz), the kernel and the slice of columns.

    Returns
    -------
    array, shape (3, nx+1, ny+1, nz+1)

    Notes
    -----
    Each axis is padded only when its turn comes, and cropped at once on the way back: 58 % of the work of a full padded
    transform. The last axis to be padded is handled a few columns at a time.
    """
    xp = array_api_compat.array_namespace(faces)
    fft, ifft = _transforms(xp)
    nx, ny, nz = kernel.face_shape
    px, py, pz = kernel.padded_shape
    wide = fft(fft(faces, n=pz, axis=3), n=py, axis=2)
    for start in range(0, py, _COLUMNS_TOGETHER):
        columns = slice(start, min(start + _COLUMNS_TOGETHER, py))
        spectrum = fft(wide[:, :, columns, :], n=px, axis=1)
        wide[:, :, columns, :] = ifft(multiplier(spectrum, kernel, columns), axis=1)[:, :nx]
    return ifft(ifft(wide, axis=2)[:, :, :ny], axis=3)[..., :nz]


def reply_multiplier(spectrum: Array, kernel: SpectralKernel, columns: slice) -> Array:
    """L = k0^2 S + grad div S, in Fourier space, the first term corrected for dispersion."""
    dx, dy, dz = kernel.forward
    dy = dy[columns]
    scalar = kernel.scalar[:, columns, :]
    xp = array_api_compat.array_namespace(spectrum)
    charge = scalar * (dx * spectrum[0] + dy * spectrum[1] + dz * spectrum[2])
    spectrum = spectrum * kernel.wave[:, columns, :]
    for axis, difference in enumerate((dx, dy, dz)):
        spectrum[axis] -= xp.conj(difference) * charge
    return spectrum


def curl_multiplier(spectrum: Array, kernel: SpectralKernel, columns: slice) -> Array:
    """Curl of S, brought from the edges to the voxel centres to fourth order, in Fourier space."""
    dx, dy, dz = kernel.forward
    h = kernel.spacing_m
    differences = (dx, dy[columns], dz)
    xp = array_api_compat.array_namespace(spectrum)
    potential = kernel.scalar[:, columns, :] * spectrum
    to_centre = [1 + h * d / 2 for d in differences]  # mean of a face and the next
    central = [
        -xp.conj(d) * m for d, m in zip(differences, to_centre, strict=True)
    ]  # two-voxel difference at the centre
    # undo what averaging and differencing take off a smooth field, to the order h^2
    sharpen = [xp.abs(d) ** 2 * h**2 for d in differences]
    curl = xp.empty_like(spectrum)
    for a, b, c in ((0, 1, 2), (1, 2, 0), (2, 0, 1)):
        first = central[b] * to_centre[c] * (1 + sharpen[b] / 6 + sharpen[c] / 8)
        second = central[c] * to_centre[b] * (1 + sharpen[c] / 6 + sharpen[b] / 8)
        curl[a] = first * potential[c] - second * potential[b]
    return curl
