"""A stylised head on its neck: half an ellipsoid on an elliptic column, in it skull, fluid, grey and white matter.

It is a figure of formulas after a published stylised family (M. Cristy, K. F. Eckerman, ORNL/TM-8381 vol. 1, 1987
[cristy1987], from memory), its circumference that of the packaged anthropometry. It is no patient.
"""

from collections.abc import Sequence

from loopwright.bodies.quadrics import Dome, Ellipsoid, EllipticColumn, Quadric, Triple
from loopwright.bodies.solids import Region, Solid, thicknesses_told
from loopwright.ground.figures import HEAD_TISSUES, HeadSize, figure_of, head_size, measured_as
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

_SKIN, _FAT, _MUSCLE, _CORTICAL, _CANCELLOUS, _CSF, _GREY, _WHITE = range(len(HEAD_TISSUES))

CAUTION = (
    "The head is a stylised figure, no patient: without face, eyes, ears, airways, teeth, ventricles or the folds of "
    "the brain. It keeps its widest section from the circumference down to the chin, where it ends flat: the lower "
    "half is a column of muscle about skull and brain, wider than a jaw and without its air and bone, and loads a coil "
    "there more than a face does. Shape and interior from memory (Cristy and Eckerman 1987, ORNL/TM-8381) or our own "
    "choice, unverified."
)


def head(age: str) -> Solid:
    """The stylised head of this age, the middle of its circumference at the origin, with its neck below.

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
    Half an ellipsoid stands on a column of the same section, which ends flat at the chin; elements are laid on both,
    the neck below is slimmer. Skin and fat of the head have their thickness on the axes only, and none at the chin;
    skull and fluid have theirs on the axes of the brain, whose middle is that of the circumference. The end of the neck
    is a cut plane.

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
        notes=(
            _dimensions(size),
            _volume(figure, size),
            _measured(figure),
            _thicknesses(figure, size),
            *_brain_note(figure),
        ),
        cautions=(CAUTION,),
    )


def _head_regions(figure: StylisedFigureRow, size: HeadSize) -> tuple[Region, ...]:
    """Scalp, skull and brain, each inside the one before; the scalp ends at the chin."""
    a, b, c = size.semi_axes_m
    shapes: list[Quadric] = [
        Dome(semi_axes_m=(a - depth, b - depth, c - depth), height_m=-size.neck_top_m)
        for depth in (0.0, figure.skin_m, figure.skin_m + figure.scalp_fat_m)
    ]
    tissues = [_SKIN, _FAT, _MUSCLE]
    for growth, tissue in _skull_and_brain(figure):
        shapes.append(_larger(figure.brain_m, growth))
        tissues.append(tissue)
    x, y, z = (WHITE_OF_BRAIN ** (1 / 3) * half for half in figure.brain_m)
    return _nested([*shapes, Ellipsoid(semi_axes_m=(x, y, z))], [*tissues, _WHITE], first=0)


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


def _larger(semi_axes_m: Triple, growth_m: float) -> Ellipsoid:
    x, y, z = (half + growth_m for half in semi_axes_m)
    return Ellipsoid(semi_axes_m=(x, y, z))


def _dimensions(size: HeadSize) -> str:
    a, b, c = (half * 1e3 for half in size.semi_axes_m)
    neck_a, neck_b = (half * 1e3 for half in size.neck_semi_axes_m)
    return (
        f"Half an ellipsoid of half-axes {a:.1f} mm, {b:.1f} mm and {c:.1f} mm on a column of the same section down to "
        f"the chin at z = {size.neck_top_m * 1e3:.0f} mm; from there to z = {size.neck_end_m * 1e3:.0f} mm a neck of "
        f"half-axes {neck_a:.0f} mm and {neck_b:.0f} mm, in it a spine of spongy bone. Head and neck are the figure's, "
        f"every length times {size.scale:.3f}; the brain is the figure's own. {HEAD_SOURCE}"
    ).replace("= -", "= \N{MINUS SIGN}")


def _volume(figure: StylisedFigureRow, size: HeadSize) -> str:
    """The head without its neck against that of the figure, which its circumference makes larger or smaller."""
    published = size.volume_m3 / size.scale**3
    return (
        f"The head without its neck fills {size.volume_m3 * 1e3:.2f} L and weighs {head_mass_kg(figure):.2f} kg; the "
        f"published figure's fills {published * 1e3:.2f} L. The difference of {100 * (size.scale**3 - 1):+.1f} % is "
        "that of the circumferences alone."
    ).replace("of -", "of \N{MINUS SIGN}")


def head_mass_kg(figure: StylisedFigureRow) -> float:
    """Mass of the head without its neck. [kg]"""
    density = {row.tissue: row.density_kg_per_m3 for row in density_thermal_rows()}
    regions = _head_regions(figure, head_size(figure.age))
    inside = [*(region.shape.volume_m3 for region in regions[1:]), 0.0]
    return sum(
        density[HEAD_TISSUES[region.tissue]] * (region.shape.volume_m3 - within)
        for region, within in zip(regions, inside, strict=True)
    )


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
        "what head and brain leave: thinner than in people where that is little. Over the whole cap the skin is "
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
