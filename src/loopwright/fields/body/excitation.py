"""Electric field that the array's currents impress on the voxel faces."""

from collections.abc import Callable, Sequence
from itertools import product
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.body.faces import CurrentFaces
from loopwright.fields.body.near_wires import near_polygon, near_wires
from loopwright.fields.body.wire_kernels import magnetic_rows_t, potential_rows_v, vector_rows_v_per_m
from loopwright.fields.wires.filament_fields import vector_potential_component
from loopwright.fields.wires.pieces import StraightWires
from loopwright.ground.constants import MU_0_H_PER_M, SPEED_OF_LIGHT_M_PER_S

# Within so many voxels of a wire the field varies over a face: it is averaged over the face.
_NEAR_IN_VOXELS = 1.0
# Points whose rows over the nodes are held at once: some tens of megabytes.
_ROWS_HELD = 2_000_000
Axis = Literal[0, 1, 2]
_AXES: tuple[Axis, ...] = (0, 1, 2)
_FACE_NODES, _FACE_WEIGHTS = np.polynomial.legendre.leggauss(3)


def impressed_field_of_loops_v_per_m(
    faces: CurrentFaces, loops_m: Sequence[NDArray[np.float64]]
) -> NDArray[np.complex64]:
    """Normal component of E_inc per ampere on every current face, for closed loops.

    Parameters
    ----------
    faces : CurrentFaces
        Where it is wanted.
    loops_m : sequence of ndarray, shape (vertices, 3)
        Closed polygons, first vertex not repeated. [m]

    Returns
    -------
    ndarray, shape (loops, faces)
        E_inc = -j w mu0 closed integral of g dl per ampere; a uniform current has no charge. [V/m per A]
    """
    omega = 2 * np.pi * faces.frequency_hz
    wavenumber = omega / SPEED_OF_LIGHT_M_PER_S
    centres = faces.centres_m()
    field = np.empty((len(loops_m), len(centres)), dtype=np.complex64)
    # Faces are sorted by the axis of their normal: those of one axis are one stretch.
    bounds = np.searchsorted(faces.families(), [0, 1, 2, 3])
    for axis, row in product(_AXES, range(len(loops_m))):
        own = slice(bounds[axis], bounds[axis + 1])

        def component(points: NDArray[np.float64], axis: Axis = axis, row: int = row) -> NDArray[np.complex128]:
            potential = vector_potential_component(points, loops_m[row], wavenumber, axis)
            return -1j * omega * MU_0_H_PER_M * potential

        field[row, own] = component(centres[own])
        near = bounds[axis] + np.flatnonzero(
            near_polygon(centres[own], loops_m[row], _NEAR_IN_VOXELS * faces.spacing_m)
        )
        if len(near):
            field[row, near] = _face_mean(component, centres[near], axis, faces.spacing_m)
    return field


def impressed_field_of_wires_v_per_m(
    faces: CurrentFaces, mesh: StraightWires, node_current: NDArray[np.complexfloating]
) -> NDArray[np.complex64]:
    """Normal component of E_inc on every current face, for currents of wires and the charges that they leave.

    Parameters
    ----------
    faces : CurrentFaces
        Where it is wanted.
    mesh : StraightWires
        All wires that carry current.
    node_current : ndarray, shape (nodes, rows)
        Current at every node; linear from node to node. [A]

    Returns
    -------
    ndarray, shape (rows, faces)
        -j w A - grad phi; the charge of a segment is what its ends' currents leave on it. [V/m]

    Notes
    -----
    The gradient is the difference of the potential between the two voxel centres. Taken at the face, it would not be
    free of curl on the grid, and eddy currents would find 1 % of their power in the field of charges.
    """
    currents = np.asarray(node_current, dtype=np.complex128)
    from_currents = _field_of_currents_v_per_m(faces, mesh, currents)
    return np.ascontiguousarray((from_currents + _field_of_charges_v_per_m(faces, mesh, currents)).T)


def _field_of_currents_v_per_m(
    faces: CurrentFaces, mesh: StraightWires, currents: NDArray[np.complex128]
) -> NDArray[np.complex64]:
    """Normal component of -j w A on the faces, shape (faces, rows)."""
    centres, families = faces.centres_m(), faces.families()
    near = near_wires(centres, mesh, _NEAR_IN_VOXELS * faces.spacing_m)
    field = np.empty((len(centres), currents.shape[1]), dtype=np.complex64)
    for axis in _AXES:

        def component(points: NDArray[np.float64], axis: Axis = axis) -> NDArray[np.complex128]:
            return np.asarray(vector_rows_v_per_m(points, mesh, faces.frequency_hz, axis) @ currents)

        for part in parts_of(np.flatnonzero((families == axis) & ~near), len(currents)):
            field[part] = component(centres[part])
        for part in parts_of(np.flatnonzero((families == axis) & near), len(currents)):
            field[part] = _face_mean(component, centres[part], axis, faces.spacing_m)
    return field


def _field_of_charges_v_per_m(
    faces: CurrentFaces, mesh: StraightWires, currents: NDArray[np.complex128]
) -> NDArray[np.complex64]:
    """Normal component of -grad phi on the faces, shape (faces, rows), from potentials of the voxels beside them."""
    low, high = faces.voxels_beside()
    voxels, place = np.unique(np.concatenate([low, high]), axis=0, return_inverse=True)
    centres = np.asarray(faces.origin_m) + faces.spacing_m * (voxels + 0.5)

    def potential(points: NDArray[np.float64]) -> NDArray[np.complex128]:
        return np.asarray(potential_rows_v(points, mesh, faces.frequency_hz) @ currents)

    near = near_wires(centres, mesh, _NEAR_IN_VOXELS * faces.spacing_m)
    found = np.empty((len(centres), currents.shape[1]), dtype=np.complex128)
    for part in parts_of(np.flatnonzero(~near), len(currents)):
        found[part] = potential(centres[part])
    for part in parts_of(np.flatnonzero(near), len(currents)):
        found[part] = _voxel_mean(potential, centres[part], faces.spacing_m)
    at_low, at_high = np.split(place.ravel(), 2)
    return np.asarray((found[at_low] - found[at_high]) / faces.spacing_m, dtype=np.complex64)


def magnetic_field_of_wires_t(
    points_m: NDArray[np.float64], mesh: StraightWires, node_current: NDArray[np.complexfloating], frequency_hz: float
) -> NDArray[np.complex64]:
    """Magnetic field of the wires' currents in free space, shape (rows, 3, points). [T]

    ``points_m`` is (points, 3) [m], ``node_current`` (nodes, rows) [A], ``frequency_hz`` in [Hz].
    """
    currents = np.asarray(node_current, dtype=np.complex128)
    field = np.empty((currents.shape[1], 3, len(points_m)), dtype=np.complex64)
    for part in parts_of(np.arange(len(points_m)), 3 * len(currents)):
        field[..., part] = np.moveaxis(magnetic_rows_t(points_m[part], mesh, frequency_hz) @ currents, 2, 0)
    return field


def parts_of(index: NDArray[np.intp], columns: int) -> list[NDArray[np.intp]]:
    """Cut an index into parts of which the rows fit into memory."""
    return np.array_split(index, -(-len(index) * columns // _ROWS_HELD)) if len(index) else []


def _face_mean(
    component: Callable[[NDArray[np.float64]], NDArray[np.complex128]],
    centres_m: NDArray[np.float64],
    axis: Axis,
    spacing_m: float,
) -> NDArray[np.complex128]:
    """Mean of a field's normal component over square faces, by a three-by-three Gauss rule."""
    parts = []
    first, second = (other for other in _AXES if other != axis)
    for u, weight_u in zip(_FACE_NODES, _FACE_WEIGHTS, strict=True):
        for v, weight_v in zip(_FACE_NODES, _FACE_WEIGHTS, strict=True):
            points = centres_m.copy()
            points[:, first] += u * spacing_m / 2
            points[:, second] += v * spacing_m / 2
            parts.append(weight_u * weight_v / 4 * component(points))
    return np.asarray(sum(parts))


def _voxel_mean(
    value: Callable[[NDArray[np.float64]], NDArray[np.complex128]], centres_m: NDArray[np.float64], spacing_m: float
) -> NDArray[np.complex128]:
    """Mean over voxels, by a three-by-three-by-three Gauss rule."""
    rule = list(zip(_FACE_NODES, _FACE_WEIGHTS, strict=True))
    return np.asarray(
        sum(
            weight_u * weight_v * weight_w / 8 * value(centres_m + np.array([u, v, w]) * spacing_m / 2)
            for (u, weight_u), (v, weight_v), (w, weight_w) in product(rule, rule, rule)
        )
    )
