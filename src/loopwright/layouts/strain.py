"""How neighbours of a flat drawing overlap and couple where they are laid on a skin."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.layouts.coupling import Coupling
from loopwright.layouts.curved import Feet
from loopwright.layouts.skins import Skin

Real = NDArray[np.float64]
Integers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class NeighbourBend:
    """One pair of neighbours as laid, against the same pair laid flat from the one's centre.

    ``overlap`` is the length of the shortest line between the centres over the mean size, ``flat_overlap`` that of the
    flat drawing; the coefficients are those of coupling.
    """

    pair: tuple[int, int]
    overlap: float
    flat_overlap: float
    coefficient: float
    flat_coefficient: float


def neighbours_bent(
    skin: Skin,
    feet: Feet,
    outlines_flat_m: Real,
    sizes_m: Real,
    pairs: Integers,
    *,
    centres_flat_m: Real,
    stand_offs_m: Real,
    coupling: Coupling,
) -> tuple[NeighbourBend, ...]:
    """Overlap and coupling of every pair of neighbours as laid on a skin, and as drawn flat.

    Parameters
    ----------
    skin : Skin
        What they are laid on.
    feet : Feet
        Their feet, shape (elements, 3) each.
    outlines_flat_m : ndarray, shape (elements, segments, 2)
        Outlines as drawn, each about its centre. [m]
    sizes_m : ndarray, shape (elements,)
        Diameters or sides. [m]
    pairs : ndarray of int, shape (pairs, 2)
        Neighbours.
    centres_flat_m : ndarray, shape (elements, 2)
        Centres in the flat drawing. [m]
    stand_offs_m : ndarray, shape (elements,)
        Distance of each element from the skin; in the flat drawing they are as far from a plane. [m]
    coupling : Coupling
        Tells how outlines couple.
    """
    laid = skin.wrapped_m(feet, outlines_flat_m, stand_off_m=stand_offs_m)
    heights = np.broadcast_to(stand_offs_m[:, None, None], (*outlines_flat_m.shape[:2], 1))
    drawn = np.concatenate([outlines_flat_m + centres_flat_m[:, None], heights], axis=2)
    elements = np.arange(len(sizes_m))
    bent, flat = (coupling(tuple(outlines), pairs, elements=elements) for outlines in (laid, drawn))
    i, j = pairs.T
    mean = (sizes_m[i] + sizes_m[j]) / 2
    along = skin.distances_m(feet, pairs, stand_off_m=float(stand_offs_m.min())) / mean
    apart = np.linalg.norm(centres_flat_m[i] - centres_flat_m[j], axis=1) / mean
    return tuple(
        NeighbourBend(
            pair=(int(i[n]), int(j[n])),
            overlap=float(along[n]),
            flat_overlap=float(apart[n]),
            coefficient=float(bent[n]),
            flat_coefficient=float(flat[n]),
        )
        for n in range(len(pairs))
    )
