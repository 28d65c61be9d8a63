"""Products with the volume integral operator, by transforms padded one axis at a time.

The operator acts on normal components on the faces of a regular voxel grid. All three face families are held in one
array of shape (..., 3, nx+1, ny+1, nz+1): face (a, i, j, k) of family a is the one on the low side of voxel (i, j, k).
Code is written for any array library with numpy's interface; what differs between them stands in `array_library`.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import scipy.fft
from numpy.typing import NDArray

from loopwright.fields.body.array_library import ArrayLibrary
from loopwright.fields.body.lattice import lattice_green_function
from loopwright.fields.body.transforms import Three

Array = Any  # any array library with numpy's interface


@dataclass(frozen=True, slots=True, kw_only=True)
class SpectralKernel:
    """The scalar Green function and the staggered differences on the padded grid, in Fourier space.

    ``scalar`` is the transform of the convolution kernel times the voxel volume, shape (Nx, 1, Ny, Nz) [m^2]; ``wave``
    is k0^2 times it, corrected for the dispersion of the grid [1]; both carry the factor 1/(Nx Ny Nz) of the transform
    back. ``forward`` holds the transform of the difference from a face to the next face along each axis,
    (exp(j theta) - 1)/h, ``backward`` of that from the face before, (1 - exp(-j theta))/h, shapes (Nx, 1, 1, 1),
    (1, 1, Ny, 1), (1, 1, 1, Nz) [1/m].
    """

    scalar: Array
    wave: Array
    forward: Three
    backward: Three
    spacing_m: float
    face_shape: tuple[int, int, int]
    library: ArrayLibrary

    @property
    def padded_shape(self) -> tuple[int, int, int]:
        """Shape of the padded grid."""
        nx, _, ny, nz = self.scalar.shape
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


def spectral_kernel(
    voxels: tuple[int, int, int], wavenumber_per_m: float, spacing_m: float, library: ArrayLibrary
) -> SpectralKernel:
    """Transform the Green function once for a grid.

    Parameters
    ----------
    voxels : (int, int, int)
        Voxels along each axis.
    wavenumber_per_m : float
        Free-space wavenumber. [1/m]
    spacing_m : float
        Edge of a voxel. [m]
    library : ArrayLibrary
        Where products will be done.

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
    padded = tuple(padded_length(count) for count in voxels)
    scalar = scipy.fft.fftn(_scalar_kernel(padded, wavenumber_per_m, spacing_m), norm="forward")[:, None]
    steps = [np.exp(2j * np.pi * np.fft.fftfreq(n)) for n in padded]
    axes = [(slice(None), None, None, None), (None, None, slice(None), None), (None, None, None, slice(None))]
    forward = [((step - 1) / spacing_m)[axis] for step, axis in zip(steps, axes, strict=True)]
    stiffness = sum(np.abs(difference) ** 2 for difference in forward) * spacing_m**2

    def placed(values: NDArray[np.complex128]) -> Array:
        return library.namespace.asarray(values.astype(np.complex64))

    return SpectralKernel(
        scalar=placed(scalar),
        wave=placed(wavenumber_per_m**2 * scalar / (1 + stiffness / 20)),
        forward=(placed(forward[0]), placed(forward[1]), placed(forward[2])),
        backward=(placed(-forward[0].conj()), placed(-forward[1].conj()), placed(-forward[2].conj())),
        spacing_m=spacing_m,
        face_shape=(voxels[0] + 1, voxels[1] + 1, voxels[2] + 1),
        library=library,
    )


Multiplier = Callable[[Three, SpectralKernel, slice], Three]


def convolve(faces: Array, kernel: SpectralKernel, multiplier: Multiplier) -> Array:
    """Apply a multiplier in Fourier space to sets of face components.

    Parameters
    ----------
    faces : array, shape (rows, 3, nx+1, ny+1, nz+1)
        Components on the three face families.
    kernel : SpectralKernel
        Of the same grid.
    multiplier : callable
        Takes transformed components, three of shape (Nx, rows, columns, Nz), the kernel and the slice of columns.

    Returns
    -------
    array, shape (rows, 3, nx+1, ny+1, nz+1)
    """
    transforms, padded = kernel.library.transforms, kernel.padded_shape
    xp = kernel.library.namespace
    x, y, z = (transforms.to_planes(xp.moveaxis(faces[:, axis], 0, 1), padded) for axis in range(3))
    planes = transforms.through_lines((x, y, z), padded, lambda lines, columns: multiplier(lines, kernel, columns))
    found = xp.stack([transforms.to_faces(part, kernel.face_shape) for part in planes])
    return xp.moveaxis(found, 2, 0)


def reply_multiplier(lines: Three, kernel: SpectralKernel, columns: slice) -> Three:
    """L = k0^2 S + grad div S, in Fourier space, the first term corrected for dispersion; overwrites the lines."""
    return kernel.library.reply(lines, (kernel.scalar, kernel.wave, *kernel.forward, *kernel.backward), columns)


def curl_multiplier(lines: Three, kernel: SpectralKernel, columns: slice) -> Three:
    """Curl of S, brought from the edges to the voxel centres to fourth order, in Fourier space."""
    h = kernel.spacing_m
    of_columns = (slice(None), slice(None), columns)
    forward = (kernel.forward[0], kernel.forward[1][of_columns], kernel.forward[2])
    backward = (kernel.backward[0], kernel.backward[1][of_columns], kernel.backward[2])
    potential = [kernel.scalar[of_columns] * line for line in lines]
    to_centre = [1 + h * d / 2 for d in forward]  # mean of a face and the next
    central = [d * m for d, m in zip(backward, to_centre, strict=True)]  # two-voxel difference at the centre
    # undo what averaging and differencing take off a smooth field, to the order h^2
    sharpen = [abs(d) ** 2 * h**2 for d in forward]
    curl = []
    for b, c in ((1, 2), (2, 0), (0, 1)):
        first = central[b] * to_centre[c] * (1 + sharpen[b] / 6 + sharpen[c] / 8)
        second = central[c] * to_centre[b] * (1 + sharpen[c] / 6 + sharpen[b] / 8)
        curl.append(first * potential[c] - second * potential[b])
    return curl[0], curl[1], curl[2]
