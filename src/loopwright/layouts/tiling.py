"""A tiling that has been laid out: where each element stands and how large it is."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.layouts.curved import Feet

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiling:
    """Feet of the elements, the size of each [m], and what was chosen, in sentences.

    ``row_pairs`` are next to each other in a row round the body, ``seam_pairs`` face each other across a seam. A search
    for zero coupling also settles the layers on which elements stand, and the pairs that it looked at; otherwise these
    are None and follow from the outlines. A patch is drawn about one foot, ``middle``, its centres at ``centres_m``
    (elements, 2) [m]; both are None for a whole span.
    """

    feet: Feet
    sizes_m: Real
    notes: tuple[str, ...]
    row_pairs: tuple[tuple[int, int], ...] = ()
    seam_pairs: tuple[tuple[int, int], ...] = ()
    layers: tuple[int, ...] | None = None
    pairs: tuple[tuple[int, int], ...] | None = None
    middle: Feet | None = None
    centres_m: Real | None = None


def what(shape: str, sizes_m: Real) -> str:
    """Number, shape and size of elements (elements,) [m], as the start of a sentence."""
    noun = shape if len(sizes_m) == 1 else f"{shape}s"
    measure = {"circle": "diameter", "square": "side"}[shape]
    low, high = f"{sizes_m.min() * 1e3:.1f}", f"{sizes_m.max() * 1e3:.1f}"
    return f"{len(sizes_m)} {noun}, {measure} {low}{'' if high == low else f' to {high}'} mm"
