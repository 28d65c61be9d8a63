"""The references behind a brief."""

from pathlib import Path
from textwrap import fill

from loopwright.cli.reading import brief_from
from loopwright.dossier import METHODS, methods_of
from loopwright.formats.bibliography import load_bibliography

__all__ = ["citations"]


def citations(brief_path: Path) -> str:
    """Return the references of a brief as text, method by method in the order of the job.

    Raises
    ------
    BriefError
        If the brief is wrong.
    """
    used = methods_of(brief_from(brief_path))
    known = load_bibliography()
    blocks = []
    for method in METHODS:
        if method.name in used:
            lines = [f"{method.name}: {method.purpose}"]
            lines += [
                fill(f"[{key}] {known[key].text}", width=100, initial_indent="  ", subsequent_indent="    ")
                for key in method.keys
            ]
            blocks.append("\n".join(lines))
    return "\n\n".join(blocks)
