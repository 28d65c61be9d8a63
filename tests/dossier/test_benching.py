import json

import numpy as np
import pytest

from loopwright.bench import MeasuredNetwork, Priors, bench_model, fit, turns
from loopwright.bench.model import Kind
from loopwright.dossier import BenchEvidence, compile_bench
from loopwright.formats.html import dossier_html
from loopwright.formats.pictures.benching import bench_picture
from loopwright.formats.summary import summary_json
from loopwright.formats.tables import table_csv
from made_bench import F0_HZ, circuits, port_ohm

FREQUENCIES_HZ = F0_HZ * np.linspace(0.96, 1.04, 41)


@pytest.fixture(scope="module")
def evidence():
    model = bench_model(
        frequencies_hz=FREQUENCIES_HZ,
        frequency_hz=F0_HZ,
        port_ohm=port_ohm(2, FREQUENCIES_HZ),
        port_element=np.repeat([0, 1], 4),
        circuits=circuits(2),
        priors=Priors(),
        reference_ohm=50.0,
    )
    truth = np.zeros(len(model.differences))
    truth[[one.part for one in model.differences].index("C tune 4")] = 1.0
    truth[[one.kind for one in model.differences].index(Kind.MUTUAL)] = 1.0
    measured = MeasuredNetwork(name="pair.s2p", frequencies_hz=FREQUENCIES_HZ, scattering=model.scattering_with(truth))
    found = fit(model, measured)
    return BenchEvidence(
        title="A made pair",
        tool_version="0.0.0",
        element_names=("E1", "E2"),
        measured=measured,
        design_scattering=model.scattering_with(0 * truth),
        fit=found,
        turns=turns(found, wanted_ohm=[50 + 0j] * 2, adjustable=("C match", "C tune 4")),
        cautions=(),
    )


def test_the_first_answer_names_part_way_and_amount(evidence):
    answer = compile_bench(evidence).answers[0]
    assert answer.question == "Which part of E1 first?"
    best = evidence.turns[[turn.element for turn in evidence.turns].index(0)]
    way = "up" if best.change > 0 else "down"
    assert answer.answer.startswith(f"{best.part} {way} by {100 * abs(best.change):.1f} ± ")
    assert f"{1e12 * best.value:.1f} pF to {1e12 * best.wanted:.1f} pF" in answer.answer


def test_tables_hold_every_difference_and_every_loop(evidence):
    tables = {table.name: table for table in compile_bench(evidence).tables}
    assert len(tables["differences"].rows) == len(evidence.fit.model.differences)
    assert [row[0] for row in tables["loops"].rows] == ["E1", "E2"]
    assert any(
        (row[1] == "mutual reactance" and row[0] == "E2 and E1") or row[0] == "E1 and E2"
        for row in tables["differences"].rows
    )
    for table in tables.values():
        assert table_csv(table)


def test_page_summary_and_picture_can_be_made(evidence):
    dossier = compile_bench(evidence)
    picture = bench_picture(evidence)
    page = dossier_html(dossier, pictures=(picture,), references=())
    assert "What to turn" in page
    assert json.loads(summary_json(dossier))["figures"]["bench.error"]["value"] < 1e-3
    assert picture.png.startswith(b"\x89PNG")
