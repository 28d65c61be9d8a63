"""Outer sizes of the stylised figures, which the reader of a brief needs as well as the bodies that are built.

Shapes follow a published stylised family ([cristy1987], from memory); circumferences are those of the packaged
anthropometry, whose head circumferences up to five years were read in the growth standards of the World Health
Organization.
"""

from dataclasses import dataclass
from math import pi, sqrt

from loopwright.ground.errors import OutsideModelError
from loopwright.ground.tables import AnthropometryRow, StylisedFigureRow, anthropometry_rows, stylised_figure_rows

__all__ = [
    "ARM_CLEARANCE_M",
    "HeadSize",
    "figure_of",
    "head_size",
    "limb_circumference_m",
    "limb_semi_axes_m",
    "measured_as",
    "ring_perimeter_m",
]

#: Half-height of the ellipsoid of the head over the height of the head above its widest section: our own choice. At 1
#: the widest section would lie in the middle; more than this leaves too little room beside the brain.
_HEAD_TALLER = 1.1
#: Room between the side of the trunk and an arm that lies beside it: our own choice, for elements between the two.
ARM_CLEARANCE_M = 30e-3
#: Thickness over width of a wrist (from memory); other limbs are round.
_WRIST_FLATNESS = 0.72


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadSize:
    """Outer size of a stylised head about the middle of its ellipsoid. [m]

    The neck is an elliptic column of the head's aspect that meets the ellipsoid at ``neck_top_m`` and ends at
    ``neck_end_m``; ``scale`` is the head circumference over that of the published figure.
    """

    semi_axes_m: tuple[float, float, float]
    neck_semi_axes_m: tuple[float, float]
    neck_top_m: float
    neck_end_m: float
    scale: float


def figure_of(age: str) -> StylisedFigureRow:
    """The stylised figure of this age.

    Raises
    ------
    OutsideModelError
        If the table has no such age.
    """
    rows = {row.age: row for row in stylised_figure_rows()}
    if age not in rows:
        raise OutsideModelError(f"a figure of age {age!r}: the table knows {', '.join(rows)}.")
    return rows[age]


def measured_as(figure: StylisedFigureRow) -> AnthropometryRow:
    """The group of people whose circumferences a figure takes."""
    return next(row for row in anthropometry_rows() if row.group == figure.measured_as)


def head_size(age: str) -> HeadSize:
    """Size of a head whose circumference is the one measured at this age, and whose shape is the figure's."""
    figure = figure_of(age)
    scale = measured_as(figure).circumference_m["head"] / ring_perimeter_m(*figure.head_m)
    a, b = (scale * half for half in figure.head_m)
    c = scale * _HEAD_TALLER * figure.head_cap_m
    slimmer = scale * figure.neck_radius_m / sqrt(a * b)  # the neck keeps the area of the family's round one
    whole = scale * (figure.head_cap_m + figure.head_cylinder_m + figure.neck_height_m)
    return HeadSize(
        semi_axes_m=(a, b, c),
        neck_semi_axes_m=(a * slimmer, b * slimmer),
        neck_top_m=-c * sqrt(1 - slimmer**2),
        neck_end_m=c - whole,
        scale=scale,
    )


def limb_circumference_m(part: str, age: str) -> float:
    """Circumference of a thigh, knee or wrist as measured at this age, or of the figure's upper arm. [m]"""
    figure = figure_of(age)
    if part == "upper arm":
        return 2 * pi * figure.arm_radius_m
    return measured_as(figure).circumference_m[part]


def limb_semi_axes_m(part: str, age: str) -> tuple[float, float]:
    """Half-axes along x and y of a section of a limb: round, a wrist flatter along y. [m]"""
    flatness = _WRIST_FLATNESS if part == "wrist" else 1.0
    half_width = limb_circumference_m(part, age) / ring_perimeter_m(1.0, flatness)
    return half_width, flatness * half_width


def ring_perimeter_m(half_x_m: float, half_y_m: float) -> float:
    """Perimeter of an ellipse, to 1e-4 for any that a body has. [m]

    References
    ----------
    [ramanujan1914] second approximation (from memory, tested here
    against the complete elliptic integral).
    """
    h = ((half_x_m - half_y_m) / (half_x_m + half_y_m)) ** 2
    return pi * (half_x_m + half_y_m) * (1 + 3 * h / (10 + sqrt(4 - 3 * h)))
