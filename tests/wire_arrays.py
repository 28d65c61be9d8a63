"""Dressed layouts of plain polygons, for tests of the wires' network."""

from collections.abc import Sequence

import numpy as np

from loopwright.conductors import CrossSection, DressedLayout, RoundWire
from loopwright.layouts import Element, Layout

COPPER = 5.80e7


def dressed(polygons, *, section: CrossSection | None = None, gaps: int | Sequence[int] = 4) -> DressedLayout:
    """Array of polygons with so many equally spaced gaps each, or gaps at given corners."""

    def gap_nodes(corners):
        return tuple(range(0, corners, corners // gaps)[:gaps]) if isinstance(gaps, int) else tuple(gaps)

    elements = tuple(
        Element(
            name=f"E{number:02d}",
            shape="circle",
            size_m=float(np.ptp(polygon, axis=0).max()),
            centre_m=tuple(polygon.mean(axis=0)),
            normal=(0.0, 0.0, 1.0),
            vertices_m=polygon,
            gap_nodes=gap_nodes(len(polygon)),
            layer=0,
        )
        for number, polygon in enumerate(polygons, start=1)
    )
    return DressedLayout(
        layout=Layout(
            elements=elements,
            neighbours=(),
            neighbour_distance_m=(),
            least_skin_distance_m=1.0,
            least_conductor_distance_m=None,
            notes=(),
        ),
        cross_section=section or RoundWire(diameter_m=1e-3, conductivity_s_per_m=COPPER),
        capacitor_q=1500.0,
        other_series_resistance_ohm=0.0,
    )
