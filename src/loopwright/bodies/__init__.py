"""Which body lies in the scanner, of what is it made, and how does it fill the grid on which it is solved?

From the body of the brief and a frequency to a :class:`Body`: tissues by the four-term dispersion of Gabriel et al.
1996, shapes given by formulas, and the exact share of every voxel and face that each tissue fills.
"""

from loopwright.bodies.placing import place, solid_of, tissues_of
from loopwright.bodies.quadrics import Block, Ellipsoid, EllipticColumn, Quadric
from loopwright.bodies.solids import (
    AIR,
    Region,
    Solid,
    layered_ellipsoid,
    layered_elliptic_cylinder,
    layered_slab,
    layered_sphere,
)
from loopwright.bodies.tissues import Tissue, cole_cole_permittivity, tissue_at
from loopwright.bodies.trunk import child_trunk
from loopwright.bodies.voxels import Body, VoxelGrid, face_fractions, grid_around, voxel_fractions, voxelise

__all__ = [
    "AIR",
    "Block",
    "Body",
    "Ellipsoid",
    "EllipticColumn",
    "Quadric",
    "Region",
    "Solid",
    "Tissue",
    "VoxelGrid",
    "child_trunk",
    "cole_cole_permittivity",
    "face_fractions",
    "grid_around",
    "layered_ellipsoid",
    "layered_elliptic_cylinder",
    "layered_slab",
    "layered_sphere",
    "place",
    "solid_of",
    "tissue_at",
    "tissues_of",
    "voxel_fractions",
    "voxelise",
]
