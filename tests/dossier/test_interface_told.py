"""The scanner interface in the dossier: a table, and a sentence for each trouble."""

import dataclasses

import numpy as np
import pytest

from brief.base_brief import INTERFACE, brief_with
from loopwright.circuits import check_interface
from loopwright.dossier import compile_dossier
from loopwright.formats.html import dossier_html
from synthetic_evidence import synthetic_evidence


def told(**changes):
    """Evidence of sixteen elements with this interface, its section, and all its cautions as one text."""
    evidence = synthetic_evidence()
    written = {key: value for key, value in {**INTERFACE, **changes}.items() if value is not None}
    interface = brief_with(interface=written).interface
    check = check_interface(interface, evidence.element_names, frequency_hz=evidence.frequency_hz)
    dossier = compile_dossier(dataclasses.replace(evidence, interface=check))
    section = next(one for one in dossier.sections if one.anchor == "interface")
    return dossier, section, " ".join(section.cautions)


def table(section, name):
    return next(one for one in section.tables if one.name == name)


def test_without_an_interface_there_is_no_section():
    assert "interface" not in {section.anchor for section in compile_dossier(synthetic_evidence()).sections}


def test_every_line_has_its_row_with_verdict_and_margins():
    _, section, _ = told()
    columns = [column.title for column in table(section, "bias_lines").columns]
    first, second = table(section, "bias_lines").rows
    assert first[0] == "B1"
    assert first[columns.index("against the window")] == "inside the window"
    # 5 V behind 30 ohm: the second line, one diode and 1 ohm, draws (5 - 0.86) / 31.
    assert second[columns.index("current")] == pytest.approx((5 - 0.86) / 31, rel=0.01)
    assert {row[columns.index("against the window")] for row in (first, second)} <= {"inside the window", "outside"}


def test_a_line_outside_the_window_is_told_with_its_distance():
    _, section, cautions = told(forward_voltage=["1.2 V", "1.5 V"])
    assert "B1: 1.64 V to 2.01 V with the spread" in cautions
    assert "outside the window 1.2 V to 1.5 V by" in cautions
    assert "outside" in {cell for row in table(section, "bias_lines").rows for cell in row}


def test_faults_that_nobody_would_notice_are_cautions():
    _, section, cautions = told()
    assert "B1, one diode or choke open: no threshold in the brief tells" in cautions
    assert "and the sound branches carry" in cautions
    rows = {(row[0], row[1]): row[-1] for row in table(section, "bias_faults").rows}
    assert rows["B1", "one diode or choke open"] == "nothing"
    assert "sense" in rows["B1", "line broken"]


def test_each_trouble_gets_one_sentence():
    assert "2 elements without a channel" in told(channels_per_plug="14")[2]
    assert "draws 30 mA; the supply of a channel gives 25 mA" in told(preamplifier_draw="30 mA")[2]
    assert "cable is 3 m long; the scanner allows 2 m" in told(cable="3 m")[2]
    assert "the scanner allows 1 µs" in told(turn_off="1 us")[2]
    lines = [{"name": "B1", "elements": ["Z9"]}]
    cautions = told(bias_lines=lines)[2]
    assert "the array does not have: Z9" in cautions
    assert "16 elements without a bias line" in cautions
    assert "pass the trip threshold" in told(trip_current="110 mA")[2]
    assert "below the sense threshold" in told(sense_current="99 mA", driver_voltage="4 V")[2]


def test_a_fitting_interface_keeps_the_caution_that_always_stands():
    single = [{"name": "B1", "diode": {"voltage_spread": "0 V"}}]
    _, section, cautions = told(bias_lines=single, forward_voltage=["0.8 V", "1.3 V"])
    assert len(section.cautions) == 1
    assert "Measure the detuning of every element" in cautions


def test_free_channels_are_to_be_terminated():
    _, section, _ = told(plugs="2", channels_per_plug="10")
    assert any("to be terminated: plug 2: 7 to 10." in sentence for sentence in section.prose)
    rows = table(section, "channels").rows
    assert rows[0] == (1, 1, "A1")
    assert rows[-1] == (2, 10, "none: terminate")
    _, full, _ = told()
    assert any("Every channel has an element" in sentence for sentence in full.prose)


def test_the_page_takes_it():
    dossier, _, _ = told()
    page = dossier_html(dossier, pictures=(), references=())
    assert "Scanner interface" in page
    assert "inside the window" in page


def test_fuses_are_reckoned_from_the_emf_of_the_largest_field():
    _, section, _ = told()
    evidence = synthetic_evidence()
    rows = table(section, "fuses").rows
    name, emf_v, intact_a, detuned_a, least_a, largest_a, window, fuse_ohm, cost_db = rows[0]
    # Without a circuit nothing is known of the detuned loop.
    assert np.isnan([detuned_a, least_a]).all()
    assert window == "least not known"
    # A standing ring of 38 mm: omega B1 A, its 24 corners inside the circle by 1.1 %.
    emf_by_area_v = 2 * np.pi * evidence.frequency_hz * 3.2e-6 * np.pi * 0.038**2
    assert emf_v == pytest.approx(emf_by_area_v * 24 / (2 * np.pi) * np.sin(2 * np.pi / 24), rel=1e-9)
    parts = evidence.network.resistance_ohm
    assert intact_a == pytest.approx(emf_v / sum(part[0] for part in parts.values()))
    assert largest_a == pytest.approx(intact_a / (2 * np.sqrt(5)))  # twice the rating in 5 s, so 4.5 times in 1 s
    assert fuse_ohm == pytest.approx(0.15 / largest_a)
    noisy = sum(part[0] for kind, part in parts.items() if kind not in ("body", "radiation"))
    noise = evidence.noise
    before = parts["body"][0] * noise.body_temperature_k + noisy * noise.coil_temperature_k
    assert cost_db == pytest.approx(10 * np.log10(1 + fuse_ohm * noise.coil_temperature_k / before))
    assert any("upper bound" in sentence for sentence in section.prose)
    assert name == evidence.element_names[0]


def test_without_a_transmit_field_there_are_no_fuses():
    _, section, _ = told(largest_b1_rms=None)
    assert "fuses" not in {one.name for one in section.tables}
    assert not any("Fuses" in sentence for sentence in section.prose)
