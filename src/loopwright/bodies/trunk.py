"""A stylised trunk: an elliptic cylinder with skin, fat, muscle and two lungs, arms beside it if they are wanted.

It is a figure of formulas after a published stylised family (M. Cristy, K. F. Eckerman, ORNL/TM-8381 vol. 1, 1987
[cristy1987]); its dimensions are from memory, unverified, and it is no patient.
"""

from math import inf

from loopwright.bodies.quadrics import Ellipsoid, EllipticColumn
from loopwright.bodies.solids import Region, Solid, thicknesses_told
from loopwright.ground.figures import ARM_CLEARANCE_M, TRUNK_TISSUES, figure_of
from loopwright.ground.sources import Flag, Source
from loopwright.ground.tables import StylisedFigureRow

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
    "The trunk is a stylised figure, no patient: an elliptic cylinder with flat ends, without neck, spine, ribs, "
    "heart or organs of the belly; dimensions from memory (Cristy and Eckerman 1987, ORNL/TM-8381), unverified."
)

_MUSCLE, _LUNG = 2, 3


def trunk(age: str) -> Solid:
    """The stylised trunk of this age without arms, its middle at the origin.

    Parameters
    ----------
    age : str
        One of the ages of the packaged figures: newborn to adult male.

    Raises
    ------
    OutsideModelError
        If the table has no such age.

    Notes
    -----
    Skin and fat cover the side only: the ends are cut planes. They follow from organ masses of ICRP 89 [icrp2002]
    (read) over density and body surface area (from memory), with three quarters of the fat under the skin. Each lung is
    the upper half of an ellipsoid, cut off at a medial plane that leaves a mediastinum of muscle. Layers have their
    thickness on the axes only.

    References
    ----------
    [cristy1987] for the outer shape and the lungs (from memory).
    """
    figure = figure_of(age)
    return Solid(
        name=f"stylised trunk, {age}",
        regions=_trunk_regions(figure),
        tissue_names=TRUNK_TISSUES,
        notes=(_dimensions(figure),),
        cautions=(CAUTION, "It has no arms."),
    )


def trunk_with_arms(age: str) -> Solid:
    """The stylised trunk of this age with two round arms along its whole height; otherwise as :func:`trunk`.

    Notes
    -----
    The arms keep ``ARM_CLEARANCE_M`` [m] between them and the widest place of the trunk, so that elements can lie on
    the trunk's side; they have skin, fat as thick as the trunk's, and muscle, but no bone.
    """
    figure = figure_of(age)
    of_trunk = _trunk_regions(figure)
    left = _arm_regions(figure, side=1, first=len(of_trunk))
    right = _arm_regions(figure, side=-1, first=len(of_trunk) + len(left))
    return Solid(
        name=f"stylised trunk with arms, {age}",
        regions=(*of_trunk, *left, *right),
        tissue_names=TRUNK_TISSUES,
        beside=(left[0].shape, right[0].shape),
        notes=(_dimensions(figure), _arms_note(figure)),
        cautions=(CAUTION,),
    )


def _trunk_regions(figure: StylisedFigureRow) -> tuple[Region, ...]:
    return (
        *_layers(figure, figure.trunk_m, middle_m=0.0, first=0),
        *(Region(shape=_lung(figure, side=side), tissue=_LUNG, within=_MUSCLE) for side in (1, -1)),
    )


def _arm_regions(figure: StylisedFigureRow, *, side: int, first: int) -> tuple[Region, ...]:
    """The arm on the left (+1) or right (-1) of the body."""
    radius = figure.arm_radius_m
    away = figure.trunk_m[0] + ARM_CLEARANCE_M + radius
    return _layers(figure, (radius, radius), middle_m=side * away, first=first)


def _layers(
    figure: StylisedFigureRow, semi_axes_m: tuple[float, float], *, middle_m: float, first: int
) -> tuple[Region, ...]:
    """Skin, fat and muscle of a column about x = ``middle_m``; ``first`` is the index of the skin's region."""
    a, b = semi_axes_m
    return tuple(
        Region(
            shape=EllipticColumn(
                semi_axes_m=(a - depth, b - depth), height_m=figure.trunk_height_m, centre_m=(middle_m, 0.0, 0.0)
            ),
            tissue=tissue,
            within=first + tissue - 1 if tissue else None,
        )
        for tissue, depth in enumerate((0.0, figure.skin_m, figure.skin_m + figure.fat_m))
    )


def _dimensions(figure: StylisedFigureRow) -> str:
    """The figure in one note."""
    (a, b), height = (half * 1e3 for half in figure.trunk_m), figure.trunk_height_m * 1e3
    depths = (0.0, figure.skin_m, figure.skin_m + figure.fat_m)
    skin, fat = thicknesses_told([[half - depth for half in figure.trunk_m] for depth in depths])
    between = " Between newborn and 1 year by body length." if figure.age == "6 months" else ""
    return (
        f"Outer half-axes {a:g} mm and {b:g} mm, height {height:g} mm; on the side skin of {skin} and fat of {fat}, "
        f"thickest on the axes; muscle; two lungs, each the upper half of an "
        f"ellipsoid less what lies within {MEDIAL_PLANE_OF_HALF_AXIS * a:.0f} mm of the middle plane. {TRUNK_SOURCE}"
        f"{between}"
    )


def _arms_note(figure: StylisedFigureRow) -> str:
    return (
        f"Two round arms of radius {figure.arm_radius_m * 1e3:g} mm lie beside the trunk, {ARM_CLEARANCE_M * 1e3:g} mm "
        "from its widest place (our own choice, so that elements fit between): skin, fat and muscle without bone, "
        "straight and as long as the trunk."
    )


def _lung(figure: StylisedFigureRow, *, side: int) -> Ellipsoid:
    """The lung on the left (+1) or right (-1) of the body."""
    base = (LUNG_BASE_OF_HEIGHT - 0.5) * figure.trunk_height_m
    half_width = figure.trunk_m[0]
    medial = MEDIAL_PLANE_OF_HALF_AXIS * half_width
    return Ellipsoid(
        semi_axes_m=figure.lung_m,
        centre_m=(side * LUNG_CENTRE_OF_HALF_AXIS * half_width, 0.0, base),
        lower_m=(medial, -inf, base) if side > 0 else (-inf, -inf, base),
        upper_m=(inf, inf, inf) if side > 0 else (-medial, inf, inf),
    )
