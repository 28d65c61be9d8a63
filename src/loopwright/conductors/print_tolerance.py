"""How far a printed capacitor may be off: film, permittivity, edges and registration of the two prints.

Every spread is a limit at which parts or sheets are refused. Values lie within it, drawn from a normal distribution
whose standard deviation is half the limit, cut off there.
"""

from dataclasses import dataclass
from itertools import product
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.stats import truncnorm

from loopwright.conductors.plate_capacitance import fringed_capacitance_f
from loopwright.conductors.printed_capacitor import Plate, PrintStack, plate_capacitance_f
from loopwright.ground.errors import OutsideModelError

__all__ = [
    "PrintSpreads",
    "Share",
    "Sheets",
    "capacitance_limits_f",
    "draw_edges_m",
    "draw_sheets",
    "drawn_capacitance_f",
    "expected_spread",
    "spread_shares",
]

Real = NDArray[np.float64]
_CUT_OFF = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintSpreads:
    """Limits of what varies from print to print: relative for film and permittivity, lengths for the rest. [m]

    ``edge_m`` is how far every printed edge may lie out or in, ``registration_m`` how far the two faces may be shifted
    against each other along either side of the plate.
    """

    thickness: float
    eps_r: float
    edge_m: float
    registration_m: float

    def __post_init__(self) -> None:
        """Refuse spreads that are no spreads."""
        if not (0 <= self.thickness < 0.5 and 0 <= self.eps_r < 0.5 and self.edge_m >= 0 and self.registration_m >= 0):
            raise OutsideModelError(
                f"spreads of thickness ({self.thickness:g}) and eps_r ({self.eps_r:g}) must lie from 0 to below 0.5, "
                f"edge_m ({self.edge_m:g}) and registration_m ({self.registration_m:g}) must not be negative"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """What one cause does to the capacitance at its limit, relative."""

    cause: str
    relative: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheets:
    """What all plates of a print have in common, one value per draw: film, permittivity, shift along width and length.

    Arrays (draw,), the shift (draw, 2). [m]
    """

    film_m: Real
    eps_r: Real
    offset_m: Real


def _lost_m(offset_m: NDArray[np.floating], margin_m: float) -> Real:
    """Overlap that a shift costs: none inside the margin. [m]"""
    return np.maximum(np.abs(offset_m) - margin_m, 0.0)


def drawn_capacitance_f(stack: PrintStack, plate: Plate, sheets: Sheets, edge_m: Real) -> Real:
    """Capacitance of a plate on sheets that vary.

    Parameters
    ----------
    stack : PrintStack
        As designed.
    plate : Plate
        As designed.
    sheets : Sheets
        As they came out.
    edge_m : ndarray, shape (draw,)
        How far the edges of this plate lie out. [m]

    Returns
    -------
    ndarray, shape (draw,)
        Capacitance. [F]
    """
    lost = _lost_m(sheets.offset_m, stack.margin_m)
    return np.asarray(
        fringed_capacitance_f(
            plate.width_m + 2 * edge_m - lost[..., 0],
            plate.length_m + 2 * edge_m - lost[..., 1],
            sheets.film_m,
            eps_r=sheets.eps_r,
            margin_m=stack.margin_m,
        )
    )


def draw_sheets(stack: PrintStack, spreads: PrintSpreads, generator: np.random.Generator, draws: int) -> Sheets:
    """Draw what all plates of a print have in common."""
    return Sheets(
        film_m=stack.film_m * (1 + spreads.thickness * _within_limits(generator, draws)),
        eps_r=stack.eps_r * (1 + spreads.eps_r * _within_limits(generator, draws)),
        offset_m=spreads.registration_m * _within_limits(generator, (draws, 2)),
    )


def _within_limits(generator: np.random.Generator, size: int | tuple[int, ...]) -> Real:
    """Deviations over their limit: normal, the limit at two standard deviations, cut off there."""
    return np.asarray(truncnorm.rvs(-_CUT_OFF, _CUT_OFF, size=size, random_state=generator) / _CUT_OFF)


def draw_edges_m(spreads: PrintSpreads, generator: np.random.Generator, draws: int) -> Real:
    """Draw how far the edges of one plate lie out. [m]"""
    return np.asarray(spreads.edge_m * _within_limits(generator, draws))


def capacitance_limits_f(stack: PrintStack, plate: Plate, spreads: PrintSpreads) -> tuple[float, float]:
    """Least and largest capacitance that can come out, everything at its limit. [F]"""
    at = np.array(list(product((-1.0, 1.0), (-1.0, 1.0), (-1.0, 1.0), (0.0, 1.0))))
    sheets = Sheets(
        film_m=stack.film_m * (1 + spreads.thickness * at[:, 0]),
        eps_r=stack.eps_r * (1 + spreads.eps_r * at[:, 1]),
        offset_m=spreads.registration_m * np.stack([at[:, 3], at[:, 3]], axis=1),
    )
    found = drawn_capacitance_f(stack, plate, sheets, spreads.edge_m * at[:, 2])
    return float(found.min()), float(found.max())


def spread_shares(stack: PrintStack, plate: Plate, spreads: PrintSpreads) -> tuple[Share, ...]:
    """What each cause does to the capacitance of a plate at its limit, the largest first.

    Registration only takes away, and nothing while the shift stays inside the margin.
    """
    causes = {
        "film thickness": PrintSpreads(thickness=spreads.thickness, eps_r=0, edge_m=0, registration_m=0),
        "permittivity": PrintSpreads(thickness=0, eps_r=spreads.eps_r, edge_m=0, registration_m=0),
        "printed edges": PrintSpreads(thickness=0, eps_r=0, edge_m=spreads.edge_m, registration_m=0),
        "registration": PrintSpreads(thickness=0, eps_r=0, edge_m=0, registration_m=spreads.registration_m),
    }
    nominal_f = plate_capacitance_f(stack, plate)
    shares = []
    for cause, alone in causes.items():
        low_f, high_f = capacitance_limits_f(stack, plate, alone)
        half = 1.0 if cause == "registration" else 0.5
        shares.append(Share(cause=cause, relative=half * (high_f - low_f) / nominal_f))
    return tuple(sorted(shares, key=lambda share: -share.relative))


def expected_spread(stack: PrintStack, plate: Plate, spreads: PrintSpreads) -> float:
    """Relative spread that is expected of the untrimmed value: the causes at their limits, root of the sum of squares.

    About 95 of 100 prints lie within it.
    """
    return sqrt(sum(share.relative**2 for share in spread_shares(stack, plate, spreads)))
