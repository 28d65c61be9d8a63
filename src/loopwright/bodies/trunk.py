"""A stylised trunk of a child: an elliptic cylinder with skin, fat, muscle and two lungs.

It is a figure of formulas after a published stylised family (M. Cristy, K. F. Eckerman, ORNL/TM-8381 vol. 1, 1987
[cristy1987]); its dimensions are from memory, unverified, and it is no patient.
"""

from dataclasses import dataclass
from math import inf

from loopwright.bodies.quadrics import Ellipsoid, EllipticColumn
from loopwright.bodies.solids import Region, Solid
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.sources import Flag, Source
from loopwright.ground.tables import ChildTrunkRow, child_trunk_rows

TRUNK_SOURCE = Source(
    key="cristy1987",
    where="trunk without arms (0.85 and 0.98 of the half-axes with arms), its height, half-axes of the lungs",
    flag=Flag.MEMORY,
)

#: Where the lungs stand, as shares of the trunk's half-axis along x or of its height. The base is that of the published
#: family (43.5 of 70, from memory); its lungs stand further out, at 0.425 of the half-axis with arms, where they would
#: cut the fat of a trunk without arms, so centre and medial plane are our own choice.
LUNG_BASE_OF_HEIGHT = 0.62
LUNG_CENTRE_OF_HALF_AXIS = 0.36
MEDIAL_PLANE_OF_HALF_AXIS = 0.12

CAUTION = (
    "The trunk is a stylised figure, no patient: an elliptic cylinder with flat ends, without arms, neck, spine, ribs, "
    "heart or organs of the belly; dimensions from memory (Cristy and Eckerman 1987, ORNL/TM-8381), unverified."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Interior:
    """Thickness of skin and fat, and half-axes of one lung, at one age."""

    skin_m: float
    fat_m: float
    lung_semi_axes_m: tuple[float, float, float]


#: Skin and fat follow from organ masses of ICRP 89 [icrp2002] (read) over density and body surface area (from memory),
#: with three quarters of the fat under the skin; lungs as TRUNK_SOURCE.
INTERIORS = {
    "newborn": Interior(skin_m=0.66e-3, fat_m=3.1e-3, lung_semi_axes_m=(18.9e-3, 36.8e-3, 74.1e-3)),
    "1 year": Interior(skin_m=0.66e-3, fat_m=6.2e-3, lung_semi_axes_m=(26.8e-3, 48.8e-3, 105.3e-3)),
    "5 years": Interior(skin_m=0.66e-3, fat_m=5.6e-3, lung_semi_axes_m=(34.7e-3, 56.3e-3, 139.9e-3)),
    "10 years": Interior(skin_m=0.67e-3, fat_m=6.1e-3, lung_semi_axes_m=(38.2e-3, 63.0e-3, 174.2e-3)),
}

TRUNK_TISSUES = ("Skin (Dry)", "Fat (Not Infiltrated)", "Muscle", "Lung (Inflated)")


def child_trunk(age: str) -> Solid:
    """The stylised trunk of a child without arms, its middle at the origin.

    Parameters
    ----------
    age : str
        One of the ages of the packaged table: newborn, 1 year, 5 years, 10 years.

    Raises
    ------
    OutsideModelError
        If the table has no such age.

    Notes
    -----
    Skin and fat cover the side only: the ends are cut planes. Each lung is the upper half of an ellipsoid, cut off at a
    medial plane that leaves a mediastinum of muscle. Layers have their thickness on the axes only.

    References
    ----------
    [cristy1987] for the outer shape and the lungs (from memory).
    """
    row, interior = _row(age), INTERIORS[age]
    a, b, height = row.semi_axis_x_m, row.semi_axis_y_m, row.height_m
    layers = [
        EllipticColumn(semi_axes_m=(a - depth, b - depth), height_m=height)
        for depth in (0.0, interior.skin_m, interior.skin_m + interior.fat_m)
    ]
    return Solid(
        name=f"stylised trunk of a child, {age}",
        regions=(
            *(Region(shape=shape, tissue=i, within=None if i == 0 else i - 1) for i, shape in enumerate(layers)),
            Region(shape=_lung(row, interior, side=1), tissue=3, within=2),
            Region(shape=_lung(row, interior, side=-1), tissue=3, within=2),
        ),
        tissue_names=TRUNK_TISSUES,
        notes=(_dimensions(row, interior),),
        cautions=(CAUTION,),
    )


def _dimensions(row: ChildTrunkRow, interior: Interior) -> str:
    """The figure in one note."""
    a, b, height = row.semi_axis_x_m * 1e3, row.semi_axis_y_m * 1e3, row.height_m * 1e3
    return (
        f"Outer half-axes {a:g} mm and {b:g} mm, height {height:g} mm; skin {interior.skin_m * 1e3:g} mm and fat "
        f"{interior.fat_m * 1e3:g} mm on the side, exact on the axes; muscle; two lungs, each the upper half of an "
        f"ellipsoid less what lies within {MEDIAL_PLANE_OF_HALF_AXIS * a:.0f} mm of the middle plane. {TRUNK_SOURCE}"
    )


def _lung(row: ChildTrunkRow, interior: Interior, *, side: int) -> Ellipsoid:
    """The lung on the left (+1) or right (-1) of the body."""
    base = (LUNG_BASE_OF_HEIGHT - 0.5) * row.height_m
    medial = MEDIAL_PLANE_OF_HALF_AXIS * row.semi_axis_x_m
    return Ellipsoid(
        semi_axes_m=interior.lung_semi_axes_m,
        centre_m=(side * LUNG_CENTRE_OF_HALF_AXIS * row.semi_axis_x_m, 0.0, base),
        lower_m=(medial, -inf, base) if side > 0 else (-inf, -inf, base),
        upper_m=(inf, inf, inf) if side > 0 else (-medial, inf, inf),
    )


def _row(age: str) -> ChildTrunkRow:
    rows = {row.age: row for row in child_trunk_rows()}
    if age not in rows or age not in INTERIORS:
        raise OutsideModelError(f"child trunk of age {age!r}: the table knows {', '.join(rows)}.")
    return rows[age]
