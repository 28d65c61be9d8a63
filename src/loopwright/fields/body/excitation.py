"""Electric field that uniform loop currents impress on the voxel faces."""

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.body.faces import CurrentFaces
from loopwright.fields.wires.filament_fields import vector_potential_component
from loopwright.ground.constants import MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S

# Within so many voxels of a wire the field varies over a face: it is averaged over the face.
_NEAR_IN_VOXELS = 1.0
_AXES: tuple[Literal[0], Literal[1], Literal[2]] = (0, 1, 2)
_FACE_NODES, _FACE_WEIGHTS = np.polynomial.legendre.leggauss(3)


def impressed_field_v_per_m(faces: CurrentFaces, vertices_m: NDArray[np.float64]) -> NDArray[np.complex64]:
    """Normal component of E_inc per ampere on every current face, for one closed loop.

    Parameters
    ----------
    faces : CurrentFaces
        Where it is wanted.
    vertices_m : ndarray, shape (vertices, 3)
        Closed polygon, first vertex not repeated. [m]

    Returns
    -------
    ndarray, shape (faces,)
        E_inc = -j w mu0 closed integral of g dl per ampere; a uniform current has no charge. [V/m per A]
    """
    omega = 2 * np.pi * faces.frequency_hz
    wavenumber = omega / SPEED_OF_LIGHT_M_PER_S
    centres = faces.centres_m()
    families = faces.families()
    near = _near_polygon(centres, vertices_m, _NEAR_IN_VOXELS * faces.spacing_m)
    potential = np.empty(len(centres), dtype=np.complex128)
    for axis in _AXES:
        plain = (families == axis) & ~near
        potential[plain] = vector_potential_component(centres[plain], vertices_m, wavenumber, axis)
        close = (families == axis) & near
        if close.any():
            potential[close] = _face_mean(centres[close], vertices_m, wavenumber, axis, faces.spacing_m)
    return (-1j * omega * MU_0_H_PER_M * potential).astype(np.complex64)


def _face_mean(
    centres_m: NDArray[np.float64],
    vertices_m: NDArray[np.float64],
    wavenumber_per_m: float,
    axis: Literal[0, 1, 2],
    spacing_m: float,
) -> NDArray[np.complex128]:
    """Mean of the potential's normal component over square faces, by a three-by-three Gauss rule."""
    mean = np.zeros(len(centres_m), dtype=np.complex128)
    first, second = (other for other in _AXES if other != axis)
    for u, weight_u in zip(_FACE_NODES, _FACE_WEIGHTS, strict=True):
        for v, weight_v in zip(_FACE_NODES, _FACE_WEIGHTS, strict=True):
            points = centres_m.copy()
            points[:, first] += u * spacing_m / 2
            points[:, second] += v * spacing_m / 2
            part = vector_potential_component(points, vertices_m, wavenumber_per_m, axis)
            mean += weight_u * weight_v / 4 * part
    return mean


def _near_polygon(points_m: NDArray[np.float64], vertices_m: NDArray[np.float64], reach_m: float) -> NDArray[np.bool_]:
    """Which points lie within reach of the closed polygon, shape (points,)."""
    low, high = vertices_m.min(axis=0) - reach_m, vertices_m.max(axis=0) + reach_m
    near = np.all((points_m >= low) & (points_m <= high), axis=1)
    close = points_m[near]
    least = np.full(len(close), np.inf)
    for start, end in zip(vertices_m, np.roll(vertices_m, -1, axis=0), strict=True):
        side = end - start
        along = np.clip((close - start) @ side / (side @ side), 0.0, 1.0)
        np.minimum(least, np.linalg.norm(close - start - along[:, None] * side, axis=1), out=least)
    near[near] = least < reach_m
    return near
