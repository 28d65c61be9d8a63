"""Write docs/reference/patient-interiors.md: masses of the tissues of patients against those of a reference person.

python scripts/patient-interiors.py
"""

from pathlib import Path

from loopwright.bodies.patients.building import patient_body
from loopwright.brief.records import AgeAfterTerm, GestationalAge, PatientRequest

OUT = Path(__file__).parent.parent / "docs/reference/patient-interiors.md"
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

"""


def main() -> None:
    """Build every patient and write the table."""
    found = [
        (title, patient_body(PatientRequest(sex=sex, age=age, part="whole body", voxel_m=5e-3)).masses)
        for sex, age, title in PATIENTS
    ]
    names = [mass.name for mass in found[0][1]]
    lines = ["| mass [kg] | " + " | ".join(title for title, _ in found) + " |", "|---|" + "---:|" * len(found)]
    for row, name in enumerate(names):
        cells = [_cell(masses[row].found_kg, masses[row].off) for _, masses in found]
        lines.append(f"| {name} | " + " | ".join(cells) + " |")
    OUT.write_text(HEAD + "\n".join(lines) + "\n", encoding="utf-8")


def _cell(found_kg: float, off: float | None) -> str:
    if off is None:
        return f"{found_kg:.3g}"
    percent = round(100 * off)
    told = f"{percent:+d}".replace("-", "\N{MINUS SIGN}") if percent else "0"
    return f"{found_kg:.3g} ({told} %)"


if __name__ == "__main__":
    main()
