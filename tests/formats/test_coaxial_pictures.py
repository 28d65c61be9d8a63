import io
import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from loopwright.circuits.coaxial.coaxial_coupling import CouplingRow, ResonatorCoupling
from loopwright.circuits.coaxial.coaxial_currents import CoaxialCurrents
from loopwright.circuits.coaxial.coaxial_on_body import CoaxialFigures
from loopwright.conductors.coaxial_line import generic_cables
from loopwright.dossier.coaxial_tables import coaxial_coupling_table, coaxial_elements_table, coaxial_sizes_table
from loopwright.formats.pictures.coaxial import (
    coaxial_coupling_picture,
    coaxial_currents_picture,
    coaxial_resonance_picture,
)

GUIDE = Path(__file__).parents[2] / "docs" / "guides" / "coaxial-elements.md"


def rows():
    def one(k):
        return ResonatorCoupling(coefficient=k, mutual_ohm=0.1 + 200j * k, resistive=0.1, slope_ohm=200.0)

    return [CouplingRow(distance_m=d, coaxial=one(0.9 * k), lumped=one(k)) for d, k in ((0.05, 0.1), (0.1, -0.05))]


def currents():
    place = np.linspace(0, 1, 9)[:-1]
    return CoaxialCurrents(
        outside_places=place,
        outside_a=1 + 0.1 * np.cos(2 * np.pi * place) + 0j,
        inside_places=np.array([0.0, 0.25, 0.5, 0.5, 0.75, 1.0]),
        inside_a=np.array([1, 0.5, 0, 0, 0.5, 1], dtype=complex),
        inside_v=np.array([50, 80, 90, 90, 80, 50], dtype=complex),
    )


@pytest.mark.parametrize(
    "picture",
    [
        coaxial_currents_picture(currents()),
        coaxial_coupling_picture(rows(), diameter_m=0.08),
        coaxial_resonance_picture([0.06, 0.08], {1: [187e6, 136e6]}, {1: [193e6, 140e6]}),
    ],
    ids=lambda picture: picture.name,
)
def test_pictures_are_drawn(picture):
    image = np.asarray(Image.open(io.BytesIO(picture.png)).convert("RGB"))
    blue = np.all(np.abs(image.astype(int) - [0, 0x72, 0xB2]) < 30, axis=2)
    assert blue.sum() > 200
    assert len(picture.caption) > 40


def test_coupling_table_sets_both_side_by_side():
    table = coaxial_coupling_table(rows(), diameter_m=0.08)
    headings = [column.heading for column in table.columns]
    first = dict(zip(headings, (c.text(v) for c, v in zip(table.columns, table.rows[0], strict=True)), strict=True))
    assert first["distance of centres [mm]"] == "50.00"
    assert first["over diameter"] == "0.625"
    assert first["k, coaxial"] == "0.0900"
    assert first["k, loops"] == "0.1000"


def test_element_table_prints_an_inductor_as_a_negative_capacitor():
    figures = CoaxialFigures(
        self_resonance_hz=125e6, terminal_ohm=100 - 900j, tuning_siemens=-1.2e-3, body_ohm=5.0, conductor_ohm=0.2,
        line_ohm=0.9, radiation_ohm=0.05, q_unloaded=150.0, q_loaded=25.0, noise_figure_db=0.9,
    )  # fmt: skip
    table = coaxial_elements_table({"E1": figures}, frequency_hz=127.74e6)
    cells = [column.text(value) for column, value in zip(table.columns, table.rows[0], strict=True)]
    printed = dict(zip((column.title for column in table.columns), cells, strict=True))
    assert printed["tuning capacitor at the terminal"] == "−1.50"
    assert printed["self-resonance"] == "125.00"


def test_sizes_grow_with_the_number_of_gaps():
    cable = generic_cables()["50 ohm 1.7 mm fluoropolymer"]
    table = coaxial_sizes_table({"cable": cable}, [127.74e6], most_pairs=2)
    assert [row[2] for row in table.rows] == [1, 2]
    assert [row[3] for row in table.rows] == pytest.approx([0.0841, 0.1571], rel=2e-3)
    assert all(row[3] < row[4] < 1.05 * row[3] for row in table.rows)


def test_the_guide_runs_and_tells_what_it_finds():
    text = GUIDE.read_text("utf-8")
    code = "\n".join(line.strip() for line in text.splitlines() if line.startswith("    "))
    told = {}
    exec(code, told)  # noqa: S102 - our own guide
    assert told["diameter_m"] == pytest.approx(0.084, abs=0.0005)
    assert told["found"].frequency_hz == pytest.approx(127.74e6, rel=1e-4)
    moves = told["moves"]
    for words, name in (
        (r"size moves the resonance by (-[\d.]+) %", "size"),
        (r"impedance by ([\d.]+) %", "characteristic impedance"),
        (r"velocity by ([\d.]+) %", "velocity factor"),
        (r"diameter by ([\d.]+) %", "diameter over the shield"),
    ):
        assert moves[name] == pytest.approx(float(re.search(words, text.replace("\n", " "))[1]), abs=0.02), name
    assert told["figures"].line_ohm == pytest.approx(2.6, abs=0.05)
    assert told["figures"].conductor_ohm == pytest.approx(0.29, abs=0.005)
    assert told["figures"].q_unloaded == pytest.approx(64, abs=1)
    assert told["rows"][-1].coaxial.coefficient < 0 < told["rows"][0].coaxial.coefficient
    assert len(told["sentences"]) >= 4
