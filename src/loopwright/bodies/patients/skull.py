"""Brain, fluid and skull inside one another, as large as the brain's mass asks and the head allows."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.head import WHITE_OF_BRAIN
from loopwright.bodies.patients.balloons import Balloon, Depth, around, blown_up
from loopwright.ground.figures import figure_of
from loopwright.ground.surface import Surface

Real = NDArray[np.float64]

#: Height of the brain over its width (our own choice, from memory of sections).
_HEIGHT_OF_WIDTH = 0.95
#: Age in years at which each packaged figure stands; adults from 20 years on.
_FIGURES = (
    (0.0, "newborn"),
    (0.5, "6 months"),
    (1.0, "1 year"),
    (5.0, "5 years"),
    (10.0, "10 years"),
    (15.0, "15 years"),
)
#: Above this age the skull has two tables, each a third of it, with spongy bone between. [years]
TWO_TABLES_FROM_YEARS = 1.5
_TABLE = 1 / 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Cranium:
    """Surfaces from outside inwards: skull, spongy bone (outer and inner, or none), fluid, grey and white matter."""

    skull: Surface
    spongy: tuple[Surface, ...]
    fluid: Surface
    brain: Surface
    white: Surface
    wanted_m3: float


def thicknesses_m(sex: str, age_years: float) -> tuple[float, float]:
    """Thickness of skull and of the fluid round the brain [m], between the ages [a] of the packaged figures."""
    names = (*_FIGURES, (20.0, f"adult {sex}"))
    rows = [figure_of(name) for _, name in names]
    ages = [age for age, _ in names]
    skull = np.interp(age_years, ages, [row.skull_m for row in rows])
    return float(skull), float(np.interp(age_years, ages, [row.csf_m for row in rows]))


def cranium(
    scalp_m: Real, brow_m: float, *, brain_m3: float, skull_m: float, fluid_m: float, age_years: float, depth_m: Depth
) -> Cranium:
    """Skull and brain of a head.

    Parameters
    ----------
    scalp_m : ndarray, shape (points, 3)
        Inner surface of the fat of the head. [m]
    brow_m : float
        Height of the glabella, above which no ear widens the head. [m]
    brain_m3 : float
        Volume wanted of grey and white matter. [m^3]
    skull_m, fluid_m : float
        Their thickness. [m]
    age_years : float
        Decides whether the skull has two tables. [a]
    depth_m : callable
        Depth of points (n, 3) [m] under the inner surface of the fat, shape (n,). [m]
    """
    crown = scalp_m[scalp_m[:, 2] > brow_m]
    width, length = (float(np.ptp(crown[:, axis])) / 2 for axis in (0, 1))
    wall, cover = skull_m + fluid_m, 0.01 * width
    height = _HEIGHT_OF_WIDTH * width
    balloon = Balloon(
        centre_m=(0.0, float(crown[:, 1].min()) + length, float(crown[:, 2].max()) - height),
        semi_axes_m=(width - wall, length - wall, height - wall),
    )
    brain = blown_up(balloon, brain_m3, depth_m, cover_m=cover + wall)
    radius = np.linalg.norm(brain.vertices_m - np.asarray(balloon.centre_m), axis=1)

    def outside(by_m: float) -> Surface:
        return around(balloon.centre_m, radius + by_m)

    tables = (wall - _TABLE * skull_m, fluid_m + _TABLE * skull_m) if age_years > TWO_TABLES_FROM_YEARS else ()
    return Cranium(
        skull=outside(wall),
        spongy=tuple(outside(by) for by in tables),
        fluid=outside(fluid_m),
        brain=brain,
        white=around(balloon.centre_m, WHITE_OF_BRAIN ** (1 / 3) * radius),
        wanted_m3=brain_m3,
    )
