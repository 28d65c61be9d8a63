"""A tiling that has been laid out: where each element stands and how large it is."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.layouts.skins import Feet

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiling:
    """Feet of the elements, the size of each [m], and what was chosen, in sentences.

    ``seam_pairs`` are elements that face each other across a seam. A search for zero coupling also settles the layers
    on which elements stand, and the pairs that it looked at; otherwise these are None and follow from the outlines.
    """

    feet: Feet
    sizes_m: Real
    notes: tuple[str, ...]
    seam_pairs: tuple[tuple[int, int], ...] = ()
    layers: tuple[int, ...] | None = None
    pairs: tuple[tuple[int, int], ...] | None = None
