"""What a dossier says of elements of coaxial line."""

import numpy as np
import pytest

from coaxial_evidence import as_coaxial
from loopwright.dossier import compile_dossier
from synthetic_evidence import synthetic_evidence


@pytest.fixture(scope="module")
def told():
    evidence = as_coaxial(synthetic_evidence(count=4))
    return evidence, {section.anchor: section for section in compile_dossier(evidence).sections}


def test_the_section_tells_terminal_and_losses(told):
    evidence, sections = told
    section = sections["coaxial"]
    assert "−5.0 % to +5.0 %" in section.prose[0]
    assert section.prose[-1] == "The jacket is left out."
    terminals, pairs = section.tables
    w = 2 * np.pi * evidence.frequency_hz
    parts = [row[3] for row in terminals.rows]
    assert parts[0] == f"capacitor, {2e-3 / w * 1e12:.3g} pF"
    assert set(parts[1:]) == {f"inductor, {1e9 / (w * 2e-3):.3g} nH"}
    assert [row[4] for row in terminals.rows] == pytest.approx([500.0] * 4)
    assert [row[5] for row in terminals.rows] == pytest.approx([1000.0] * 4)  # what is left once the susceptance is out
    assert [row[6] for row in terminals.rows] == pytest.approx([0.75] * 4)
    assert pairs.rows[0][:4] == (evidence.element_names[0], evidence.element_names[1], 0.021, 0.025)


def test_nothing_speaks_of_capacitors_in_gaps(told):
    _, sections = told
    titles = [column.title for table in sections["network"].tables for column in table.columns]
    assert "R line" in titles
    assert not [title for title in titles if "capacitor" in title]
    assert not {"element.gap_capacitance_f"} & {finding.key for finding in sections["network"].findings}
    assert "two_frequencies" not in sections
