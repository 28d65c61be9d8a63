"""Which body lies in the scanner, of what is it made, and how does it fill the grid on which it is solved?

From the body of the brief and a frequency to a :class:`Body`: tissues by the four-term dispersion of Gabriel et al.
1996, shapes given by formulas or triangles, and the exact share of every voxel and face that each tissue fills.
"""

from loopwright.bodies.head import head
from loopwright.bodies.limb import limb
from loopwright.bodies.meshes import MeshShape
from loopwright.bodies.offsets import inner_surface
from loopwright.bodies.placing import place, solid_of, tissues_of
from loopwright.bodies.quadrics import Block, Dome, Ellipsoid, EllipticColumn, Quadric
from loopwright.bodies.solids import (
    AIR,
    Region,
    Solid,
    layered_ellipsoid,
    layered_elliptic_cylinder,
    layered_slab,
    layered_sphere,
    layered_surface,
)
from loopwright.bodies.tissues import Tissue, cole_cole_permittivity, tissue_at
from loopwright.bodies.trunk import trunk, trunk_with_arms
from loopwright.bodies.voxels import (
    Body,
    VoxelGrid,
    dominant_tissue,
    face_fractions,
    grid_around,
    voxel_fractions,
    voxelise,
)

__all__ = [
    "AIR",
    "Block",
    "Body",
    "Dome",
    "Ellipsoid",
    "EllipticColumn",
    "MeshShape",
    "Quadric",
    "Region",
    "Solid",
    "Tissue",
    "VoxelGrid",
    "cole_cole_permittivity",
    "dominant_tissue",
    "face_fractions",
    "grid_around",
    "head",
    "inner_surface",
    "layered_ellipsoid",
    "layered_elliptic_cylinder",
    "layered_slab",
    "layered_sphere",
    "layered_surface",
    "limb",
    "place",
    "solid_of",
    "tissue_at",
    "tissues_of",
    "trunk",
    "trunk_with_arms",
    "voxel_fractions",
    "voxelise",
]
