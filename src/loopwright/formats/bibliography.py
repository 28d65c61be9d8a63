"""The references that come with the package."""

from importlib.resources import files

from loopwright.dossier import METHODS, Reference, parse_bibliography

__all__ = ["load_bibliography", "references_for"]


def load_bibliography() -> dict[str, Reference]:
    """Read the package's references."""
    return parse_bibliography(files("loopwright.dossier").joinpath("references.bib").read_text("utf-8"))


def references_for(methods: tuple[str, ...]) -> tuple[Reference, ...]:
    """Return the references behind these methods, sorted by key, each once."""
    known = load_bibliography()
    keys = {key for method in METHODS if method.name in methods for key in method.keys}
    return tuple(known[key] for key in sorted(keys))
