"""Write the page and the picture of all patients anew, on purpose.

    python tests/bodies/renew_patients.py

Then read the difference before committing it.
"""

import sys
from pathlib import Path

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure

sys.path.insert(0, str(Path(__file__).parents[1]))

from loopwright.bodies.patients import DENSITY_KG_PER_M3, FittedSurface
from patient_cases import AGES, EVERYBODY, REFERENCE, haycock_m2, patient, reference_patient

DOCS = Path(__file__).parents[2] / "docs"
PAGE = DOCS / "reference" / "patients.md"
PICTURE = DOCS / "pictures" / "patients.png"

HEAD = f"""# Patients

Closed skins of patients from 26 weeks of gestation to grown up, of both sexes, fitted to length, mass, head
circumference and head shape, and to the tape measures that are given. What is not given is in the middle of sex and age
(`ground/data/anthropometry.csv`, with the flag of every number; between its rows, over the logarithm of the time since
conception). This page is written by `python tests/bodies/renew_patients.py`.

**Think before you rely on one.** The shapes are artists' work scaled to growth tables and tape measures; none is from a
scan. The newborn lies beyond the artists' baby of one year, and before term it is that newborn in other sizes. Most
girths of children in the table are from memory.

![Every age from the front and from the side, each scaled to the same height](../pictures/patients.png)

## What is measured, and how

A tape spans hollows: every circumference is the perimeter of the convex hull of a plane section.

| measure | on the body |
|---|---|
| length | lowest point of the heels to the crown, standing |
| mass | volume inside the skin times {DENSITY_KG_PER_M3:g} kg/m³, air of the lungs included (from memory) |
| head circumference | in the plane through glabella and farthest point of the head, level from ear to ear; no ears |
| head length | between those two points |
| head breadth | greatest width at or above the eyes, ears left out; over head length it is the cephalic index |
| chest, abdomen | level sections at the nipples and at the navel, arms left out |
| thigh | across the line from hip to knee, halfway |
| knee | across the line from hip to ankle, at the knee |
| wrist | across the forearm, a twentieth of its length above the wrist |

Head circumference comes before head length and breadth: it is met, and of the other two only their ratio is sought.

## In the middle of every age

Found, and in brackets the difference from the table in per cent. Length, mass and head circumference are met; the rest
is drawn towards the table, each by how far it can be trusted, while every part resists being stretched otherwise than
the others. A measure that is given is met within 0.2 per cent where the others allow it, and told where they do not.
"""

COLUMNS = {
    "length": ("length cm", 100, 1),
    "mass": ("mass kg", 1, 2),
    "head circumference": ("head cm", 100, 1),
    "head breadth over length": ("breadth/length", 1, 3),
    "chest circumference": ("chest cm", 100, 1),
    "abdomen circumference": ("abdomen cm", 100, 1),
    "thigh circumference": ("thigh cm", 100, 1),
    "knee circumference": ("knee cm", 100, 1),
    "wrist circumference": ("wrist cm", 100, 1),
}

AREAS = """
## Surface area, which is not fitted

At the length and mass of the reference people of [icrp2002] (lengths and areas from memory), beside the formula of
[haycock1978] (from memory), which was fitted to people who were measured.

| | length cm | mass kg | area m² | reference m² | difference | by the formula m² | difference |
|---|---|---|---|---|---|---|---|
"""

AFTER_AREAS = """
The newborn misses the reference by 8 per cent. Its 0.24 m² is 6 per cent above what the formula gives for 51 cm and
3.5 kg; girths from the table leave no room for so much skin round so little volume. All other ages agree with the
reference within 6 per cent, and all with the formula within 3.

## Skin

Every edge lies between two triangles that agree on outside, the volume is positive, and the skin is one sheet without
handles. Where parts meet (chin, armpits, groin) none enters another. Toes, fingers and lips of small children overlap
by fractions of a millimetre, 0.002 per cent of the volume or less. Eyes and mouth are shut, nostrils shallow.

The notice of the shapes is `src/loopwright/ground/data/body_shapes.notice.md`.
"""


def page() -> str:
    """The page of all patients."""
    titles = " | ".join(title for title, *_ in COLUMNS.values())
    lines = [HEAD, f"| | {titles} |", "|---" * (len(COLUMNS) + 1) + "|"]
    lines += [_row(f"{sex}, {age}", patient(sex, age)) for sex, age in EVERYBODY]
    areas = [_area_row(sex, age) for sex, age in EVERYBODY if (sex, age) in REFERENCE]
    return "\n".join(lines) + "\n" + AREAS + "\n".join(areas) + "\n" + AFTER_AREAS


def _row(title: str, body: FittedSurface) -> str:
    cells = []
    for name, (_, factor, digits) in COLUMNS.items():
        measure = body.measure(name)
        difference = round(100 * measure.difference, 1) + 0.0  # no minus before a nought
        cells.append(f"{factor * measure.found:.{digits}f} ({difference:+.1f})")
    return f"| {title} | " + " | ".join(cells) + " |"


def _area_row(sex: str, age: str) -> str:
    length_m, mass_kg, reference_m2 = REFERENCE[sex, age]
    found_m2, formula_m2 = reference_patient(sex, age).surface.area_m2, haycock_m2(length_m, mass_kg)
    against = (
        f"{found_m2:.3f} | {reference_m2:.2f} | {100 * (found_m2 / reference_m2 - 1):+.1f} %"
        f" | {formula_m2:.3f} | {100 * (found_m2 / formula_m2 - 1):+.1f} %"
    )
    return f"| {sex}, {age} | {100 * length_m:.0f} | {mass_kg:g} | {against} |"


def picture() -> Figure:
    """Every age from the front and from the side, each scaled to the same height."""
    figure = Figure(figsize=(22, 4.4), dpi=72)
    for row, sex in enumerate(("female", "male")):
        for column, age in enumerate(AGES):
            axes = figure.add_axes((column / len(AGES), 0.5 - 0.5 * row, 1 / len(AGES), 0.5))
            _draw(axes, patient(sex, age))
            axes.set_title(f"{sex}, {age}", fontsize=9, y=0.9)
    return figure


def _draw(axes, body: FittedSurface) -> None:
    length_m = body.measure("length").found
    vertices = body.surface.vertices_m / length_m - [0, 0, body.surface.vertices_m[:, 2].min() / length_m]
    normals = body.surface.area_vectors_m2 / np.linalg.norm(body.surface.area_vectors_m2, axis=1, keepdims=True)
    for right, towards, shift in (((1, 0, 0), (0, -1, 0), -0.24), ((0, 1, 0), (1, 0, 0), 0.46)):
        flat = np.stack([vertices @ np.array(right) + shift, vertices[:, 2]], axis=1)
        facing = np.flatnonzero(normals @ np.array(towards) > 0)
        depth = (vertices @ np.array(towards))[body.surface.triangles[facing]].mean(axis=1)
        order = facing[np.argsort(depth)]
        lamp = 0.8 * np.array(towards) - 0.3 * np.array(right) + [0, 0, 0.5]
        shade = [str(0.35 + 0.6 * light) for light in np.clip(normals[order] @ lamp, 0, 1)]
        corners = flat[body.surface.triangles[order]]
        axes.add_collection(PolyCollection(corners, facecolors=shade, edgecolors=shade, lw=0.1))
    axes.set(xlim=(-0.62, 0.64), ylim=(-0.02, 1.14), aspect="equal")
    axes.set_axis_off()


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    picture().savefig(PICTURE)
