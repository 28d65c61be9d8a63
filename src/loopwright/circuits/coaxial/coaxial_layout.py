"""Coaxial elements and layouts: elements wound along laid-out centre-lines, and shields laid out as conductors."""

from collections.abc import Sequence
from math import pi

import numpy as np

from loopwright.circuits.coaxial.coaxial_element import CoaxialElement
from loopwright.conductors.coaxial_line import CoaxialCable, outside_wire
from loopwright.conductors.dressed_layout import DressedLayout
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import Element, Layout
from loopwright.layouts.windings import places_along

__all__ = ["coaxial_elements", "dressed_coaxial", "elements_of"]


def coaxial_elements(layout: Layout, cable: CoaxialCable) -> tuple[CoaxialElement, ...]:
    """Wind the elements of a layout of a cable: its gaps in the shield, a cut half-way to the next.

    Parameters
    ----------
    layout : Layout
        Elements with their gaps.
    cable : CableFromDimensions or CableFromDataSheet

    Returns
    -------
    tuple of CoaxialElement
    """
    return tuple(_wound(element, cable) for element in layout.elements)


def elements_of(dressed: DressedLayout) -> tuple[CoaxialElement, ...]:
    """Elements of a layout that is dressed in cable.

    Raises
    ------
    OutsideModelError
        If it is of another conductor.
    """
    if dressed.cable is None:
        raise OutsideModelError("only a layout of coaxial cable has coaxial elements")
    return coaxial_elements(dressed.layout, dressed.cable)


def _wound(element: Element, cable: CoaxialCable) -> CoaxialElement:
    vertices = np.asarray(element.vertices_m)
    gap_nodes = tuple(sorted(element.gap_nodes))
    places = places_along(vertices)[list(gap_nodes)]
    halfway = (places + np.append(places[1:], places[0] + 1)) / 2
    chords_m = float(np.linalg.norm(np.roll(vertices, -1, axis=0) - vertices, axis=1).sum())
    # A polygon of the area of a circle is longer than the circle.
    corner = pi / len(vertices)
    longer = float(np.sqrt(np.tan(corner) / corner)) if element.shape == "circle" else 1.0
    return CoaxialElement(
        cable=cable,
        vertices_m=vertices,
        length_m=chords_m / longer,
        gap_nodes=gap_nodes,
        cut_places=tuple(float(place) for place in halfway),
    )


def dressed_coaxial(elements: Sequence[CoaxialElement]) -> DressedLayout:
    """Lay out the shields' outsides for the conductors' network.

    Parameters
    ----------
    elements : sequence of CoaxialElement
        All of one cable.

    Returns
    -------
    DressedLayout
        Ports at the gaps of the shields, element after element.

    Raises
    ------
    OutsideModelError
        If cables differ.
    """
    if any(element.cable != elements[0].cable for element in elements):
        raise OutsideModelError("all coaxial elements of one network must be of one cable")
    return DressedLayout(
        layout=Layout(
            elements=tuple(_laid(number, element) for number, element in enumerate(elements, start=1)),
            neighbours=(),
            neighbour_distance_m=(),
            least_skin_distance_m=np.inf,
            least_conductor_distance_m=None,
            notes=(),
        ),
        cross_section=outside_wire(elements[0].cable),
        capacitor_q=np.inf,
        other_series_resistance_ohm=0.0,
        cable=elements[0].cable,
    )


def _laid(number: int, element: CoaxialElement) -> Element:
    centre = element.vertices_m.mean(axis=0)
    return Element(
        name=f"coaxial {number}",
        shape="coaxial line",
        size_m=float(np.ptp(element.vertices_m, axis=0).max()),
        centre_m=(float(centre[0]), float(centre[1]), float(centre[2])),
        normal=(0.0, 0.0, 1.0),
        vertices_m=element.vertices_m,
        gap_nodes=element.gap_nodes,
    )
