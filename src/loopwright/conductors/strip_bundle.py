r"""A flat strip as a bundle of parallel filaments, for strips whose neighbours are too close for one thin wire each.

Filament i of N stands at :math:`-(w/2)\cos\theta_i`, :math:`\theta_i = (i - 1/2)\pi/N`, for the cell of the width
between :math:`(i-1)\pi/N` and :math:`i\pi/N`.  The current of an isolated strip, :math:`1/\sqrt{(w/2)^2 - x^2}`, puts
the same share into each cell.
"""

from math import pi
from typing import TypeGuard

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from loopwright.conductors.cross_section import CrossSection, FlatStrip, PrintedStrip, resistance_ohm_per_m
from loopwright.conductors.elastomer import ElastomerStrip
from loopwright.conductors.strip_loss import edge_crowding_factor
from loopwright.ground.constants import MU_0_H_PER_M

__all__ = ["FILAMENTS", "filament_offsets_m", "filament_radii_m", "filament_resistances_ohm_per_m", "is_strip"]

Floats = NDArray[np.float64]

Strip = FlatStrip | PrintedStrip | ElastomerStrip

#: Filaments of a strip.  Against 400 of them two strips side by side come out within 0.1 % down to a clear gap of a
#: twentieth of the width, and two stacked strips within 0.1 % at 0.2 widths, 1.3 % at 0.1 and 35 % at 0.04.
FILAMENTS = 8
#: An edge's resistance is searched for up to this many times that of its cell evenly filled; strips need at most two.
EDGE_SEARCH = 10.0


def is_strip(section: CrossSection) -> TypeGuard[Strip]:
    """Say whether a conductor is a strip, which filaments can stand for."""
    return isinstance(section, Strip)


def filament_offsets_m(width_m: float) -> Floats:
    """Places of the filaments across the strip.

    Parameters
    ----------
    width_m : float
        Width of the strip. [m]

    Returns
    -------
    ndarray, shape (filaments,)
        Distance from the centre-line, rising. [m]
    """
    return -(width_m / 2) * np.cos(_middles_rad())


def filament_radii_m(width_m: float) -> Floats:
    r"""Radii of the filaments as thin wires.

    Parameters
    ----------
    width_m : float
        Width of the strip. [m]

    Returns
    -------
    ndarray, shape (filaments,)
        :math:`(w/4)\sin\theta_i/N`, with which the bundle as a whole has the radius of the strip, a quarter of its
        width. [m]
    """
    return (width_m / 4) * np.sin(_middles_rad()) / FILAMENTS


def filament_resistances_ohm_per_m(section: Strip, frequency_hz: float) -> Floats:
    r"""Resistance per metre of every filament.

    Parameters
    ----------
    section : FlatStrip, PrintedStrip or ElastomerStrip
        The strip.
    frequency_hz : float
        Frequency. [Hz]

    Returns
    -------
    ndarray, shape (filaments,)
        Resistances with which the bundle, straight and alone, loses what the strip loses, with the currents that
        inductance and these resistances then leave to the filaments. [ohm/m]

    Notes
    -----
    Within a cell the current keeps the shape that it has on an isolated strip, so the cell's resistance is that of the
    sheet times :math:`\int J^2\mathrm{d}x / (\int J\,\mathrm{d}x)^2`, finite but for the two cells at the edges.  Those
    take what is left of the strip's own resistance, whose edge loss ends at thickness and skin depth: a neighbour
    changes how much current runs at an edge, not what a current at an edge loses.  Against two-dimensional solutions of
    pairs of printed strips up to 1.3 skin depths thick the loss is 4 % low at most, for a clear gap of 0.2 widths and
    more in a plane, or half a width between stacked strips.  Foils thicker than two skin depths, stacked within
    a width, lose more than this tells (9 % at half a width, 30 % at a tenth): their current leaves the far face.
    """
    shape = {
        "width_m": section.width_m,
        "thickness_m": section.thickness_m,
        "conductivity_s_per_m": section.conductivity_s_per_m,
    }
    crowding = float(edge_crowding_factor(frequency_hz, **shape))
    even_strip = resistance_ohm_per_m(section, frequency_hz) / crowding
    reactances = frequency_hz * MU_0_H_PER_M / even_strip * _logarithms()
    cells = _cells(crowding, reactances)
    return even_strip * cells * crowding / _loss_over_even_strip(cells, reactances)


def _cells(crowding: float, reactances: Floats) -> Floats:
    """Resistance of every cell, that of the evenly filled strip being one; the edges take what the strip loses more."""
    bounds = pi * np.arange(FILAMENTS + 1) / FILAMENTS
    evenly_filled = 2 / -np.diff(np.cos(bounds))
    inner = 2 * (FILAMENTS / pi) ** 2 * -np.diff(np.log(1 / np.tan(bounds[1:-1] / 2)))

    def cells(edge: float) -> Floats:
        return np.concatenate([[edge], np.maximum(inner, evenly_filled[1:-1]), [edge]])

    def missing(edge: float) -> float:
        return crowding - _loss_over_even_strip(cells(edge), reactances)

    least = float(evenly_filled[0])
    return cells(brentq(missing, least, EDGE_SEARCH * least) if missing(least) > 0 else least)


def _loss_over_even_strip(resistances: Floats, reactances: Floats) -> float:
    """Resistance of filaments in parallel, that of an evenly filled strip being one."""
    return float((1 / np.linalg.solve(np.diag(resistances) + 1j * reactances, np.ones(FILAMENTS)).sum()).real)


def _logarithms() -> Floats:
    """Minus the logarithm of the distances between filaments of a strip of width one, on the diagonal of the radii."""
    offsets = filament_offsets_m(1.0)
    apart = np.abs(offsets[:, None] - offsets)
    np.fill_diagonal(apart, filament_radii_m(1.0))
    return -np.log(apart)


def _middles_rad() -> Floats:
    return pi * (np.arange(FILAMENTS) + 0.5) / FILAMENTS
