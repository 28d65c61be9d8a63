"""Sections 3 and 4: the body and the array on it."""

from functools import partial

from loopwright.dossier.evidence import BodyEvidence, Evidence, LayoutEvidence
from loopwright.dossier.findings import Column, Section, Table, asked_for
from loopwright.dossier.neighbours import coupling_left_findings, coupling_left_table, others_couple

__all__ = ["body_section", "layout_section"]

_PUBLISHED_TISSUE = (
    "Tissue properties are fits to measurements on excised and animal tissue. Between people and between samples they "
    "differ by ten per cent and more, so two digits are printed."
)
_exact = partial(asked_for, how="as asked, or a default above")


def body_section(body: BodyEvidence) -> Section:
    """Describe the body as it was solved."""
    return Section(
        anchor="body",
        title="The body",
        prose=(*body.sentences, _PUBLISHED_TISSUE),
        cautions=body.cautions,
        findings=(
            _exact("body.name", "body", body.name, ""),
            _exact("body.voxel_m", "edge of a voxel", body.voxel_m, "m"),
            _exact("body.voxels", "voxels of the grid", " × ".join(str(n) for n in body.shape), ""),
        ),
        tables=(_tissues(body),),
    )


def layout_section(evidence: Evidence) -> Section:
    """Describe the elements, how they lie, and how their neighbours couple."""
    layout = evidence.layout
    names = [element.name for element in layout.elements]
    return Section(
        anchor="layout",
        title="The array",
        prose=(*layout.notes, *others_couple(evidence)),
        findings=(
            _exact("layout.elements", "elements", str(len(names)), ""),
            _exact("layout.neighbouring_pairs", "pairs of neighbours", str(len(layout.neighbours)), ""),
            *coupling_left_findings(evidence),
        ),
        tables=(_elements(layout), *((coupling_left_table(evidence),) if layout.coupling_left else ())),
        pictures=("layout",),
    )


def _tissues(body: BodyEvidence) -> Table:
    return Table(
        name="tissues",
        caption="Tissues at the frequency of the run.",
        columns=(
            Column(title="tissue"),
            Column(title="relative permittivity", digits=2),
            Column(title="conductivity", unit="S/m", digits=2),
            Column(title="volume", unit="m^3", digits=2),
            Column(title="where read, and what to mind"),
        ),
        rows=tuple((t.name, t.eps_r, t.sigma_s_per_m, t.volume_m3, t.note) for t in body.tissues),
    )


def _elements(layout: LayoutEvidence) -> Table:
    names = [element.name for element in layout.elements]
    beside: dict[int, list[str]] = {index: [] for index in range(len(names))}
    for i, j in layout.neighbours:
        beside[i].append(names[j])
        beside[j].append(names[i])
    return Table(
        name="elements",
        caption="Elements in the body frame: x to the patient's left, y to posterior, z to the head.",
        columns=(
            Column(title="element"),
            Column(title="shape"),
            Column(title="size", unit="m", decimals=1),
            *(Column(title=f"centre {axis}", unit="m", decimals=1) for axis in "xyz"),
            *(Column(title=f"normal {axis}", decimals=3) for axis in "xyz"),
            Column(title="gaps"),
            Column(title="layer"),
            Column(title="neighbours"),
        ),
        rows=tuple(
            (e.name, e.shape, e.size_m, *e.centre_m, *e.normal, e.gaps, e.layer, " ".join(beside[index]))
            for index, e in enumerate(layout.elements)
        ),
    )
