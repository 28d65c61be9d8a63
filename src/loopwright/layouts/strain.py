"""How far a flat carrier is stretched or squeezed where it is laid on a skin, and how neighbours fare by it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import correlate1d

from loopwright.layouts.coupling import Coupling
from loopwright.layouts.curved import Feet
from loopwright.layouts.skins import Skin

Real = NDArray[np.float64]
Integers = NDArray[np.int64]


#: Slopes over five nodes of a grid, exact for polynomials of fourth degree.
_SLOPE = np.array([1.0, -8.0, 0.0, 8.0, -1.0]) / 12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StrainMap:
    """Principal strains of a carrier at the nodes of a grid that was drawn on it.

    ``flat_m`` (nu, nv, 2) and ``laid_m`` (nu, nv, 3) are the nodes as drawn and as laid [m], ``strains`` (nu, nv, 2)
    the lesser and the greater principal strain there: length as laid over length as drawn, less one.
    """

    flat_m: Real
    laid_m: Real
    strains: Real

    @property
    def largest(self) -> float:
        """Largest magnitude of a principal strain."""
        return float(np.abs(self.strains).max())


def strain_map(
    skin: Skin, foot: Feet, *, half_sides_m: tuple[float, float], stand_off_m: float, step_m: float
) -> StrainMap:
    """Strain of a rectangle laid about one foot along shortest lines from its middle.

    Parameters
    ----------
    skin : Skin
        What it is laid on; it has to go on two steps beyond the rectangle.
    foot : Feet
        Foot of its middle, of shape (1, 3) each.
    half_sides_m : 2-tuple
        Half its sides along u and v. [m]
    stand_off_m : float
        Distance from the skin. [m]
    step_m : float
        Longest distance of nodes; slopes are taken over five nodes, so it has to be short against the radii with which
        the surface bends. [m]
    """
    counts = [2 * int(np.ceil(half / step_m)) + 1 for half in half_sides_m]
    steps = [2 * half / (count - 1) for half, count in zip(half_sides_m, counts, strict=True)]
    sides = [step * (np.arange(-2, n + 2) - (n - 1) / 2) for step, n in zip(steps, counts, strict=True)]
    flat = np.stack(np.meshgrid(*sides, indexing="ij"), axis=-1)
    there = skin.walked(foot, flat.reshape(-1, 2), stand_off_m=stand_off_m)
    laid = (there.points_m + stand_off_m * there.normal).reshape(*flat.shape[:2], 3)
    slopes = [correlate1d(laid, _SLOPE, axis=axis)[2:-2, 2:-2] / step for axis, step in enumerate(steps)]
    strains = np.linalg.svd(np.stack(slopes, axis=-1), compute_uv=False)[..., ::-1] - 1
    return StrainMap(flat_m=flat[2:-2, 2:-2], laid_m=laid[2:-2, 2:-2], strains=np.asarray(strains))


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
