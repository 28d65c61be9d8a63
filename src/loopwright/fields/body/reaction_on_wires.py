"""Voltage that the body's currents put along wires: the way back from :mod:`loopwright.fields.body.excitation`."""

import numpy as np
from numpy.typing import NDArray

from loopwright.fields.body.excitation import parts_of
from loopwright.fields.body.faces import CurrentFaces
from loopwright.fields.body.near_wires import near_wires
from loopwright.fields.body.wire_kernels import potential_rows_v, vector_rows_v_per_m
from loopwright.fields.wires.pieces import StraightWires
from loopwright.ground.constants import EPSILON_0_F_PER_M
from loopwright.ground.errors import OutsideModelError


def reaction_on_wires_ohm(
    faces: CurrentFaces, wires: StraightWires, body_currents_v_per_m: NDArray[np.complexfloating]
) -> NDArray[np.complex128]:
    """What currents in the body add to the impedance between each current of the wires and what drove them.

    Parameters
    ----------
    faces : CurrentFaces
        Faces that carry current.
    wires : StraightWires
        Wires outside the body, none nearer to a face than a voxel.
    body_currents_v_per_m : ndarray, shape (rows, faces)
        j = J/(j w eps0) per unit of what drove them. [V/m]

    Returns
    -------
    ndarray, shape (currents of the wires, rows)
        -integral E_n . J dV with the field E_n of a unit current n. [ohm]

    Raises
    ------
    OutsideModelError
        If a wire is that near.
    """
    centres, families = faces.centres_m(), faces.families()
    if near_wires(centres, wires, faces.spacing_m).any():
        raise OutsideModelError("a wire lies within a voxel of the body. Remedy: smaller voxels, or a wider bore.")
    rows = body_currents_v_per_m.astype(np.complex128).T
    currents = int(wires.next_node.max()) + 1
    found = np.zeros((currents, rows.shape[1]), dtype=np.complex128)
    for axis in (0, 1, 2):
        for part in parts_of(np.flatnonzero(families == axis), currents):
            found += vector_rows_v_per_m(centres[part], wires, faces.frequency_hz, axis).T @ rows[part]
    # The field of charges on a face is the difference of the potentials of the voxels beside it.
    low, high = faces.voxels_beside()
    voxels, place = np.unique(np.concatenate([low, high]), axis=0, return_inverse=True)
    charges = np.zeros((len(voxels), rows.shape[1]), dtype=np.complex128)
    np.add.at(charges, place.ravel(), np.concatenate([rows, -rows]) / faces.spacing_m)
    middles = np.asarray(faces.origin_m) + faces.spacing_m * (voxels + 0.5)
    for part in parts_of(np.arange(len(voxels)), currents):
        found += potential_rows_v(middles[part], wires, faces.frequency_hz).T @ charges[part]
    scale = -2j * np.pi * faces.frequency_hz * EPSILON_0_F_PER_M * faces.spacing_m**3
    return np.asarray(scale * found)
