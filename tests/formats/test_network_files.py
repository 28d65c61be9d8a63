"""The files of a wired array: what stands in them is what was computed."""

import dataclasses

import pytest

from loopwright.dossier import compile_dossier
from loopwright.formats.network_files import write_circuits
from loopwright.formats.scikit_rf import channels_network
from loopwright.formats.touchstone import read_touchstone
from synthetic_evidence import synthetic_evidence
from wired_rings import wired


@pytest.fixture(scope="module")
def evidence():
    return dataclasses.replace(synthetic_evidence(count=4), circuit=wired(elements=4))


def test_files_hold_channels_parts_and_netlists(evidence, tmp_path):
    dossier = compile_dossier(evidence)
    write_circuits(tmp_path, evidence, dossier)
    frequencies_hz, scattering = read_touchstone((tmp_path / "channels.s4p").read_text("utf-8"), ports=4)
    expected = channels_network(evidence.circuit)
    assert frequencies_hz == pytest.approx(expected.f)
    assert scattering == pytest.approx(expected.s, abs=1e-9)
    assert (tmp_path / "parts.csv").read_text("utf-8").count("C match") == 8  # in id and name of four elements
    assert {path.stem for path in (tmp_path / "circuits").iterdir()} == set(evidence.element_names)


def test_nothing_is_written_without_a_circuit(evidence, tmp_path):
    bare = dataclasses.replace(evidence, circuit=None)
    write_circuits(tmp_path, bare, compile_dossier(bare))
    assert not list(tmp_path.iterdir())


def test_names_that_no_file_may_have_are_changed(evidence, tmp_path):
    first, *others = evidence.layout.elements
    odd = dataclasses.replace(first, name="left / 1")
    layout = dataclasses.replace(evidence.layout, elements=(odd, *others))
    renamed = dataclasses.replace(evidence, layout=layout)
    write_circuits(tmp_path, renamed, compile_dossier(renamed))
    assert (tmp_path / "circuits" / "1_left___1.cir").exists()
