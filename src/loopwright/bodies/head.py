"""A stylised head on its neck: scalp, skull, cerebrospinal fluid, grey and white matter, all bounded by ellipsoids.

It is a figure of formulas after a published stylised family (M. Cristy, K. F. Eckerman, ORNL/TM-8381 vol. 1, 1987
[cristy1987], from memory), its circumference that of the packaged anthropometry. It is no patient.
"""

from collections.abc import Sequence
from dataclasses import replace
from math import inf

from loopwright.bodies.quadrics import Ellipsoid, EllipticColumn, Quadric, Triple
from loopwright.bodies.solids import Region, Solid, thicknesses_told
from loopwright.ground.figures import HeadSize, figure_of, head_size, measured_as
from loopwright.ground.sources import Flag, Source
from loopwright.ground.tables import StylisedFigureRow, density_thermal_rows

HEAD_SOURCE = Source(
    key="cristy1987", where="aspect of the head, its cap, brain and neck at each age", flag=Flag.MEMORY
)
ICRP_SOURCE = "[icrp2002]"

#: White matter as a core of this share of the brain's volume, of the brain's own aspect: our own choice, from memory of
#: adult brains; folds are not modelled, and the white matter of infants is still grey in much of its water content.
WHITE_OF_BRAIN = 0.4
#: The skull from the age at which it has two tables: each a third of it, spongy bone between (our own choice).
_TABLE_OF_SKULL = 1 / 3
_ONE_TABLE = ("newborn", "6 months", "1 year")
#: The spine in the neck: radius over the neck's least half-axis, and how far behind the middle (our own choice).
SPINE_OF_NECK, SPINE_BEHIND = 0.35, 0.2

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
_SKIN, _FAT, _MUSCLE, _CORTICAL, _CANCELLOUS, _CSF, _GREY, _WHITE = range(len(HEAD_TISSUES))

CAUTION = (
    "The head is a stylised figure, no patient: an ellipsoid on an elliptic neck, without face, eyes, ears, airways, "
    "teeth, ventricles or the folds of the brain; muscle fills what is neither scalp, skull nor brain. Shape and "
    "interior from memory (Cristy and Eckerman 1987, ORNL/TM-8381) or our own choice, unverified."
)


def head(age: str) -> Solid:
    """The stylised head of this age, the middle of its ellipsoid at the origin, with its neck below.

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
    Head and neck meet in the plane in which their sections are equal, so the outer surface has no step there. Elements
    are laid on the ellipsoid; the neck is part of the body, and none may enter it. Skin and fat of the head have their
    thickness on the axes only; skull and fluid have theirs on the axes of the brain, whose middle lies higher than that
    of the head. The end of the neck is a cut plane.

    References
    ----------
    [cristy1987] for shape and brain (from memory); the anthropometry's note for the circumference.
    """
    figure, size = figure_of(age), head_size(age)
    of_head = _head_regions(figure, size)
    of_neck = _neck_regions(figure, size, first=len(of_head))
    return Solid(
        name=f"stylised head, {age}",
        regions=(*of_head, *of_neck),
        tissue_names=HEAD_TISSUES,
        beside=(_neck(size, size.neck_semi_axes_m, top_m=0.0),),
        notes=(_dimensions(size), _measured(figure), _thicknesses(figure, size), *_brain_note(figure)),
        cautions=(CAUTION,),
    )


def _head_regions(figure: StylisedFigureRow, size: HeadSize) -> tuple[Region, ...]:
    """Scalp, skull and brain, each inside the one before, all cut off where the neck begins."""
    scalp = (0.0, figure.skin_m, figure.skin_m + figure.scalp_fat_m)
    shapes = [_larger(size.semi_axes_m, -depth) for depth in scalp]
    tissues = [_SKIN, _FAT, _MUSCLE]
    middle = (0.0, 0.0, size.semi_axes_m[2] - size.scale * figure.head_cap_m)
    for growth, tissue in _skull_and_brain(figure):
        shapes.append(_larger(figure.brain_m, growth, centre_m=middle))
        tissues.append(tissue)
    white = WHITE_OF_BRAIN ** (1 / 3)
    x, y, z = (white * half for half in figure.brain_m)
    shapes.append(Ellipsoid(semi_axes_m=(x, y, z), centre_m=middle))
    tissues.append(_WHITE)
    lower = (-inf, -inf, size.neck_top_m)
    return _nested([replace(shape, lower_m=lower) for shape in shapes], tissues, first=0)


def _skull_and_brain(figure: StylisedFigureRow) -> list[tuple[float, int]]:
    """How far each surface stands outside the brain [m], and the tissue inside it, from outside inwards."""
    outer, inner = figure.csf_m + figure.skull_m, figure.csf_m
    surfaces = [(outer, _CORTICAL)]
    if figure.age not in _ONE_TABLE:
        table = _TABLE_OF_SKULL * figure.skull_m
        surfaces += [(outer - table, _CANCELLOUS), (inner + table, _CORTICAL)]
    return [*surfaces, (inner, _CSF), (0.0, _GREY)]


def _neck_regions(figure: StylisedFigureRow, size: HeadSize, *, first: int) -> tuple[Region, ...]:
    """Skin, fat, muscle and spine of the neck."""
    a, b = size.neck_semi_axes_m
    depths = (0.0, figure.skin_m, figure.skin_m + figure.scalp_fat_m)
    shapes = [_neck(size, (a - depth, b - depth), top_m=size.neck_top_m) for depth in depths]
    spine = SPINE_OF_NECK * min(a, b)
    column = _neck(size, (spine, spine), top_m=size.neck_top_m, behind_m=SPINE_BEHIND * b)
    return _nested([*shapes, column], [_SKIN, _FAT, _MUSCLE, _CANCELLOUS], first=first)


def _neck(size: HeadSize, semi_axes_m: tuple[float, float], *, top_m: float, behind_m: float = 0.0) -> EllipticColumn:
    middle = (top_m + size.neck_end_m) / 2
    return EllipticColumn(semi_axes_m=semi_axes_m, height_m=top_m - size.neck_end_m, centre_m=(0.0, behind_m, middle))


def _nested(shapes: Sequence[Quadric], tissues: Sequence[int], *, first: int) -> tuple[Region, ...]:
    """Regions that lie inside one another, the outermost one in air; ``first`` is the index of that one."""
    return tuple(
        Region(shape=shape, tissue=tissue, within=None if i == 0 else first + i - 1)
        for i, (shape, tissue) in enumerate(zip(shapes, tissues, strict=True))
    )


def _larger(semi_axes_m: Triple, growth_m: float, *, centre_m: Triple = (0.0, 0.0, 0.0)) -> Ellipsoid:
    x, y, z = (half + growth_m for half in semi_axes_m)
    return Ellipsoid(semi_axes_m=(x, y, z), centre_m=centre_m)


def _dimensions(size: HeadSize) -> str:
    a, b, c = (half * 1e3 for half in size.semi_axes_m)
    neck_a, neck_b = (half * 1e3 for half in size.neck_semi_axes_m)
    return (
        f"Half-axes of the head {a:.1f} mm, {b:.1f} mm and {c:.1f} mm; from z = {size.neck_top_m * 1e3:.0f} mm down to "
        f"z = {size.neck_end_m * 1e3:.0f} mm a neck of half-axes {neck_a:.0f} mm and {neck_b:.0f} mm, in it a spine of "
        f"spongy bone. The head is the figure's, larger by a factor of {size.scale:.3f}; the brain is the figure's "
        f"own. {HEAD_SOURCE}"
    ).replace("= -", "= \N{MINUS SIGN}")


def _measured(figure: StylisedFigureRow) -> str:
    row = measured_as(figure)
    where = "[who2007] growth standards, medians of boys" if row.flag_of("head") is Flag.READ else "adopted"
    return (
        f"Head circumference {row.circumference_m['head'] * 100:g} cm of the packaged anthropometry, {row.group}: "
        f"{where} ({row.flag_of('head').value})."
    )


def _thicknesses(figure: StylisedFigureRow, size: HeadSize) -> str:
    depths = (0.0, figure.skin_m, figure.skin_m + figure.scalp_fat_m)
    skin, fat = thicknesses_told([[half - depth for half in size.semi_axes_m] for depth in depths])
    return (
        f"On the axes: skin {figure.skin_m * 1e3:g} mm, fat {figure.scalp_fat_m * 1e3:g} mm, skull "
        f"{figure.skull_m * 1e3:g} mm, cerebrospinal fluid {figure.csf_m * 1e3:g} mm; white matter is a core of "
        f"{WHITE_OF_BRAIN:g} of the brain's volume. Skin from organ mass over area, the others our own choice within "
        "what head and brain leave: thinner than in people where that is little. Over the whole ellipsoid the skin is "
        f"{skin} thick and the fat {fat}."
    )


def brain_mass_kg(figure: StylisedFigureRow) -> float:
    """Mass of the ellipsoid of grey and white matter, fluid left out. [kg]"""
    density = {row.tissue: row.density_kg_per_m3 for row in density_thermal_rows()}
    mean = WHITE_OF_BRAIN * density[HEAD_TISSUES[_WHITE]] + (1 - WHITE_OF_BRAIN) * density[HEAD_TISSUES[_GREY]]
    return mean * Ellipsoid(semi_axes_m=figure.brain_m).volume_m3


def _brain_note(figure: StylisedFigureRow) -> tuple[str, ...]:
    """The brain against the reference mass, where there is one."""
    if figure.reference_brain_kg is None:
        return ()
    found, reference = brain_mass_kg(figure), figure.reference_brain_kg
    known = "read" if figure.reference_brain_flag == "READ" else "from memory, unverified"
    return (
        f"The brain weighs {found * 1e3:.0f} g, {100 * (found / reference - 1):+.0f} % from the reference "
        f"{reference * 1e3:.0f} g {ICRP_SOURCE} ({known}).".replace("-", "\N{MINUS SIGN}"),
    )
