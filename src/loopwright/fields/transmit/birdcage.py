"""A birdcage body resonator inside a bore shield, as wires: what it is made of, and one of its equal sectors.

References
----------
C. E. Hayes, W. A. Edelstein, J. F. Schenck, O. M. Mueller and M. Eash, "An efficient, highly homogeneous radiofrequency
coil for whole-body NMR imaging at 1.5 T", Journal of Magnetic Resonance 63, 622-628 (1985) (from memory).
J. Jin, Electromagnetic Analysis and Design in Magnetic Resonance Imaging, CRC Press, 1999 (from memory).
"""

from dataclasses import dataclass
from enum import Enum
from math import pi, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from loopwright.conductors import CrossSection, equivalent_radius_m, resistance_ohm_per_m, surface_resistance_ohm
from loopwright.fields.wires.sectors import Sector
from loopwright.ground.errors import OutsideModelError

__all__ = ["Birdcage", "Capacitors", "Shield", "sector_of"]

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


#: By which sums of decimal fractions are rounded. [m]
_ROUNDING_M = 1e-9


class Capacitors(Enum):
    """Where a birdcage has its capacitors."""

    END_RINGS = "in the end rings (high pass)"
    RUNGS = "in the middle of the rungs (low pass)"
    BOTH = "in the end rings and in the middle of the rungs (band pass)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shield:
    """A cylinder of sheet round the resonator, open at its ends.

    Attributes
    ----------
    radius_m, length_m : float
        [m]
    conductivity_s_per_m : float
        Of its metal, much thicker than the skin depth. [S/m]
    wires_per_rung : int
        Wires along the axis that stand for the sheet, for each rung of the resonator; rings are as far apart.
    """

    radius_m: float
    length_m: float
    conductivity_s_per_m: float = 5.8e7
    wires_per_rung: int = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Birdcage:
    """Equal rungs along z between two end rings, with capacitors, in a shield.

    Attributes
    ----------
    radius_m : float
        Of the circle on which the rungs stand. [m]
    length_m : float
        From ring to ring. [m]
    rungs : int
        A multiple of four, so that two ports stand a quarter of a turn apart.
    section : CrossSection
        Of rungs and rings.
    shield : Shield
        Round it.
    capacitor_q : float
        Quality of every capacitor.
    capacitors : Capacitors
        Where they are.
    rung_capacitor_f : float, optional
        Those in the rungs where both have some; those in the rings are found. [F]
    pieces_per_rung, pieces_per_arc : int
        Pieces of wire, even numbers: capacitors stand in the middle. Rungs get fewer where pieces would be shorter than
        four radii of the wire, for which no wire holds.
    centre_m : tuple of 3 floats
        Its middle, in the body frame. [m]
    """

    radius_m: float
    length_m: float
    rungs: int
    section: CrossSection
    shield: Shield
    capacitor_q: float
    capacitors: Capacitors = Capacitors.END_RINGS
    rung_capacitor_f: float | None = None
    pieces_per_rung: int = 12
    pieces_per_arc: int = 2
    centre_m: tuple[float, float, float] = (0.0, 0.0, 0.0)

    def __post_init__(self) -> None:
        """Refuse what is no birdcage, or what its wires cannot show."""
        if self.rungs < 8 or self.rungs % 4:
            raise OutsideModelError(f"a birdcage needs 8, 12, 16, ... rungs, a multiple of four; found {self.rungs}")
        if self.pieces_per_rung % 2 or self.pieces_per_arc % 2:
            raise OutsideModelError(
                f"capacitors stand in the middle, so pieces_per_rung = {self.pieces_per_rung} and pieces_per_arc = "
                f"{self.pieces_per_arc} must be even"
            )
        if (self.capacitors is Capacitors.BOTH) != (self.rung_capacitor_f is not None):
            raise OutsideModelError("rung_capacitor_f belongs to a resonator with capacitors in rings and rungs")
        width_m = 4 * equivalent_radius_m(self.section)
        if min(self.length_m / 2, 2 * pi * self.radius_m / self.rungs / self.pieces_per_arc) < width_m - _ROUNDING_M:
            raise OutsideModelError(
                f"conductors {width_m:g} m wide are too wide for {self.rungs} rungs {self.length_m:g} m long on a "
                f"radius of {self.radius_m:g} m: pieces of wire would be shorter than four radii"
            )
        least_m = self.radius_m + width_m
        if not self.shield.radius_m >= least_m - _ROUNDING_M:
            raise OutsideModelError(
                f"the shield's radius, {self.shield.radius_m:g} m, must exceed that of the resonator, "
                f"{self.radius_m:g} m, by the width of its conductors"
            )

    @property
    def pieces_of_rung(self) -> int:
        """As many as asked for, or the largest even number of pieces that are four radii long."""
        most = int((self.length_m + _ROUNDING_M) / (4 * equivalent_radius_m(self.section)))
        return min(self.pieces_per_rung, most - most % 2)

    @property
    def port_angles_rad(self) -> Floats:
        """Angle of every port of the first sector: one in either ring, then in the rung, where there are such. [rad]"""
        ring = [pi / self.rungs] * 2
        angles = {Capacitors.END_RINGS: ring, Capacitors.RUNGS: [0.0], Capacitors.BOTH: [*ring, 0.0]}
        return np.array(angles[self.capacitors])


def sector_of(cage: Birdcage, frequency_hz: float) -> Sector:
    """One rung, its arcs of the end rings and its part of the shield, about the resonator's own middle.

    Parameters
    ----------
    cage : Birdcage
        The resonator.
    frequency_hz : float
        Frequency, for the losses. [Hz]

    Notes
    -----
    The shield is a grid of wires of the radius at which their surface is that of the sheet, 2 pi a = spacing (the
    equal-area rule, common practice); each has the loss of a strip of sheet as wide as the spacing.
    """
    nodes, branches, ports = _cage_wires(cage)
    grid, links = _shield_wires(cage)
    count, own = len(nodes) + len(grid), len(nodes)
    joined = np.concatenate([_numbered(branches, own, count, 0), _numbered(links, len(grid), count, own)])
    spacing_m = 2 * pi * cage.shield.radius_m / (cage.rungs * cage.shield.wires_per_rung)
    sheet_ohm = float(surface_resistance_ohm(frequency_hz, cage.shield.conductivity_s_per_m))
    is_cage = np.arange(len(joined)) < len(branches)
    return Sector(
        count=cage.rungs,
        nodes_m=np.concatenate([nodes, grid]),
        branches=joined,
        radius_m=np.where(is_cage, equivalent_radius_m(cage.section), spacing_m / (2 * pi)),
        resistance_ohm_per_m=np.where(is_cage, resistance_ohm_per_m(cage.section, frequency_hz), sheet_ohm / spacing_m),
        port_nodes=ports,
    )


def _numbered(branches: Integers, own: int, count: int, shift: int) -> Integers:
    """Nodes of a part's pieces, own + i for those of the following sector, in the numbers of the whole sector."""
    following, node = np.divmod(branches, own)
    return np.asarray(following * count + node + shift, dtype=np.int64)


def _cage_wires(cage: Birdcage) -> tuple[Floats, Integers, Integers]:
    """Nodes [m] and pieces of a rung with an arc of either ring, and the nodes of their capacitors."""
    rung, arc = cage.pieces_of_rung, cage.pieces_per_arc
    levels = np.linspace(-cage.length_m / 2, cage.length_m / 2, rung + 1)
    nodes = [_on_cylinder(cage.radius_m, np.zeros(rung + 1), levels)]
    inner = 2 * pi / cage.rungs * np.arange(1, arc) / arc
    nodes.extend(_on_cylinder(cage.radius_m, inner, np.full(arc - 1, end)) for end in (levels[-1], levels[0]))
    count = rung + 1 + 2 * (arc - 1)
    top = [rung, *range(rung + 1, rung + arc), count + rung]
    bottom = [0, *range(rung + arc, count), count]
    ways = [[*range(rung + 1)], top, bottom]
    branches = np.concatenate([np.column_stack([way[:-1], way[1:]]) for way in ways])
    in_rings, in_rung = [top[arc // 2], bottom[arc // 2]], [rung // 2]
    ports = {Capacitors.END_RINGS: in_rings, Capacitors.RUNGS: in_rung, Capacitors.BOTH: in_rings + in_rung}
    return np.concatenate(nodes), branches.astype(np.int64), np.array(ports[cage.capacitors], dtype=np.int64)


def _shield_wires(cage: Birdcage) -> tuple[Floats, Integers]:
    """Nodes [m] and pieces of one sector of the shield: wires along z, and their part of every ring."""
    shield, wires = cage.shield, cage.shield.wires_per_rung
    whole = cage.rungs * wires
    rows = max(3, round(shield.length_m * whole / (2 * pi * shield.radius_m)) + 1)
    # A polygon of the circle's area.
    corner_m = shield.radius_m * sqrt(2 * pi / whole / sin(2 * pi / whole))
    angles = 2 * pi * (np.arange(wires) + 0.5) / whole
    levels = np.linspace(-shield.length_m / 2, shield.length_m / 2, rows)
    nodes = _on_cylinder(corner_m, np.repeat(angles, rows), np.tile(levels, wires))
    number = np.arange(wires * rows).reshape(wires, rows)
    along = np.stack([number[:, :-1], number[:, 1:]], axis=-1).reshape(-1, 2)
    beside = np.concatenate([number[1:], number[:1] + wires * rows])
    around = np.stack([number, beside], axis=-1).reshape(-1, 2)
    return nodes, np.concatenate([along, around]).astype(np.int64)


def _on_cylinder(radius_m: float, angle: Floats, z_m: Floats) -> Floats:
    return np.column_stack([radius_m * np.cos(angle), radius_m * np.sin(angle), z_m])
