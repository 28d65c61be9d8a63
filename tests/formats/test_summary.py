"""summary.json against its documentation, key by key."""

import dataclasses
import json
import re
from pathlib import Path

import numpy as np
import pytest

from coaxial_evidence import as_coaxial
from loopwright.dossier import compile_dossier
from loopwright.formats.summary import summary_json
from made_draping import film_on_limb
from made_loading import loading
from made_transmit import made_transmit
from synthetic_evidence import synthetic_evidence, synthetic_shell, with_circuit
from wired_rings import in_field, wired
from worn_rings import built, worn

DOCUMENTED = Path(__file__).parents[2] / "docs" / "reference" / "summary.md"


@pytest.fixture(scope="module")
def summary():
    plain = dataclasses.replace(synthetic_evidence(count=8), shells=(synthetic_shell(),))
    evidence = dataclasses.replace(
        with_circuit(plain, wired(elements=8)),
        under_field=in_field(elements=8),
        built=built(elements=8),
        worn=worn(elements=8),
        loading=loading(),
        draped=film_on_limb(),
        while_transmitting=made_transmit(plain.element_names),
    )
    found, coaxial = (
        json.loads(summary_json(compile_dossier(one))) for one in (evidence, as_coaxial(synthetic_evidence(count=8)))
    )
    found["figures"] = coaxial["figures"] | found["figures"]  # no run has both capacitors in gaps and coaxial line
    return found


def documented_figures():
    """Keys of the figures as the reference names them; words in angle brackets stand for names of the brief."""
    rows = re.findall(r"^\| `([^`]+)` \|([^|]*)\|", DOCUMENTED.read_text("utf-8"), re.MULTILINE)
    return {key: unit.strip() for key, unit in rows}


def pattern(key):
    return re.compile(re.sub(r"<[^>]+>", "[^.]+", key.replace(".", r"\.")))


def test_every_key_is_documented_with_its_unit(summary):
    documented = documented_figures()
    for key, figure in summary["figures"].items():
        # The exact name goes first: a name in brackets could stand for anything.
        matching = [known for known in documented if known == key] or [
            known for known in documented if pattern(known).fullmatch(key)
        ]
        assert len(matching) == 1, f"{key} is documented {len(matching)} times"
        assert figure["unit"] in (documented[matching[0]], "") or documented[matching[0]] == "any", key


def test_every_documented_key_is_there(summary):
    keys = summary["figures"]
    for known in documented_figures():
        assert any(pattern(known).fullmatch(key) for key in keys), f"{known} is documented but never written"


def test_a_figure_has_an_uncertainty_or_the_reason_why_none(summary):
    for key, figure in summary["figures"].items():
        assert ("uncertainty" in figure) != ("no_uncertainty_because" in figure), key
        assert figure["how"], key
        assert figure["source"], key
        assert figure["label"], key


def test_per_element_figures_and_matrices_follow_the_element_names(summary):
    count = len(summary["element_names"])
    assert count == 8
    figures = summary["figures"]
    for name in ("inductance_h", "resistance_body_ohm", "quality_loaded", "gap_capacitance_f"):
        assert len(figures[f"element.{name}"]["value"]) == count
    for name in ("mutual_reactance_ohm", "body_noise_resistance_real_ohm", "noise_correlation"):
        matrix = figures[f"matrix.{name}"]["value"]
        assert [len(row) for row in matrix] == [count] * count


def test_values_are_si_and_exact(summary):
    evidence = synthetic_evidence(count=8)
    assert summary["figures"]["scanner.frequency_hz"]["value"] == 123.2e6
    assert summary["figures"]["element.inductance_h"]["value"] == evidence.network.inductance_h.tolist()
    expected = np.abs(evidence.network.resistance_ohm["body"]) * 0.031
    assert summary["figures"]["element.resistance_body_ohm"]["uncertainty"] == pytest.approx(expected)


def test_the_head_names_the_tool(summary):
    assert summary["made_by"] == "loopwright"
    assert summary["format"] == 1
    assert list(summary) == ["made_by", "version", "format", "title", "element_names", "methods", "figures"]


def test_what_is_no_number_becomes_null():
    evidence = synthetic_evidence(count=4)
    without = dataclasses.replace(
        evidence.network, quality_loaded=np.where(np.arange(4) == 2, np.nan, evidence.network.quality_loaded)
    )
    dossier = compile_dossier(dataclasses.replace(evidence, network=without))
    assert json.loads(summary_json(dossier))["figures"]["element.quality_loaded"]["value"][2] is None
