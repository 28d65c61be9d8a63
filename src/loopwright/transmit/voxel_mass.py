"""Mass of a body on its grid."""

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import Body
from loopwright.ground.errors import OutsideModelError

__all__ = ["voxel_mass_kg"]


def voxel_mass_kg(body: Body) -> NDArray[np.float64]:
    """Mass of the tissue in every voxel, by shares.

    Parameters
    ----------
    body : Body
        On its grid.

    Returns
    -------
    ndarray, shape (nx, ny, nz)
        [kg]

    Raises
    ------
    OutsideModelError
        If a tissue that the body holds has no density.
    """
    missing = [
        tissue.name
        for tissue, share in zip(body.tissues, body.voxel_fraction, strict=True)
        if not tissue.density_kg_per_m3 and share.any()
    ]
    if missing:
        raise OutsideModelError(
            f"{body.name}: SAR is per mass, but no density is known of {', '.join(missing)}. "
            "Give the tissue a density in the brief, or take one of the packaged tissues, which have theirs."
        )
    density = np.array([tissue.density_kg_per_m3 or 0.0 for tissue in body.tissues])
    return np.asarray(np.tensordot(density, body.voxel_fraction, axes=1) * body.grid.voxel_volume_m3)
