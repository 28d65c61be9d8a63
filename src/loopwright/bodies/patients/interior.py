"""What is inside a patient: skin, fat, muscle, organs, skull, brain and long bones."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from loopwright.bodies.meshes import MeshShape
from loopwright.bodies.patients.balloons import quick_depth
from loopwright.bodies.patients.bones import limb_bones, spine, together
from loopwright.bodies.patients.joints import SIDES, Stance
from loopwright.bodies.patients.layers import Layers, layers
from loopwright.bodies.patients.masses import FAT_UNDER_THE_SKIN, ORGAN_TISSUES, TissueMass, masses_of, wanted_m3
from loopwright.bodies.patients.organs import KIDNEYS_UP, SPINE_RADIUS, Organ, Section, Trunk, trunk_organs
from loopwright.bodies.patients.skull import Cranium, cranium, thicknesses_m
from loopwright.bodies.solids import Region
from loopwright.ground.figures import PATIENT_TISSUES
from loopwright.ground.reference_masses import ReferenceMasses
from loopwright.ground.surface import Surface

Real = NDArray[np.float64]

_SPINE = ("pelvis", "lumbar spine", "lower spine", "middle spine", "upper spine", "neck", "head")
#: Middle of the spine from the back under its fat, over the radius of the spine (our own choice).
_BEHIND_SPINE = 1.8
_SKIN, _FAT, _MUSCLE, _CORTICAL, _CANCELLOUS = range(5)
_FLUID, _GREY, _WHITE = range(10, 13)


@dataclass(frozen=True, slots=True, kw_only=True)
class Interior:
    """Regions of a whole patient, the masses found, and what was built, in sentences."""

    regions: tuple[Region, ...]
    masses: tuple[TissueMass, ...]
    notes: tuple[str, ...]


def interior(stance: Stance, reference: ReferenceMasses, *, sex: str, age_years: float) -> Interior:
    """Fill a figure.

    Parameters
    ----------
    stance : Stance
        In its pose.
    reference : ReferenceMasses
        What its organs should weigh.
    sex : str
        Female or male.
    age_years : float
        For the thickness of skull and fluid. [a]
    """
    volumes = wanted_m3(reference)
    shells = layers(
        stance, skin_m3=volumes["skin"], fat_m3=FAT_UNDER_THE_SKIN * volumes["adipose"], age_years=age_years
    )
    inside = quick_depth(shells.under_fat)
    trunk = trunk_of(stance, shells.under_fat)
    organs = trunk_organs(trunk, volumes, inside)
    skull_m, fluid_m = thicknesses_m(sex, age_years)
    head = cranium(
        shells.under_fat.vertices_m[stance.share("head") > 0.5],
        float(stance.landmarks_m["glabella"][2]),
        brain_m3=volumes["brain"],
        skull_m=skull_m,
        fluid_m=fluid_m,
        age_years=age_years,
        depth_m=inside,
    )
    outer, inner = _bones(stance, trunk, shells.under_fat, head)
    regions = _regions(stance.surface, shells, organs, head, outer, inner)
    return Interior(
        regions=regions,
        masses=masses_of(regions, reference),
        notes=(_layers_note(shells),),
    )


def trunk_of(stance: Stance, under_fat: Surface) -> Trunk:
    """Inner measures of a trunk, from the marks and the surface under its fat."""
    notch, xiphoid, navel = (float(stance.landmarks_m[name][2]) for name in ("suprasternal notch", "xiphoid", "navel"))
    inside = under_fat.vertices_m[stance.share("trunk") > 0.5]

    def section(height_m: float) -> Section:
        ring = inside[np.abs(inside[:, 2] - height_m) < 0.15 * (notch - xiphoid)]
        half = float(np.ptp(ring[:, 0])) / 2
        middle = ring[np.abs(ring[:, 0]) < 0.25 * half, 1]
        return Section(half_width_m=half, front_m=float(middle.min()), back_m=float(middle.max()))

    chest = section(xiphoid)
    return Trunk(
        chest=chest,
        loin=section(navel + KIDNEYS_UP * (xiphoid - navel)),
        notch_m=notch,
        xiphoid_m=xiphoid,
        navel_m=navel,
        spine_m=_spine_m(stance, under_fat, chest),
    )


def _spine_m(stance: Stance, under_fat: Surface, chest: Section) -> tuple[tuple[float, float], ...]:
    """Middle of the spine as pairs of height and place along y, between the marks of the shapes. [m]

    It is brought forward where the back is too near for the spine and what lies behind it.
    """
    marks = np.array([stance.landmarks_m[name][[2, 1]] for name in _SPINE])
    heights = np.linspace(marks[0, 0], marks[-1, 0], 17)
    near = (stance.share("head", "neck", "trunk") > 0.7) & (
        np.abs(under_fat.vertices_m[:, 0]) < 0.12 * chest.half_width_m
    )
    behind = under_fat.vertices_m[near]
    room = _BEHIND_SPINE * SPINE_RADIUS * chest.depth_m
    window = 0.03 * (heights[-1] - heights[0])
    found = []
    for z, y in zip(heights, np.interp(heights, *marks.T), strict=True):
        back = behind[np.abs(behind[:, 2] - z) < window, 1]
        found.append((float(z), float(min(y, back.max() - room) if len(back) else y)))
    return tuple(found)


def _bones(stance: Stance, trunk: Trunk, under_fat: Surface, head: Cranium) -> tuple[Surface, Surface]:
    """Outer surfaces of all bones but the skull, and what is spongy inside them."""
    cover, inside = 0.25 * trunk.cover_m, quick_depth(under_fat)
    skull_base = float(head.skull.vertices_m[:, 2].min())
    found = [spine(trunk, top_m=skull_base)]
    for side in SIDES:
        found += limb_bones(stance.landmarks_m, inside, cover_m=cover, side=side)
    return together([outer for outer, _ in found]), together([inner for _, inner in found])


def _regions(
    skin: Surface, shells: Layers, organs: tuple[Organ, ...], head: Cranium, outer: Surface, inner: Surface
) -> tuple[Region, ...]:
    regions: list[Region] = []

    def add(surface: Surface, tissue: int, within: int | None) -> int:
        regions.append(Region(shape=MeshShape(surface=surface), tissue=tissue, within=within))
        return len(regions) - 1

    muscle = None
    for tissue, surface in enumerate((skin, shells.under_skin, shells.under_fat)):
        muscle = add(surface, tissue, muscle)
    add(inner, _CANCELLOUS, add(outer, _CORTICAL, muscle))
    for organ in organs:
        add(together(organ.pieces), PATIENT_TISSUES.index(ORGAN_TISSUES[organ.name]), muscle)
    within = add(head.skull, _CORTICAL, muscle)
    for surface, tissue in zip(head.spongy, (_CANCELLOUS, _CORTICAL), strict=False):
        within = add(surface, tissue, within)
    for surface, tissue in ((head.fluid, _FLUID), (head.brain, _GREY), (head.white, _WHITE)):
        within = add(surface, tissue, within)
    return tuple(regions)


def _layers_note(shells: Layers) -> str:
    return (
        f"Skin {shells.skin_m * 1e3:.2g} mm, fat of the trunk {shells.fat_of_trunk_m * 1e3:.2g} mm thick, thinner on "
        "limbs and head and where a part is slim: as thick as the reference masses ask, "
        f"{100 * FAT_UNDER_THE_SKIN:.0f} % of all fat under the skin. Muscle fills what is left: it stands for gut, "
        "vessels and glands too, and for the fat that is not under the skin."
    )
