"""The command from its words to its directory: the guide's example, and everything that is refused."""

import json
import re
from pathlib import Path

import numpy as np
import pytest

from loopwright.cli import main

ROOT = Path(__file__).parents[2]
BRIEF = ROOT / "examples" / "one-element.yaml"
MEASURED = ROOT / "examples" / "one-element-measured.s1p"
GUIDE = ROOT / "docs" / "guides" / "what-to-turn.md"
REFERENCE = ROOT / "docs" / "reference" / "measurement.md"


@pytest.fixture(scope="module")
def store(tmp_path_factory):
    return tmp_path_factory.mktemp("store")


@pytest.fixture
def call(capsys, store, tmp_path, monkeypatch):
    """Call the command in an empty folder and return exit code, standard output and standard error."""
    monkeypatch.chdir(tmp_path)

    def called(*words):
        with pytest.raises(SystemExit) as caught:
            main(["what-to-turn", *(str(word) for word in words), "--store", str(store)])
        captured = capsys.readouterr()
        return caught.value.code or 0, captured.out, captured.err

    return called


@pytest.fixture
def refused(call, tmp_path):
    """Complaints about a file of this text; nothing is left behind but what had begun to grow."""

    def said(text, *words, name="made.s1p", brief=BRIEF):
        (tmp_path / name).write_text(text, "utf-8")
        code, out, err = call(brief, tmp_path / name, *words)
        assert (code, out) == (2, "")
        assert "Traceback" not in err
        assert not (tmp_path / f"{Path(name).stem}-bench").exists()
        return err

    return said


def sweep(low_mhz=122.7, high_mhz=132.7, *, points=41, entry="0.5 0.1", ports=1, reference=50):
    """Write a file whose every entry is the same."""
    rows = [f"{f:.5f} {' '.join([entry] * ports**2)}" for f in np.linspace(low_mhz, high_mhz, points)]
    return "\n".join([f"# MHz S RI R {reference}", *rows]) + "\n"


def rows(directory, table):
    lines = (directory / "tables" / f"{table}.csv").read_text("utf-8").splitlines()[1:]
    return {line.split(",")[1]: line.split(",") for line in lines}


def test_the_guides_example_finds_what_was_made_off(call, tmp_path):
    """Factors of benchmarks/invented_measurement.py, which the header of the file tells."""
    code, out, _ = call(BRIEF, MEASURED)
    directory = tmp_path / "one-element-measured-bench"
    assert code == 0
    *answers, last = out.splitlines()
    assert last == directory.name
    assert re.match(r"Which part of E1 first\? C tune 4 up by 0\.\d+ ± 0\.\d+ pF", answers[0])
    for answer in answers:
        assert answer in GUIDE.read_text("utf-8"), "the guide prints what the command prints"
    found = rows(directory, "differences")
    for part, factor in {"C match": 1.035, "C tune 4": 0.945, "L series": 1.02}.items():
        design = float(found[part][2].split()[0])
        value, spread = (float(word) for word in re.findall(r"[\d.]+", found[part][3])[:2])
        rounding = 0.006 * design  # the design is printed to three digits
        assert abs(value - factor * design) < 2.5 * spread + rounding, part
    value, spread = (float(word) for word in re.findall(r"[\d.]+", found["C match"][3])[:2])
    assert value - 110 > 5 * spread, "the match capacitor is known to be off"


def test_the_directory_is_whole_and_its_keys_are_documented(call, tmp_path):
    code, _, _ = call(BRIEF, MEASURED, "--out", tmp_path / "found", "--turn", "C match, L series")
    assert code == 0
    directory = tmp_path / "found"
    for name in ("bench.html", "bench.pdf", "brief.yaml", "summary.json", "log.txt"):
        assert (directory / name).stat().st_size > 0
    assert (directory / "measured.s1p").read_bytes() == MEASURED.read_bytes()
    assert {path.stem for path in (directory / "pictures").iterdir()} == {"bench_reflection", "bench_residual"}
    assert set(rows(directory, "turns")) == {"C match", "L series"}
    page = (directory / "bench.html").read_text("utf-8")
    assert "approves nothing" in page
    assert "terminated in the 50 ohm of the analyser" in page
    figures = json.loads((directory / "summary.json").read_text("utf-8"))["figures"]
    documented = set(re.findall(r"^\| `([^`]+)` \|", REFERENCE.read_text("utf-8"), re.MULTILINE))
    assert {key.replace(".E1.", ".<element>.") for key in figures} == documented - {"bench.coupling"}
    resistance = figures["bench.resistance"]
    assert resistance["uncertainty"][0] < 0.02 * resistance["value"][0]


def test_a_cluster_measured_in_air_with_the_others_detuned(call, tmp_path):
    """Three elements of a brief, two of them in the file, in another order; a made-up file of two bare reflections."""
    text = BRIEF.read_text("utf-8").replace("voxel: 8 mm", "voxel: 11 mm")
    element = text[text.index("    - name: E1") : text.index("conductor:")]
    second = element.replace("E1", "E2").replace("[0 mm, -92 mm", "[70 mm, -60 mm").replace("[0, -1,", "[0.76, -0.65,")
    third = element.replace("E1", "E3").replace("[0 mm, -92 mm", "[-70 mm, -60 mm").replace("[0, -1,", "[-0.76, -0.65,")
    three = text.replace(element, (element + second + third).replace("80 mm\n      centre", "70 mm\n      centre"))
    (tmp_path / "three.yaml").write_text(three, "utf-8")
    reflection = [line.split() for line in MEASURED.read_text("utf-8").splitlines() if line[0] not in "!#"]
    lines = [f"{f} {re_} {im} 0 0 0 0 {re_} {im}" for f, re_, im in reflection]
    (tmp_path / "two.s2p").write_text("\n".join(["# MHz S RI R 50", *lines]) + "\n", "utf-8")
    words = ("--elements", "E3,E1", "--others", "detuned", "--load", "none")
    code, out, err = call(tmp_path / "three.yaml", tmp_path / "two.s2p", *words)
    assert code == 0, err
    assert [line.split()[3] for line in out.splitlines()[:2]] == ["E3", "E1"]
    assert "mind: E1, resistance of the loop: " in err, "who reads the terminal alone is warned too"
    page = (tmp_path / "two-bench" / "bench.html").read_text("utf-8")
    assert "in air, without a body" in page
    assert "Of the others, E2: their PIN diodes conducting" in page
    assert "E1, resistance of the loop: " in page, "the file is of a coil on a body, and that is noticed"
    (pair,) = (tmp_path / "two-bench" / "tables" / "coupling.csv").read_text("utf-8").splitlines()[1:]
    assert pair.startswith("E3 and E1,")


def test_a_file_of_more_ports_than_elements_is_refused(refused):
    said = refused(sweep(ports=2), name="made.s2p")
    assert "ports = 2, for 1 elements" in said
    assert "--elements" in said


def test_an_active_network_is_refused(refused):
    assert "more power than it takes: 1.300" in refused(sweep(entry="1.3 0"))


def test_another_band_is_refused_with_the_band_of_the_model(refused):
    assert "points or more from 12" in refused(sweep(60, 70))


def test_too_few_points_are_refused(refused):
    assert "5 points in the band of the model" in refused(sweep(points=5))


def test_values_that_are_not_finite_are_refused(refused):
    assert "not finite at 41 frequencies" in refused(sweep(entry="nan 0"))


def test_words_in_place_of_numbers_are_refused_with_their_line(refused):
    assert "made.s1p:2: value = dead" in refused(sweep(entry="dead 0"))


def test_a_reference_that_is_no_resistance_is_refused(refused):
    assert "reference" in refused(sweep(reference=0))


def test_another_kind_of_file_is_refused(refused):
    assert "name the file by its ports" in refused(sweep(), name="made.csv")


def test_a_file_that_is_not_there_is_refused(call, tmp_path):
    code, out, err = call(BRIEF, tmp_path / "nothing.s1p")
    assert (code, out) == (2, "")
    assert "look at its name and place" in err


def test_elements_that_are_not_there_are_refused_with_those_that_are(refused):
    said = refused(sweep(), "--elements", "E9")
    assert "E9, no element is called so" in said
    assert "allowed: E1" in said


def test_an_element_named_twice_is_refused(refused):
    assert "E1, named twice" in refused(sweep(ports=2), "--elements", "E1,E1", name="made.s2p")


def test_a_brief_without_a_circuit_is_refused(refused, tmp_path):
    text = BRIEF.read_text("utf-8")
    bare = text[: text.index("\ncircuit:")] + text[text.index("\nimaging:") :]
    (tmp_path / "bare.yaml").write_text(bare, "utf-8")
    assert "the brief has no circuit" in refused(sweep(), brief=tmp_path / "bare.yaml")


def test_a_part_that_cannot_be_turned_is_refused_with_those_that_can(refused):
    said = refused(sweep(), "--turn", "D trap 2")
    assert "D trap 2 cannot be turned" in said
    assert "C match" in said


def test_a_state_that_is_none_is_refused(refused):
    assert "is not one of open, detuned" in refused(sweep(), "--others", "asleep")


def test_everything_that_is_wrong_is_told_at_once(refused):
    said = refused(sweep(60, 70, entry="1.3 0", ports=2), "--elements", "E1,E8,E9", name="made.s2p")
    for part in ("E8", "E9", "ports = 2, for 3", "made.s2p: frequencies", "made.s2p: scattering"):
        assert part in said
    assert said.count("remedy:") == 5


def test_nothing_of_a_foreign_folder_is_touched(call, tmp_path):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "notes.txt").write_text("keep", "utf-8")
    code, _, err = call(BRIEF, MEASURED, "--out", tmp_path / "mine")
    assert code == 3
    assert "not a run of loopwright" in err
    assert (tmp_path / "mine" / "notes.txt").read_text("utf-8") == "keep"
