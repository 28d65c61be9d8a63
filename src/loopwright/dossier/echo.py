"""The brief, said back entry by entry in its own keys and engineers' units, and the defaults that filled it up."""

from loopwright.brief.records import Brief
from loopwright.brief.told import told
from loopwright.dossier.evidence import AskedLine, DefaultLine

__all__ = ["asked_lines", "default_lines"]

#: What the page tells in a paragraph of its own.
_TOLD_ELSEWHERE = frozenset({"scanner.frequency_convention"})


def asked_lines(brief: Brief) -> tuple[AskedLine, ...]:
    """Return every entry of the brief with its value, as the engineer would write them."""
    return tuple(
        AskedLine(field=entry.field, value=entry.value) for entry in told(brief) if entry.field not in _TOLD_ELSEWHERE
    )


def default_lines(brief: Brief) -> tuple[DefaultLine, ...]:
    """Return every entry that the brief left open, what was taken, and its source."""
    return tuple(
        DefaultLine(field=used.field, value=used.value, source=str(used.source)) for used in brief.defaults_used
    )
