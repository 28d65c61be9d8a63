"""Local SAR: averages over ten grams, with the array and without it, and which states need them at all.

Field rows are those of one field solution: one for every source of the array and one for the transmit field, so that a
case is the sum of the rows times its amplitudes. All is in peak phasors: fields scaled to an amplitude of B1+ that is
the B1+rms of a sequence give its mean SAR.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Body
from loopwright.transmit.averaging import CUBE_RULE, AveragingCubes, cube_sar_w_per_kg

__all__ = [
    "LOCAL_SAR_LIMITS",
    "LocalSar",
    "WorstCases",
    "cube_sar_of_cases_w_per_kg",
    "local_sar",
    "peak_bounds_w_per_kg",
    "peak_uncertainty",
    "power_in_voxels_w",
    "worst_by_bound",
]

Real = NDArray[np.float64]

#: Bytes of products worked on at once: bounds the memory without changing any result.
_CHUNK_BYTES = 48e6

#: Edge of voxels [m], and how far off the exact one the largest average beside a loop was found (5, 10, 21 %), with
#: room for the 2 % by which the exact fields' own averages still change between grids of 4 and 2.5 mm.
_MEASURED = ((5e-3, 0.06), (7.5e-3, 0.12), (10e-3, 0.25))

#: What local SAR may be quoted for, as the dossier prints it.
LOCAL_SAR_LIMITS = (
    f"Averages over 10 g follow the cube rule {CUBE_RULE}.",
    (
        "The field in voxels that the skin cuts is fitted to the faces near it: in a sphere of 10 mm voxels beside a "
        "loop it is 7 to 11 % off over all of them, in single ones more. Only means over cubes of 20 mm and more are "
        "told, never the SAR of a voxel."
    ),
    (
        "The largest average was held against exact fields in a sphere: in a uniform field it lies within 6 % with "
        "voxels of 4 to 10 mm; beside a loop whose wire is 10 mm off the skin it comes out too low, by up to 5 % with "
        "voxels of 5 mm, 10 % with 7.5 mm and 21 % with 10 mm, and is told as uncertain by 6, 12 and 25 %. Nearer "
        "wires were not tried. Tissue properties and the shape of the patient are not in it."
    ),
    "Tissue that touches a cut of the model counts as tissue at a surface.",
    (
        "Limits for local SAR are written for local transmit coils. For a receive array in the field of a body "
        "resonator read the ratio with and without the array; whether anything gets too hot is a matter of temperature."
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LocalSar:
    """The largest 10 g average of one case, and what stands there without the array.

    Attributes
    ----------
    peak_w_per_kg : float
        Of the case. [W/kg]
    place_m : tuple of float
        Centre of its cube, in the body frame. [m]
    cube_side_m : float
        [m]
    same_cube_without_w_per_kg : float
        Of the same cube without the array. [W/kg]
    peak_without_w_per_kg : float
        The largest anywhere without the array. [W/kg]
    """

    peak_w_per_kg: float
    place_m: tuple[float, float, float]
    cube_side_m: float
    same_cube_without_w_per_kg: float
    peak_without_w_per_kg: float

    @property
    def ratio(self) -> float:
        """Largest average with the array over the largest without it, wherever either lies."""
        return self.peak_w_per_kg / self.peak_without_w_per_kg


@dataclass(frozen=True, slots=True, kw_only=True)
class WorstCases:
    """The cases with the largest peaks, as far as their bounds had to be followed up.

    Attributes
    ----------
    cases : tuple of int
        Those that were averaged, the largest peak first.
    peaks_w_per_kg : tuple of float
        Of each of them. [W/kg]
    no_other_above_w_per_kg : float
        Bound on every case that was not averaged; zero where none is left. [W/kg]
    """

    cases: tuple[int, ...]
    peaks_w_per_kg: tuple[float, ...]
    no_other_above_w_per_kg: float

    @property
    def certain(self) -> int:
        """How many of the cases, from the first, are the worst of all for certain."""
        return sum(peak >= self.no_other_above_w_per_kg for peak in self.peaks_w_per_kg)


def power_in_voxels_w(body: Body, voxels: NDArray[np.bool_], field_v_per_m: NDArray[np.complexfloating]) -> Real:
    """Mean power that the tissue of every voxel absorbs.

    Parameters
    ----------
    body : Body
        On its grid.
    voxels : ndarray of bool, shape (nx, ny, nz)
        Those in which the field is told, V in all.
    field_v_per_m : ndarray, shape (rows, 3, V)
        Electric field in their tissue, peak phasors, in the order of the grid. [V/m]

    Returns
    -------
    ndarray, shape (rows, nx, ny, nz)
        sigma |E|^2 / 2 over the voxel, each tissue by its share; zero where no field is told. [W]
    """
    square = (np.abs(field_v_per_m) ** 2).sum(axis=1, dtype=np.float64)
    power = np.zeros((len(square), *voxels.shape))
    power[:, voxels] = 0.5 * body.grid.voxel_volume_m3 * body.conductivity_s_per_m()[voxels] * square
    return power


def cube_sar_of_cases_w_per_kg(
    body: Body,
    cubes: AveragingCubes,
    voxels: NDArray[np.bool_],
    fields_v_per_m: Iterable[NDArray[np.complexfloating]],
) -> Real:
    """Mean SAR over every cube, field after field.

    Parameters
    ----------
    body : Body
        On its grid.
    cubes : AveragingCubes
        Of that body.
    voxels : ndarray of bool, shape (nx, ny, nz)
        Those in which the fields are told, V in all.
    fields_v_per_m : iterable of ndarray, shape (3, V)
        Electric field of one case or row after the other, peak phasors. [V/m]

    Returns
    -------
    ndarray, shape (cases, cubes)
        [W/kg]
    """
    return np.array(
        [cube_sar_w_per_kg(cubes, power_in_voxels_w(body, voxels, field[None]))[0] for field in fields_v_per_m]
    )


def peak_uncertainty(spacing_m: float) -> float | None:
    """Uncertainty of the largest average by the voxels of the solution, over the average; one half-width.

    Parameters
    ----------
    spacing_m : float
        Edge of the voxels. [m]

    Returns
    -------
    float or None
        [1] None for voxels of more than 10 mm, which were not measured.

    Notes
    -----
    From the largest error found in a sphere of 0.1 m beside loops of 40 mm radius whose wire is 10 mm off it, against
    the exact series. It holds for one field; a ratio of two fields in one body may be better or worse.
    """
    return next((share for edge_m, share in _MEASURED if spacing_m <= edge_m * (1 + 1e-6)), None)


def local_sar(body: Body, cubes: AveragingCubes, sar_w_per_kg: Real, without_w_per_kg: Real) -> LocalSar:
    """The largest average of one case beside the field without the array.

    Parameters
    ----------
    body : Body
        On its grid.
    cubes : AveragingCubes
        Of that body.
    sar_w_per_kg, without_w_per_kg : ndarray, shape (cubes,)
        Mean over every cube in the case, and of the transmit field on the body without any array. [W/kg]
    """
    at = int(np.argmax(sar_w_per_kg))
    x, y, z = cubes.centre_m(body.grid.origin_m)[at].tolist()
    return LocalSar(
        peak_w_per_kg=float(sar_w_per_kg[at]),
        place_m=(x, y, z),
        cube_side_m=float(cubes.side_m()[at]),
        same_cube_without_w_per_kg=float(without_w_per_kg[at]),
        peak_without_w_per_kg=float(without_w_per_kg.max()),
    )


def peak_bounds_w_per_kg(row_sar_w_per_kg: Real, amplitudes: NDArray[np.number]) -> Real:
    """What the largest average of each case cannot exceed, from the averages of the rows alone.

    Parameters
    ----------
    row_sar_w_per_kg : ndarray, shape (rows, cubes)
        Mean over every cube of each row at unit amplitude. [W/kg]
    amplitudes : ndarray, shape (cases, rows)
        Of every row in every case.

    Returns
    -------
    ndarray, shape (cases,)
        Largest over the cubes of (sum over rows of abs(amplitude) sqrt(SAR of the row))^2. [W/kg]

    Notes
    -----
    The square root of the mean SAR over a cube is a norm of the field in it, so that of a sum of fields is at most the
    sum of theirs (triangle inequality). Taken cube by cube it is closer than one made of the rows' own peaks, which lie
    in different places. It forgets phases: where many elements carry much current it may be several times too large.
    """
    size = np.abs(amplitudes).astype(np.float64)
    largest = np.zeros(len(size))
    step = max(1, int(_CHUNK_BYTES / (8 * max(size.shape))))
    for first in range(0, row_sar_w_per_kg.shape[1], step):
        root = np.sqrt(row_sar_w_per_kg[:, first : first + step])
        largest = np.maximum(largest, (size @ root).max(axis=1))
    return np.asarray(largest**2)


def worst_by_bound(
    bounds_w_per_kg: Real, peak_w_per_kg: Callable[[int], float], *, worst: int, most: int
) -> WorstCases:
    """The cases with the largest peaks, averaging only those whose bounds leave it open.

    Parameters
    ----------
    bounds_w_per_kg : ndarray, shape (cases,)
        Above which no peak lies. [W/kg]
    peak_w_per_kg : callable
        Peak of a case, by its number. [W/kg]
    worst : int
        How many cases shall be known to be the worst.
    most : int
        At most so many are averaged, even if the bounds then leave something open.

    Returns
    -------
    WorstCases
        With ``certain`` of them known to be the worst: ``worst`` or more, unless ``most`` cut it short.
    """
    order = np.argsort(-bounds_w_per_kg, kind="stable")
    peaks: dict[int, float] = {}
    for case in order[:most].tolist():
        sure = [peak for peak in peaks.values() if peak >= bounds_w_per_kg[case]]
        if len(sure) >= worst:
            break
        peaks[case] = peak_w_per_kg(case)
    left = order[len(peaks) :]
    ranked = sorted(peaks, key=lambda case: -peaks[case])
    return WorstCases(
        cases=tuple(ranked),
        peaks_w_per_kg=tuple(peaks[case] for case in ranked),
        no_other_above_w_per_kg=float(bounds_w_per_kg[left[0]]) if len(left) else 0.0,
    )
