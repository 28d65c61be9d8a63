"""Outer sizes and tissues of the stylised figures, which the reader of a brief needs as well as the bodies.

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
    "HEAD_TISSUES",
    "LIMB_TISSUES",
    "PATIENT_TISSUES",
    "TRUNK_TISSUES",
    "HeadSize",
    "figure_of",
    "head_size",
    "limb_circumference_m",
    "limb_semi_axes_m",
    "measured_as",
    "ring_perimeter_m",
]

#: Room between the side of the trunk and an arm that lies beside it: our own choice, for elements between the two.
ARM_CLEARANCE_M = 30e-3
#: Thickness over width of a wrist (from memory); other limbs are round.
_WRIST_FLATNESS = 0.72

#: Tissues of each figure, in the order in which its body numbers them.
HEAD_TISSUES = (
    "Skin (Dry)",
    "Fat (Not Infiltrated)",
    "Muscle",
    "Bone (Cortical)",
    "Bone (Cancellous)",
    "Cerebro Spinal Fluid",
    "Brain (Grey Matter)",
    "Brain (White Matter)",
)
TRUNK_TISSUES = ("Skin (Dry)", "Fat (Not Infiltrated)", "Muscle", "Lung (Inflated)")
PATIENT_TISSUES = (
    "Skin (Dry)",
    "Fat (Not Infiltrated)",
    "Muscle",
    "Bone (Cortical)",
    "Bone (Cancellous)",
    "Heart",
    "Lung (Inflated)",
    "Liver",
    "Spleen",
    "Kidney",
    "Cerebro Spinal Fluid",
    "Brain (Grey Matter)",
    "Brain (White Matter)",
)
LIMB_TISSUES = ("Skin (Dry)", "Fat (Not Infiltrated)", "Muscle", "Bone (Cortical)", "Bone (Cancellous)")


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadSize:
    """Outer size of a stylised head about the middle of its circumference. [m]

    Above it half an ellipsoid with these half-axes, below it an elliptic column of the same section down to
    ``neck_top_m``, from where the neck, an elliptic column of the head's aspect, goes down to ``neck_end_m``. ``scale``
    is the head circumference over that of the published figure.
    """

    semi_axes_m: tuple[float, float, float]
    neck_semi_axes_m: tuple[float, float]
    neck_top_m: float
    neck_end_m: float
    scale: float

    @property
    def volume_m3(self) -> float:
        """Volume of the head without its neck. [m^3]"""
        a, b, c = self.semi_axes_m
        return pi * a * b * (2 / 3 * c - self.neck_top_m)


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
    """Size of the figure's head, every length times the factor that makes its circumference the measured one."""
    figure = figure_of(age)
    scale = measured_as(figure).circumference_m["head"] / ring_perimeter_m(*figure.head_m)
    a, b = (scale * half for half in figure.head_m)
    slimmer = scale * figure.neck_radius_m / sqrt(a * b)  # the neck keeps the area of the family's round one
    return HeadSize(
        semi_axes_m=(a, b, scale * figure.head_cap_m),
        neck_semi_axes_m=(a * slimmer, b * slimmer),
        neck_top_m=-scale * figure.head_cylinder_m,
        neck_end_m=-scale * (figure.head_cylinder_m + figure.neck_height_m),
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
