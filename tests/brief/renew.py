"""Write the committed complaints and the reference page anew, on purpose.

    python tests/brief/renew.py

Then read the difference before committing it: these texts are what the engineer sees.
"""

from pathlib import Path

from loopwright.brief import read_brief
from loopwright.brief.reference import reference_page
from loopwright.ground.errors import BriefError

HERE = Path(__file__).parent
MALFORMED = HERE / "malformed"
REFERENCE = HERE.parents[1] / "docs" / "reference" / "brief.md"


def complaints_of(brief: Path) -> str:
    """Return the complaints about one brief as the command line prints them."""
    try:
        read_brief(brief.read_text(encoding="utf-8"), brief.name)
    except BriefError as error:
        return f"{error}\n"
    return ""


if __name__ == "__main__":
    for path in sorted(MALFORMED.glob("*.yaml")):
        path.with_suffix(".txt").write_text(complaints_of(path), encoding="utf-8")
    REFERENCE.write_text(reference_page(), encoding="utf-8")
