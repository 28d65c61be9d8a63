"""Coupling left between neighbours: what the array section prints of it."""

from dataclasses import replace

import numpy as np
import pytest

from loopwright.dossier import NeighbourLine
from loopwright.dossier.neighbours import coupling_left_findings, coupling_left_table, others_couple
from loopwright.dossier.subject import layout_section
from synthetic_evidence import synthetic_evidence

COUPLING = np.array([[1.0, 0.02, -0.05], [0.02, 1.0, -0.01], [-0.05, -0.01, 1.0]])


def _evidence(*lines):
    evidence = synthetic_evidence(count=3)
    left = tuple(NeighbourLine(pair=pair, overlap=0.76, coefficient=k) for pair, k in lines)
    return replace(
        evidence,
        layout=replace(evidence.layout, coupling_left=left, coupling_includes="the wires alone"),
        network=replace(evidence.network, coupling_coefficient=COUPLING),
    )


TWO = ((0, 1), 0.003), ((1, 2), -0.004)


def test_root_mean_square_and_the_largest_by_size():
    rms, largest, pair = coupling_left_findings(_evidence(*TWO))
    assert rms.value == pytest.approx(np.sqrt((9e-6 + 16e-6) / 2))
    assert largest.value == pytest.approx(0.004)
    assert pair.value == "A2 and A3"
    assert "the wires alone" in rms.how


def test_the_strongest_pair_comes_first_beside_what_the_network_shows():
    rows = coupling_left_table(_evidence(*TWO)).rows
    assert rows == (("A2", "A3", 0.76, -0.004, -0.01), ("A1", "A2", 0.76, 0.003, 0.02))


def test_elements_that_are_no_neighbours_are_told_too():
    (told,) = others_couple(_evidence(*TWO))
    assert "0.050 (A1 and A3)" in told
    assert others_couple(_evidence(*TWO, ((0, 2), 0.001))) == ()


def test_nothing_is_printed_where_nobody_told_how_neighbours_couple():
    section = layout_section(_evidence())
    assert [table.name for table in section.tables] == ["elements"]
    assert not any("coupling" in finding.key for finding in section.findings)
    assert [table.name for table in layout_section(_evidence(*TWO)).tables] == ["elements", "coupling_left"]
