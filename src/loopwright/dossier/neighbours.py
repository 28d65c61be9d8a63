"""The coupling that the layout leaves between neighbours, beside what the whole network shows for them."""

import numpy as np

from loopwright.dossier.evidence import Evidence
from loopwright.dossier.findings import Column, Finding, Table
from loopwright.dossier.network import worst_pair

__all__ = ["coupling_left_findings", "coupling_left_table", "others_couple"]

_NOT_BOUNDED = "strip width and crossing capacitance are not in it; the table sets the whole network beside it"


def coupling_left_findings(evidence: Evidence) -> tuple[Finding, ...]:
    """Root mean square and largest coefficient between neighbours; none where nobody told how they couple."""
    layout, names = evidence.layout, evidence.element_names
    if not layout.coupling_left:
        return ()
    worst = max(layout.coupling_left, key=lambda line: abs(line.coefficient))
    rms = float(np.sqrt(np.mean([line.coefficient**2 for line in layout.coupling_left])))
    i, j = worst.pair
    how = f"reactance between two elements over the geometric mean of their own; {layout.coupling_includes}"
    of_table = "the first row of the table of neighbours below"
    return (
        _left("layout.coupling_left_rms", "coupling coefficient left between neighbours, rms", rms, how),
        _left("layout.coupling_left_largest", "the same, largest by size", abs(worst.coefficient), of_table),
        _left("layout.coupling_left_largest_pair", "between", f"{names[i]} and {names[j]}", of_table),
    )


def others_couple(evidence: Evidence) -> tuple[str, ...]:
    """Say how strongly elements couple that are no neighbours, for no overlap undoes that."""
    if not evidence.layout.coupling_left:
        return ()
    apart = np.abs(np.triu(evidence.network.coupling_coefficient, k=1))
    for line in evidence.layout.coupling_left:
        apart[line.pair] = 0
    i, j = worst_pair(apart)
    if apart[i, j] == 0:
        return ()
    names = evidence.element_names
    told = f"in the network by up to {apart[i, j]:.3f} ({names[i]} and {names[j]})"
    return (f"Elements that are no neighbours couple as well, whatever the overlap: {told}.",)


def coupling_left_table(evidence: Evidence) -> Table:
    """Every pair of neighbours, the most strongly coupled first."""
    names, network = evidence.element_names, evidence.network.coupling_coefficient
    lines = sorted(evidence.layout.coupling_left, key=lambda line: -abs(line.coefficient))
    return Table(
        name="coupling_left",
        caption="Coupling left between neighbours. As laid out: with uniform currents, as far as the search for zero "
        "coupling looks. In the network: with the currents, gaps and body of the whole run.",
        columns=(
            Column(title="element"),
            Column(title="with"),
            Column(title="centre distance over size", decimals=3),
            Column(title="coefficient, as laid out", decimals=4),
            Column(title="coefficient, in the network", decimals=4),
        ),
        rows=tuple(
            (names[i], names[j], line.overlap, line.coefficient, float(network[i, j]))
            for line in lines
            for i, j in (line.pair,)
        ),
        rows_on_page=12,
    )


def _left(key: str, label: str, value: float | str, how: str) -> Finding:
    return Finding(
        key=key,
        label=label,
        value=value,
        unit="" if isinstance(value, str) else "1",
        no_uncertainty_because=_NOT_BOUNDED,
        how=how,
        source="computed here",
    )
