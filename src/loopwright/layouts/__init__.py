"""Where do the elements of the array lie, how do they overlap, and how much room do their conductors have?

From the array of the brief and a body to a :class:`Layout`: explicit plane elements, or tilings that follow the skin
at a stand-off. Polygons of equal area stand for circles; crossing conductors stand on layers.
"""

from loopwright.layouts.arranging import arrange
from loopwright.layouts.coupling import Coupling, CouplingLeft
from loopwright.layouts.curved import DomeSkin, EllipsoidSkin, Feet
from loopwright.layouts.grounds import plate_of, skin_of
from loopwright.layouts.layout import Element, Layout
from loopwright.layouts.outlines import circle_outline_m, gap_nodes, square_outline_m
from loopwright.layouts.skins import ColumnSkin, FlatSkin, Skin
from loopwright.layouts.spreads import from_first_m, lattice_m, spread_directions

__all__ = [
    "ColumnSkin",
    "Coupling",
    "CouplingLeft",
    "DomeSkin",
    "Element",
    "EllipsoidSkin",
    "Feet",
    "FlatSkin",
    "Layout",
    "Skin",
    "arrange",
    "circle_outline_m",
    "from_first_m",
    "gap_nodes",
    "lattice_m",
    "plate_of",
    "skin_of",
    "spread_directions",
    "square_outline_m",
]
