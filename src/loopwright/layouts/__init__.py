"""Where do the elements of the array lie, how do they overlap, and how much room do their conductors have?

From the array of the brief and a body to a :class:`Layout`: explicit plane elements, or tilings that follow the skin
at a stand-off. Polygons of equal area stand for circles; crossing conductors stand on layers. Elements may then be
misplaced a little, bent, or stretched.
"""

from loopwright.layouts.arranging import arrange
from loopwright.layouts.coupling import Coupling, CouplingLeft
from loopwright.layouts.curved import DomeSkin, EllipsoidSkin, Feet
from loopwright.layouts.flexing import Bend, Flex, Girth, Stretch, flex_displacement_m, flexed
from loopwright.layouts.grounds import plate_of, skin_of
from loopwright.layouts.layout import Element, Layout
from loopwright.layouts.mesh_skin import MeshSkin, mesh_skin
from loopwright.layouts.moving import PlacementMoves, moved_elements, placement_moves
from loopwright.layouts.outlines import circle_outline_m, gap_nodes, square_outline_m
from loopwright.layouts.skins import ColumnSkin, FlatSkin, Skin
from loopwright.layouts.spreads import from_first_m, lattice_m, spread_directions
from loopwright.layouts.strain import NeighbourBend, StrainMap, neighbours_bent, strain_map

__all__ = [
    "Bend",
    "ColumnSkin",
    "Coupling",
    "CouplingLeft",
    "DomeSkin",
    "Element",
    "EllipsoidSkin",
    "Feet",
    "FlatSkin",
    "Flex",
    "Girth",
    "Layout",
    "MeshSkin",
    "NeighbourBend",
    "PlacementMoves",
    "Skin",
    "StrainMap",
    "Stretch",
    "arrange",
    "circle_outline_m",
    "flex_displacement_m",
    "flexed",
    "from_first_m",
    "gap_nodes",
    "lattice_m",
    "mesh_skin",
    "moved_elements",
    "neighbours_bent",
    "placement_moves",
    "plate_of",
    "skin_of",
    "spread_directions",
    "square_outline_m",
    "strain_map",
]
