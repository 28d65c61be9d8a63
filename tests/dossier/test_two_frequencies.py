"""The difference between the two frequencies that are called 3 T, as a table."""

import dataclasses

import numpy as np
import pytest

from loopwright.dossier.two_frequencies import two_frequencies_section
from synthetic_evidence import synthetic_evidence

LOW_HZ, HIGH_HZ = 123.2e6, 127.73e6


def lumped(here_hz, *, band=0.04):
    """Invented array whose elements are 200 nH with four capacitors and 8 ohm, tuned here."""
    evidence = synthetic_evidence()
    count = len(evidence.element_names)
    frequencies_hz = here_hz * (1 + band * np.linspace(-1, 1, 81))
    tuned_f = 4 / ((2 * np.pi * here_hz) ** 2 * 200e-9)
    w = 2 * np.pi * frequencies_hz
    one_ohm = 8 + 1j * (w * 200e-9 - 4 / (w * tuned_f))
    network = dataclasses.replace(
        evidence.network,
        frequency_hz=here_hz,
        frequencies_hz=frequencies_hz,
        impedance_ohm=one_ohm[:, None, None] * np.eye(count),
        gap_capacitance_f=np.full(count, tuned_f),
        resistance_ohm={"body": np.full(count, 7.0), "conductor": np.full(count, 1.0)},
    )
    return dataclasses.replace(evidence, network=network, frequency_hz=here_hz), tuned_f


@pytest.mark.parametrize(("here_hz", "there_hz"), [(LOW_HZ, HIGH_HZ), (HIGH_HZ, LOW_HZ)])
def test_capacitors_are_those_of_the_other_frequency(here_hz, there_hz):
    evidence, tuned_f = lumped(here_hz)
    section = two_frequencies_section(evidence)
    elements, parts = section.tables
    assert len(elements.rows) == len(evidence.element_names)
    name, here_f, new_f, total_f, new_total_f, percent, shift = elements.rows[0]
    assert name == evidence.element_names[0]
    assert here_f == pytest.approx(tuned_f, rel=1e-9, abs=0)
    assert new_f == pytest.approx(tuned_f * (here_hz / there_hz) ** 2, rel=1e-6, abs=0)
    assert (total_f, new_total_f) == tuple(pytest.approx(f / 4, rel=1e-9, abs=0) for f in (here_f, new_f))
    assert percent == pytest.approx(100 * (new_f / here_f - 1))
    assert np.sign(shift) == np.sign(here_hz - there_hz)
    assert abs(shift) == pytest.approx(2 * 2 * np.pi * there_hz * 200e-9 / 8 * abs(here_hz / there_hz - 1), rel=0.03)
    trap = next(row for row in parts.rows if "trap" in row[0])
    assert trap[2] == pytest.approx((here_hz / there_hz) ** 2)
    cable = parts.rows[0]
    assert cable[1] / cable[2] == pytest.approx(there_hz / here_hz)
    assert "half-bandwidths" in section.prose[0]


def test_it_is_for_proton_arrays_near_3_tesla_whose_band_reaches_the_other():
    evidence, _ = lumped(LOW_HZ)
    assert two_frequencies_section(dataclasses.replace(evidence, nucleus="19F")) is None
    assert two_frequencies_section(lumped(63.9e6)[0]) is None
    assert two_frequencies_section(lumped(LOW_HZ, band=0.02)[0]) is None
