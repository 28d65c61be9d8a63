"""Section 1: what was asked, what was left open and taken, and the scanner it is for."""

from functools import partial

from loopwright.dossier.evidence import AskedLine, DefaultLine, Evidence
from loopwright.dossier.findings import CHOSEN, Column, Finding, Section, Table, asked_for

__all__ = ["asked_section", "asked_tables"]
_choice = partial(asked_for, how="as asked, or a default below")


def asked_section(evidence: Evidence) -> Section:
    """Tell what the brief says, and what was taken where it is silent."""
    return Section(
        anchor="asked",
        title="What was asked",
        prose=(
            f"This run answers the brief “{evidence.title}”. The brief as run lies beside this page as brief.yaml.",
            evidence.frequency_convention,
        ),
        findings=_scanner(evidence),
        tables=asked_tables(evidence.asked, evidence.defaults),
    )


def asked_tables(asked: tuple[AskedLine, ...], defaults: tuple[DefaultLine, ...]) -> tuple[Table, ...]:
    """Tables of the brief as run, and of what was taken where it is silent."""
    return _asked(asked), _defaults(defaults)


def _scanner(evidence: Evidence) -> tuple[Finding, ...]:
    return (
        Finding(
            key="scanner.frequency_hz",
            label="Larmor frequency of the run",
            value=evidence.frequency_hz,
            unit="Hz",
            no_uncertainty_because=CHOSEN,
            how="gyromagnetic ratio of the nucleus times the field",
            source="[codata2018]" if evidence.nucleus == "1H" else "[codata2018], [harris2008]",
        ),
        _choice("scanner.field_t", "field", evidence.field_t, "T"),
        _choice("scanner.nucleus", "nucleus", evidence.nucleus, ""),
        _choice("scanner.b0_direction", "direction of B0 in the body frame", evidence.b0_direction, ""),
    )


def _asked(asked: tuple[AskedLine, ...]) -> Table:
    topics: dict[str, list[str]] = {}
    for line in asked:
        topic, _, entry = line.field.rpartition(".")
        topics.setdefault(topic, []).append(f"{entry}: {line.value}")
    return Table(
        name="brief",
        caption="The brief as run in its own keys, defaults filled in.",
        columns=(Column(title="topic"), Column(title="entries")),
        rows=tuple((topic, "; ".join(entries)) for topic, entries in topics.items()),
    )


def _defaults(defaults: tuple[DefaultLine, ...]) -> Table:
    return Table(
        name="defaults",
        caption="Left open by the brief, and what was taken instead.",
        columns=(Column(title="entry"), Column(title="taken"), Column(title="source")),
        rows=tuple((line.field, line.value, line.source) for line in defaults),
    )
