"""Where do the elements of the array lie, how do they overlap, and how much room do their conductors have?

From the array of the brief and a body to a :class:`Layout`: explicit plane elements, or tilings that follow the skin
at a stand-off. Polygons of equal area stand for circles; crossing conductors stand on layers. Elements may then be
misplaced a little, bent, or stretched; a printed film is laid on a body without stretch.
"""

from loopwright.layouts.arranging import arrange, arrange_on
from loopwright.layouts.coupling import Coupling, CouplingLeft
from loopwright.layouts.curved import DomeSkin, EllipsoidSkin, Feet, turned_foot
from loopwright.layouts.films.coverable import covered_surface, placement_towards
from loopwright.layouts.films.developable import FilmSkin
from loopwright.layouts.films.gaps import FilmGaps, film_gaps
from loopwright.layouts.films.gores import GorePlan, fewest_gores
from loopwright.layouts.films.grids import FilmGrid, film_grid, within_outline
from loopwright.layouts.films.hull import Rulings, taut_over
from loopwright.layouts.films.laid import FilmPlacement, LaidFilm, film_laid, film_laid_strain, film_notes
from loopwright.layouts.films.pattern import (
    FilmPattern,
    FlatElement,
    conductor_edges_m,
    elements_at,
    elements_cut,
    elements_laid_flat,
    flat_element,
    pattern_of,
)
from loopwright.layouts.films.slits import SlitPlan, fewest_slits
from loopwright.layouts.films.stack import FilmStack, StackLayer
from loopwright.layouts.films.strains import FilmStrain, film_strain
from loopwright.layouts.films.strips import disc_strain, strip_strain
from loopwright.layouts.films.under_tilings import drawn_flat, film_under
from loopwright.layouts.flexing import Bend, Flex, Girth, Stretch, flex_displacement_m, flexed
from loopwright.layouts.grounds import plate_of, skin_of
from loopwright.layouts.layout import Drawn, Element, Layout
from loopwright.layouts.mesh_skin import MeshSkin, mesh_skin
from loopwright.layouts.moving import PlacementMoves, moved_elements, placement_moves
from loopwright.layouts.outlines import circle_outline_m, gap_nodes, outline_m, square_outline_m
from loopwright.layouts.skins import ColumnSkin, FlatSkin, Skin
from loopwright.layouts.spreads import from_first_m, lattice_m, spread_directions
from loopwright.layouts.strain import NeighbourBend, neighbours_bent

__all__ = [
    "Bend",
    "ColumnSkin",
    "Coupling",
    "CouplingLeft",
    "DomeSkin",
    "Drawn",
    "Element",
    "EllipsoidSkin",
    "Feet",
    "FilmGaps",
    "FilmGrid",
    "FilmPattern",
    "FilmPlacement",
    "FilmSkin",
    "FilmStack",
    "FilmStrain",
    "FlatElement",
    "FlatSkin",
    "Flex",
    "Girth",
    "GorePlan",
    "LaidFilm",
    "Layout",
    "MeshSkin",
    "NeighbourBend",
    "PlacementMoves",
    "Rulings",
    "Skin",
    "SlitPlan",
    "StackLayer",
    "Stretch",
    "arrange",
    "arrange_on",
    "circle_outline_m",
    "conductor_edges_m",
    "covered_surface",
    "disc_strain",
    "drawn_flat",
    "elements_at",
    "elements_cut",
    "elements_laid_flat",
    "fewest_gores",
    "fewest_slits",
    "film_gaps",
    "film_grid",
    "film_laid",
    "film_laid_strain",
    "film_notes",
    "film_strain",
    "film_under",
    "flat_element",
    "flex_displacement_m",
    "flexed",
    "from_first_m",
    "gap_nodes",
    "lattice_m",
    "mesh_skin",
    "moved_elements",
    "neighbours_bent",
    "outline_m",
    "pattern_of",
    "placement_moves",
    "placement_towards",
    "plate_of",
    "skin_of",
    "spread_directions",
    "square_outline_m",
    "strip_strain",
    "taut_over",
    "turned_foot",
    "within_outline",
]
