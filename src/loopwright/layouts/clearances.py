"""How far conductors stand off the skin and off each other, in sentences."""

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies import EllipticColumn, Solid
from loopwright.layouts.grounds import Triangulated
from loopwright.layouts.layout import Element

__all__ = ["centres_past_ends", "fit_notes", "room_note"]

Real = NDArray[np.float64]


def fit_notes(elements: tuple[Element, ...], solid: Solid) -> tuple[str, ...]:
    """How far off the skin nodes of the conductors stand on a body of triangles, whose hollows a carrier bridges."""
    if not isinstance(solid.skin, Triangulated):
        return ()
    away = -solid.depth_m(np.concatenate([element.vertices_m for element in elements])) * 1e3
    least, middle, most_of, most = np.quantile(away, [0.0, 0.5, 0.95, 1.0])
    told = (
        f"Nodes of the conductors stand {least:.1f} mm to {most:.1f} mm off the skin itself: half of them up to "
        f"{middle:.1f} mm, 95 % up to {most_of:.1f} mm. More than the stand-off is where the carrier bridges a hollow."
    )
    return (told,)


def room_note(
    elements: tuple[Element, ...], to_skin_m: Real, closest: tuple[float, int, int] | None, separation_m: float
) -> str:
    """Least distances of conductors (elements,) from the skin [m], and of the closest two from each other. [m]"""
    skin = f"Least distance of a conductor's line from the skin {to_skin_m.min() * 1e3:.2f} mm"
    if closest is None:
        return f"{skin}."
    names = f"{elements[closest[1]].name} and {elements[closest[2]].name}"
    told = f"{skin}, between two of them {closest[0] * 1e3:.2f} mm ({names})."
    if not 0 < closest[0] < separation_m - 5e-6:
        return told
    return (
        f"{told} That is less than the crossing separation of {separation_m * 1e3:.2f} mm, to which sagging "
        "segments may come short. More segments per element bring the two together."
    )


def centres_past_ends(elements: tuple[Element, ...], solid: Solid) -> int:
    """How many elements have their centre beside the cut ends of a column."""
    match solid.skin:
        case EllipticColumn(height_m=height_m):
            return sum(abs(element.centre_m[2]) > height_m / 2 for element in elements)
        case _:
            return 0
