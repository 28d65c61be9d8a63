"""The elements of an array in the body frame."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.layouts.coupling import CouplingLeft
from loopwright.layouts.curved import Feet
from loopwright.layouts.skins import Skin

Real = NDArray[np.float64]
Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Element:
    """One receive element, by the centre-line of its conductor.

    ``size_m`` is the diameter or side as drawn flat; ``vertices_m`` (segments, 3) is closed, without its first point
    repeated, and runs right-handed about ``normal``, which points away from the body; ``gap_nodes`` are the vertices at
    which the gaps (ports) sit. Elements that cross stand on different layers, 0 being the closest to the skin.
    """

    name: str
    shape: str
    size_m: float
    centre_m: Triple
    normal: Triple
    vertices_m: Real
    gap_nodes: tuple[int, ...]
    layer: int = 0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawn:
    """How a tiling was drawn before it was laid: its skin, the foot and the stand-off of each element.

    ``stand_offs_m`` is (elements,) [m]. A patch was drawn about one foot, ``middle``, with its centres at ``centres_m``
    (elements, 2) [m]; on a whole span there is no one drawing, and both are None.
    """

    skin: Skin
    feet: Feet
    stand_offs_m: Real
    middle: Feet | None = None
    centres_m: Real | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """All elements of an array.

    ``neighbours`` are pairs of element indices in the nearest ring, and ``neighbour_distance_m`` the distances of their
    centres: along the surface within a tiling, straight for explicit elements and between pieces.
    ``least_conductor_distance_m`` is None for a single element. ``centres_past_ends`` counts elements whose centre lies
    beside the cut ends of a column, where there is nothing to load them. ``coupling_left`` holds the coefficients of
    the neighbours where somebody told how elements couple. ``drawn`` is how a single tiling was drawn.
    """

    elements: tuple[Element, ...]
    neighbours: tuple[tuple[int, int], ...]
    neighbour_distance_m: tuple[float, ...]
    least_skin_distance_m: float
    least_conductor_distance_m: float | None
    notes: tuple[str, ...]
    coupling_left: CouplingLeft | None = None
    centres_past_ends: int = 0
    drawn: Drawn | None = None

    @property
    def height_m(self) -> float:
        """How far the array reaches along z, from centre-line to centre-line. [m]"""
        return float(np.ptp(np.concatenate([element.vertices_m[:, 2] for element in self.elements])))

    @property
    def overlaps(self) -> tuple[float, ...]:
        """Centre distance over mean size, for each pair of neighbours. [1]"""
        return tuple(
            distance / ((self.elements[i].size_m + self.elements[j].size_m) / 2)
            for (i, j), distance in zip(self.neighbours, self.neighbour_distance_m, strict=True)
        )
