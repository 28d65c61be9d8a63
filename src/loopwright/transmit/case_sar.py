"""Local SAR of the cases of a lie: a bound for every one, averages over 10 g for the few that may be the worst."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Body
from loopwright.fields.transmit import TransmitReply, amplitudes, electric_field_by_case_v_per_m
from loopwright.transmit.averaging import AveragingCubes, averaging_cubes, parts_along_voxel
from loopwright.transmit.lie import Lie
from loopwright.transmit.local_sar import LocalSar, cube_sar_of_cases_w_per_kg, local_sar, peak_bounds_w_per_kg
from loopwright.transmit.voxel_mass import voxel_mass_kg

__all__ = ["BOUND_LIMIT", "BodySar", "body_sar", "cases_cube_sar_w_per_kg", "sar_bounds_w_per_kg", "told_sar"]

Real = NDArray[np.float64]
Complexes = NDArray[np.complex128]

BOUND_LIMIT = (
    "The bound of a case adds, without regard to phase, the fields of all currents by which it departs from the "
    "condition it belongs to, each with its largest average of the cubes round a voxel: no average lies above it."
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BodySar:
    """Averages over 10 g on one body without any array.

    Attributes
    ----------
    body : Body
    cubes : AveragingCubes
    without_w_per_kg : ndarray, shape (cubes,)
        At the amplitude of B1+ asked for. [W/kg]
    amplitude_t : float
        That amplitude. [T]
    """

    body: Body
    cubes: AveragingCubes
    without_w_per_kg: Real
    amplitude_t: float

    @property
    def peak_w_per_kg(self) -> float:
        """The largest. [W/kg]"""
        return float(self.without_w_per_kg.max())

    @property
    def peak_place_m(self) -> tuple[float, float, float]:
        """Middle of its cube. [m]"""
        at = int(np.argmax(self.without_w_per_kg))
        x, y, z = self.cubes.centre_m(self.body.grid.origin_m)[at].tolist()
        return x, y, z


def body_sar(body: Body, alone: TransmitReply, *, amplitude_t: float) -> BodySar:
    """Average the field without array.

    Parameters
    ----------
    body : Body
    alone : TransmitReply
        That body in the field.
    amplitude_t : float
        Of B1+; the rms of a sequence gives its mean SAR. [T]
    """
    spacing_m = body.grid.spacing_m
    cubes = averaging_cubes(
        voxel_mass_kg(body), body.voxel_cover(), spacing_m=spacing_m, parts=parts_along_voxel(spacing_m)
    )
    (without,) = _cube_sar(body, cubes, alone, np.array([[amplitude_t]], dtype=np.complex128))
    return BodySar(body=body, cubes=cubes, without_w_per_kg=without, amplitude_t=amplitude_t)


def sar_bounds_w_per_kg(lie: Lie, sar: BodySar, port_current_a_per_t: Complexes, *, base: Sequence[int]) -> Real:
    """What the largest average of each case cannot exceed.

    Parameters
    ----------
    lie : Lie
    sar : BodySar
        Cubes and amplitude.
    port_current_a_per_t : ndarray, shape (cases, P)
        Of every case. [A/T]
    base : sequence of int
        Case from which each is taken to depart; of a case itself its own number.

    Returns
    -------
    ndarray, shape (cases,)
        [W/kg]
    """
    x = sar.amplitude_t * amplitudes(lie.reply, port_current_a_per_t)
    bases = list(dict.fromkeys(base))
    unit = np.concatenate([np.eye(x.shape[1])[:-1], x[bases]])
    groups = _groups(sar.cubes)
    rows = np.array([_highest(row, groups) for row in _each_cube_sar(lie, sar, unit)])
    places = [bases.index(one) for one in base]
    size = np.concatenate([np.abs(x - x[list(base)])[:, :-1], np.eye(len(bases))[places]], axis=1)
    return peak_bounds_w_per_kg(rows, size)


def cases_cube_sar_w_per_kg(lie: Lie, sar: BodySar, port_current_a_per_t: Complexes) -> Iterator[Real]:
    """Average over every cube, case after case, for currents at the gaps (cases, P) [A/T], each (cubes,). [W/kg]"""
    return _each_cube_sar(lie, sar, sar.amplitude_t * amplitudes(lie.reply, port_current_a_per_t))


def told_sar(sar: BodySar, cube_sar_w_per_kg: Real) -> LocalSar:
    """The largest average of a case, from that over every cube [W/kg], beside the body without array."""
    return local_sar(sar.body, sar.cubes, cube_sar_w_per_kg, sar.without_w_per_kg)


def _each_cube_sar(lie: Lie, sar: BodySar, amplitude: Complexes) -> Iterator[Real]:
    return _cube_sar(lie.body, sar.cubes, lie.reply, amplitude)


def _cube_sar(body: Body, cubes: AveragingCubes, reply: TransmitReply, amplitude: Complexes) -> Iterator[Real]:
    """Average over every cube, one row of amplitudes after the other: all of them together would fill the memory."""
    voxels = body.voxel_cover() > 0
    for field in electric_field_by_case_v_per_m(reply, body, amplitude):
        yield from cube_sar_of_cases_w_per_kg(body, cubes, voxels, [field])


def _groups(cubes: AveragingCubes) -> NDArray[np.int64]:
    """Number of the whole voxel whose parts own each cube, counted without holes."""
    whole = cubes.voxel // cubes.parts
    return np.asarray(np.unique(whole, axis=0, return_inverse=True)[1].ravel(), dtype=np.int64)


def _highest(values: Real, groups: NDArray[np.int64]) -> Real:
    found = np.zeros(int(groups.max()) + 1)
    np.maximum.at(found, groups, values)
    return found
