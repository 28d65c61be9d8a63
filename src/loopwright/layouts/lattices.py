"""Tilings in rows and columns, as functions of the few distances that a search for zero coupling is free to choose.

The unknowns are distances over sizes: first those between the elements of a row, then those between rows.
"""

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from loopwright.layouts.curved import Feet
from loopwright.layouts.skins import ColumnSkin, Skin
from loopwright.layouts.spreads import from_first_m, graded_lattice_m
from loopwright.layouts.tiling import Tiling, what

Real = NDArray[np.float64]


def rise_over_pitch(pattern: str, rows: int) -> float:
    """Distance of rows over that of the elements in one, where all neighbours are to be equally far."""
    return sqrt(3) / 2 if pattern == "hexagonal" and rows > 1 else 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PatchLattice:
    """Rows and columns about one foot, on any skin.

    Unknowns: one distance in rows and one between them, over the size; where sizes differ from row to row, one for
    each row, over its size, and one for each gap between rows, over the mean of the two.
    """

    skin: Skin
    shape: str
    pattern: str
    columns: int
    row_sizes_m: Real
    middle: Feet
    stand_off_m: float
    overlap: float

    @property
    def rows(self) -> int:
        """Number of rows."""
        return len(self.row_sizes_m)

    @property
    def start(self) -> Real:
        """Unknowns at which all neighbours have the overlap."""
        rows = self.rows
        rise = self.overlap * rise_over_pitch(self.pattern, rows)
        if np.ptp(self.row_sizes_m) == 0:
            return np.array([self.overlap, rise])
        return np.concatenate([np.full(rows, self.overlap), np.full(rows - 1, rise)])

    @property
    def axes(self) -> tuple[Real, Real]:
        """Directions of u and v at the middle, each (3,)."""
        return self.middle.along[0], self.middle.across[0]

    def flat_m(self, unknowns: Real) -> Real:
        """Centres (n, 2) about the middle. [m]"""
        graded = np.ptp(self.row_sizes_m) > 0
        in_row, between = np.split(unknowns, [len(self.row_sizes_m) if graded else 1])
        meeting = (self.row_sizes_m[1:] + self.row_sizes_m[:-1]) / 2
        return graded_lattice_m(
            self.pattern,
            columns=self.columns,
            pitches_m=in_row * self.row_sizes_m,
            rises_m=between * meeting,
        )

    def tiling(self, unknowns: Real) -> Tiling:
        """Lay it out with these unknowns."""
        rows, sizes = len(self.row_sizes_m), np.repeat(self.row_sizes_m, self.columns)
        flat = self.flat_m(unknowns)
        return Tiling(
            feet=self.skin.walked(self.middle, flat, stand_off_m=self.stand_off_m),
            middle=self.middle,
            centres_m=flat,
            sizes_m=sizes,
            notes=(f"{what(self.shape, sizes)}, a {self.pattern} patch of {rows} by {self.columns}.",),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class RingLattice:
    """Rows that close round a column. Unknowns: distance round the body, and between rows, over the common size.

    ``rise`` is the distance between rows that is asked for, over the size; a search starts from it.
    """

    skin: ColumnSkin
    shape: str
    pattern: str
    rows: int
    columns: int
    first: Feet
    stand_off_m: float
    round_m: float
    overlap: float
    rise: float

    @property
    def start(self) -> Real:
        """Unknowns at which neighbours have the overlap and rows the distance that is asked for."""
        return np.array([self.overlap, self.rise])

    def tiling(self, unknowns: Real) -> Tiling:
        """Lay it out with these unknowns."""
        pitch = self.round_m / self.columns
        size = pitch / unknowns[0]
        flat = graded_lattice_m(
            self.pattern,
            columns=self.columns,
            pitches_m=np.full(self.rows, pitch),
            rises_m=np.full(self.rows - 1, unknowns[1] * size),
        )
        sizes = np.full(len(flat), size)
        rings = f"in {self.rows} {self.pattern} rows of {self.columns} that close"
        return Tiling(
            feet=self.skin.walked(self.first, from_first_m(flat), stand_off_m=self.stand_off_m),
            sizes_m=sizes,
            row_pairs=_ring_pairs(self.rows, self.columns),
            notes=(
                f"{what(self.shape, sizes)}, {rings}{_apart(self.rows, unknowns[1] * size)}.",
                f"Round the body at the stand-off {self.round_m * 1e3:.1f} mm, {pitch * 1e3:.1f} mm for each element.",
            ),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamedLattice:
    """Rows round a column that end on either side of a seam. Unknowns as for :class:`RingLattice`.

    ``steps`` is the number of pitches from the first centre to the last, the shift of every other row included;
    ``reach`` is how far a drawn outline goes across, over its size.
    """

    skin: ColumnSkin
    shape: str
    pattern: str
    rows: int
    columns: int
    middle: Feet
    stand_off_m: float
    room_m: float
    gap_m: float
    steps: float
    reach: float
    overlap: float
    rise: float

    @property
    def start(self) -> Real:
        """Unknowns at which neighbours have the overlap and rows the distance that is asked for."""
        return np.array([self.overlap, self.rise])

    def tiling(self, unknowns: Real) -> Tiling:
        """Lay it out with these unknowns."""
        size = self.room_m / (self.steps * unknowns[0] + self.reach)
        flat = graded_lattice_m(
            self.pattern,
            columns=self.columns,
            pitches_m=np.full(self.rows, unknowns[0] * size),
            rises_m=np.full(self.rows - 1, unknowns[1] * size),
        )
        starts, sizes = np.arange(self.rows) * self.columns, np.full(len(flat), size)
        rings = f"in {self.rows} {self.pattern} rows of {self.columns} that open at a seam"
        apart = _apart(self.rows, unknowns[1] * size)
        gap = f"{self.gap_m * 1e3:.1f} mm between centre-lines, round the body at the stand-off"
        return Tiling(
            feet=self.skin.walked(self.middle, flat, stand_off_m=self.stand_off_m),
            sizes_m=sizes,
            row_pairs=tuple((int(first) + k, int(first) + k + 1) for first in starts for k in range(self.columns - 1)),
            seam_pairs=tuple((int(first), int(first) + self.columns - 1) for first in starts),
            notes=(f"{what(self.shape, sizes)}, {rings} of {gap}; no conductor crosses it{apart}.",),
        )


def _ring_pairs(rows: int, columns: int) -> tuple[tuple[int, int], ...]:
    """Elements next to each other in rows that close; lower number first."""
    around = {tuple(sorted((k, (k + 1) % columns))) for k in range(columns)} if columns > 1 else set()
    return tuple((row * columns + i, row * columns + j) for row in range(rows) for i, j in sorted(around))


def _apart(rows: int, rise_m: float) -> str:
    return f", rows {rise_m * 1e3:.1f} mm apart along z" if rows > 1 else ""


Lattice = PatchLattice | RingLattice | SeamedLattice
