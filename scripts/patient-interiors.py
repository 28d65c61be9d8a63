"""Write docs/reference/patient-interiors.md: masses of the tissues of patients against those of a reference person.

python scripts/patient-interiors.py
"""

from pathlib import Path

import matplotlib as mpl
import numpy as np
from matplotlib import pyplot as plt
from matplotlib.colors import ListedColormap
from matplotlib.patches import Patch

from loopwright.bodies import Solid
from loopwright.bodies.patients.building import patient_body
from loopwright.brief.records import AgeAfterTerm, GestationalAge, PatientRequest

DOCS = Path(__file__).parent.parent / "docs"
OUT, PICTURE = DOCS / "reference/patient-interiors.md", DOCS / "pictures/patient-interiors.png"
#: Air, then the tissues in their order.
COLOURS = (
    "white", "#d9a066", "#ffe680", "#c0504d", "#e8e8e8", "#f5deb3", "#8b0000", "#87ceeb", "#7b3f00", "#6a3d9a",
    "#ff7f00", "#9ecae1", "#888888", "#dddddd",
)  # fmt: skip
PATIENTS = (
    ("male", GestationalAge(gestation_weeks=30), "30 weeks, boy"),
    ("male", AgeAfterTerm(age_years=0), "newborn, boy"),
    ("female", AgeAfterTerm(age_years=1), "1 year, girl"),
    ("male", AgeAfterTerm(age_years=5), "5 years, boy"),
    ("female", AgeAfterTerm(age_years=10), "10 years, girl"),
    ("male", AgeAfterTerm(age_years=15), "15 years, boy"),
    ("female", AgeAfterTerm(age_years=15), "15 years, girl"),
    ("male", AgeAfterTerm(age_years=30), "adult, man"),
    ("female", AgeAfterTerm(age_years=30), "adult, woman"),
)
DRAWN = ("newborn, boy", "1 year, girl", "5 years, boy", "adult, man", "adult, woman")
HEAD = """# Inside patients

Masses found in the whole body on its back, arms down, and how far each is from the reference person of ICRP
Publication 89 [icrp2002] (heart, brain and skeleton below 20 years from memory). Written by
`scripts/patient-interiors.py`.

- Fat under the skin is held against three quarters of all fat (our own choice, from memory).
- Muscle fills what is left. Its reference is all that no other row names: muscle, gut, vessels, glands, and the fat
  that is not under the skin.
- The skeleton holds skull, spine and long bones only; its reference is the whole skeleton with marrow.
- Lungs of infants have no room for their mass at the density of inflated lung.
- Before term the reference is the newborn times mass over mass.

![Label maps from the front and across the lower chest](../pictures/patient-interiors.png)

"""


def main() -> None:
    """Build every patient and write the table."""
    built = [
        (title, patient_body(PatientRequest(sex=sex, age=age, part="whole body", voxel_m=5e-3)))
        for sex, age, title in PATIENTS
    ]
    found = [(title, body.masses) for title, body in built]
    draw([(title, body.solid) for title, body in built if title in DRAWN])
    names = [mass.name for mass in found[0][1]]
    lines = ["| mass [kg] | " + " | ".join(title for title, _ in found) + " |", "|---|" + "---:|" * len(found)]
    for row, name in enumerate(names):
        cells = [_cell(masses[row].found_kg, masses[row].off) for _, masses in found]
        lines.append(f"| {name} | " + " | ".join(cells) + " |")
    OUT.write_text(HEAD + "\n".join(lines) + "\n", encoding="utf-8")


def draw(columns: list[tuple[str, Solid]]) -> None:
    """Label maps of patients: front view through the middle, side view, and sections through chest and liver."""
    mpl.use("Agg")
    figure, axes = plt.subplots(2, len(columns), figsize=(3.2 * len(columns), 8), height_ratios=(3, 1))
    for (title, solid), (front, section) in zip(columns, axes.T, strict=True):
        lower, upper = np.array(solid.box_m)
        step = (upper[2] - lower[2]) / 420
        x, y, z = (np.arange(a, b, step) for a, b in zip(lower, upper, strict=True))
        _show(front, solid, *np.meshgrid(x, z), lambda a, b, back=upper[1]: (a, 0 * a - 0.12 * back, b))
        _show(section, solid, *np.meshgrid(x, -y), lambda a, b, up=upper[2]: (a, -b, 0 * a + 0.22 * up))
        front.set_title(title)
    named = [Patch(color=colour, label=name) for colour, name in zip(COLOURS[1:], solid.tissue_names, strict=True)]
    figure.tight_layout(rect=(0, 0.08, 1, 1))
    figure.legend(handles=named, loc="lower center", ncols=5, frameon=False)
    figure.savefig(PICTURE, dpi=80)


def _show(axes, solid, across, up, at) -> None:  # noqa: ANN001
    points = np.column_stack(at(across.ravel(), up.ravel()))
    label = solid.label(points).reshape(across.shape) + 1
    axes.pcolormesh(across, up, label, cmap=ListedColormap(COLOURS), vmin=0, vmax=len(COLOURS) - 1, rasterized=True)
    axes.set_aspect("equal")
    axes.axis("off")


def _cell(found_kg: float, off: float | None) -> str:
    if off is None:
        return f"{found_kg:.3g}"
    percent = round(100 * off)
    told = f"{percent:+d}".replace("-", "\N{MINUS SIGN}") if percent else "0"
    return f"{found_kg:.3g} ({told} %)"


if __name__ == "__main__":
    main()
