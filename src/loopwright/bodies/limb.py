"""A stretch of a stylised limb: an elliptic column of skin, fat and muscle round one bone or two.

Circumferences are those of the packaged anthropometry, or of the arm of a published stylised family ([cristy1987]);
bones are our own choice, from memory of sections. It is a figure of formulas, no patient.
"""

from dataclasses import dataclass

from loopwright.bodies.quadrics import EllipticColumn
from loopwright.bodies.solids import Region, Solid, thicknesses_told
from loopwright.ground.figures import LIMB_TISSUES, figure_of, limb_circumference_m, limb_semi_axes_m, measured_as
from loopwright.ground.sources import Flag, Source
from loopwright.ground.tables import StylisedFigureRow

_SKIN, _FAT, _MUSCLE, _CORTICAL, _CANCELLOUS = range(len(LIMB_TISSUES))

ARM_SOURCE = Source(
    key="cristy1987",
    where="what the trunk without arms leaves of the trunk with arms, shared by two round arms",
    flag=Flag.MEMORY,
)

CAUTION = (
    "The limb is a stylised figure, no patient: a straight column with flat ends whose bones and fat keep one section "
    "over its whole length, without vessels, joints or marrow; circumference from memory, bones our own choice, "
    "unverified."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Inside:
    """What lies inside a limb, as shares of the lesser half-axis of its section.

    ``fat`` multiplies the thickness of fat under the skin of the trunk; bones are round, each with a shell of cortical
    bone.
    """

    fat: float
    bone_radius: float
    bone_shell: float
    bones_at: tuple[tuple[float, float], ...]


#: Our own choice, from memory of sections: a femur off the middle, the wide end of it in the knee, a humerus in the
#: middle, radius and ulna side by side.
INSIDES = {
    "thigh": Inside(fat=1.0, bone_radius=0.17, bone_shell=0.06, bones_at=((0.0, -0.1),)),
    "knee": Inside(fat=0.6, bone_radius=0.62, bone_shell=0.03, bones_at=((0.0, 0.0),)),
    "upper arm": Inside(fat=0.7, bone_radius=0.25, bone_shell=0.09, bones_at=((0.0, 0.0),)),
    "wrist": Inside(fat=0.3, bone_radius=0.38, bone_shell=0.09, bones_at=((0.62, 0.0), (-0.62, 0.0))),
}


def limb(part: str, age: str, length_m: float) -> Solid:
    """A stretch of a limb about z, its middle at the origin.

    Parameters
    ----------
    part : str
        One of thigh, knee, upper arm, wrist.
    age : str
        One of the ages of the packaged figures.
    length_m : float
        Length along z; the ends are flat cuts. [m]

    Raises
    ------
    OutsideModelError
        If the table has no such age.

    Notes
    -----
    Skin and fat have their thickness on the axes, and everywhere on a round section.
    """
    figure, inside = figure_of(age), INSIDES[part]
    a, b = limb_semi_axes_m(part, age)
    depths = (0.0, figure.skin_m, figure.skin_m + inside.fat * figure.fat_m)
    layers = tuple(
        Region(
            shape=EllipticColumn(semi_axes_m=(a - depth, b - depth), height_m=length_m),
            tissue=tissue,
            within=tissue - 1 if tissue else None,
        )
        for tissue, depth in enumerate(depths)
    )
    return Solid(
        name=f"stylised {part}, {age}",
        regions=(*layers, *_bones(inside, b, length_m)),
        tissue_names=LIMB_TISSUES,
        notes=(_dimensions(part, figure, depths), _measured(part, figure)),
        cautions=(CAUTION,),
    )


def _bones(inside: Inside, half_m: float, length_m: float) -> tuple[Region, ...]:
    """Bones in the muscle, region 2: a shell of cortical bone round spongy bone each."""
    regions: list[Region] = []
    for x, y in inside.bones_at:
        centre = (x * half_m, y * half_m, 0.0)
        for share, tissue in ((inside.bone_radius, _CORTICAL), (inside.bone_radius - inside.bone_shell, _CANCELLOUS)):
            column = EllipticColumn(semi_axes_m=(share * half_m, share * half_m), height_m=length_m, centre_m=centre)
            within = _MUSCLE if tissue == _CORTICAL else 2 + len(regions)
            regions.append(Region(shape=column, tissue=tissue, within=within))
    return tuple(regions)


def _dimensions(part: str, figure: StylisedFigureRow, depths_m: tuple[float, ...]) -> str:
    a, b = (half * 1e3 for half in limb_semi_axes_m(part, figure.age))
    inside = INSIDES[part]
    skin, fat = thicknesses_told([[half - depth for half in limb_semi_axes_m(part, figure.age)] for depth in depths_m])
    bones = "one bone" if len(inside.bones_at) == 1 else "two bones"
    return (
        f"Half-axes of the section {a:.1f} mm and {b:.1f} mm; skin of {skin}, fat of {fat}, muscle, and "
        f"{bones} of radius {inside.bone_radius * b:.1f} mm (our own choice). The ends are flat cuts; layers lie on "
        "the side only."
    )


def _measured(part: str, figure: StylisedFigureRow) -> str:
    around = f"Circumference {limb_circumference_m(part, figure.age) * 100:.3g} cm"
    if part == "upper arm":
        return f"{around}: {ARM_SOURCE}"
    row = measured_as(figure)
    return f"{around} of the packaged anthropometry, {row.group} ({row.flag_of(part).value})."
