"""The studies that are shipped, and the command that carries them out."""

import sqlite3
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from loopwright.brief import read_cohort
from loopwright.cli import main
from loopwright.cohort import Asked
from loopwright.ground.executing import InLine
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent
from loopwright.study import carry_out_case, carry_out_study
from small_study import SMALL_STUDY

EXAMPLES = Path(__file__).parents[2] / "examples"


def fitted(name):
    return carry_out_study(
        read_cohort((EXAMPLES / name).read_text("utf-8"), name),
        Asked.FIT,
        executor=InLine(),
        work=partial(carry_out_case, means=Means(progress=Silent(), store=Forgetful())),
        store=Forgetful(),
        progress=Silent(),
    ).cohort


def test_every_study_is_tried_here():
    """The head shells in a file of their own, test_head_shells.py."""
    assert {path.name for path in EXAMPLES.glob("cohort-*.yaml")} == {
        "cohort-heads.yaml", "cohort-chests.yaml", "cohort-chest-shells.yaml", "cohort-head-shells.yaml",
    }  # fmt: skip


def test_chests_need_a_size_for_each_trunk_of_its_own():
    """Trunks of one family, moved to the back of a ring of the same kind: in front twice the half-axes' difference."""
    found = fitted("cohort-chests.yaml")
    assert len(found.by_gap.arrays) == 5
    assert found.by_gap.unserved == ()
    half_y = np.array([64, 73.5, 82, 96, 96, 98])  # of the family, times the circumferences' factor
    own = np.diagonal(found.gap_percentile_95_m)
    assert np.all(own <= 2.1e-3)  # what the padding gives
    upper = found.gap_percentile_95_m[np.triu_indices(6, 1)]
    assert np.isfinite(found.gap_percentile_95_m[5]).all()
    assert np.isnan(upper[[0, 1, 2]]).all()  # larger trunks do not go into the smallest ring
    assert found.gap_percentile_95_m[5, 0] > 2e-3 * (half_y[5] - half_y[0])


@pytest.mark.long
def test_chests_of_patients_share_a_shell_at_three_and_five_years_only():
    found = fitted("cohort-chest-shells.yaml")
    assert found.by_gap.unserved == ()
    assert len(found.by_gap.arrays) == 7
    assert sorted(len(band.patients) for band in found.by_gap.bands) == [1] * 6 + [2]
    gaps, own = found.gap_percentile_95_m, [0, 2, 3, 4, 5, 6, 7]
    for shell, patient in enumerate(own):
        assert -2e-3 <= gaps[shell, patient] <= 1e-3
        assert np.all(np.delete(gaps[shell], [1, patient]) > 8e-3)
    assert np.all(gaps[8] > 8e-3)  # the larger film bridges on every chest
    assert np.all(np.diff(found.spanned_share[8, [0, 2, 3, 6, 7]]) < 0)  # and reaches less far round larger ones


def test_a_head_lies_in_the_shell_of_its_own_size_without_gap_and_ever_looser_in_larger_ones():
    found = fitted("cohort-heads.yaml")
    gaps = found.gap_percentile_95_m
    assert gaps[0, 1] == pytest.approx(0, abs=1e-6)
    assert gaps[1, 3] == pytest.approx(0, abs=1e-6)
    for row in gaps[:3]:
        known = row[np.isfinite(row)]
        assert np.all(np.diff(known) < 0)  # the larger the head, the smaller the gap
    assert np.all(np.diff(gaps[:3, 0]) > 0)
    assert np.all(gaps[3] == 0)
    assert [found.patients[n].name for n in found.by_gap.unserved] == ["newborn"]


@pytest.fixture
def call(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "study.yaml").write_text(SMALL_STUDY, "utf-8")

    def called(*words):
        with pytest.raises(SystemExit) as caught:
            main(["cohort", "--store", "store", *words])
        captured = capsys.readouterr()
        return caught.value.code or 0, captured.out, captured.err

    return called


def test_the_command_leaves_page_tables_database_and_says_where(call, tmp_path):
    code, out, told = call("--ask", "fit", "--workers", "1", "study.yaml")
    assert (code, out.strip()) == (0, "study-cohort")
    left = {str(path.relative_to(tmp_path / "study-cohort")) for path in (tmp_path / "study-cohort").rglob("*")}
    assert {"cohort.html", "cohort.pdf", "cohort.sqlite", "summary.json", "tables/cases.csv", "tables/fit.csv",
            "pictures/gap_matrix.png", "pictures/sizes.png", "brief.yaml", "log.txt"} <= left  # fmt: skip
    assert "tight shell on large: refused" in told
    connection = sqlite3.connect(tmp_path / "study-cohort" / "cohort.sqlite")
    assert connection.execute("select count(*) from cases where outcome = 'found'").fetchone() == (5,)
    connection.close()
    assert "6 cases, 5 of them kept from before" in call("--ask", "fit", "--workers", "1", "study.yaml")[2]
    assert "6 cases, 0 of them kept" in call("--ask", "fit", "--workers", "1", "--pieces", "again", "study.yaml")[2]


def test_a_wrong_study_leaves_with_2_and_a_cluster_that_is_not_there_too(call, tmp_path):
    (tmp_path / "wrong.yaml").write_text(SMALL_STUDY.replace("rest: centre", "rest: side"), "utf-8")
    code, _, told = call("wrong.yaml")
    assert code == 2
    assert "cohort.rest = 'side'" in told
    assert call("--ask", "pictures", "study.yaml")[0] == 2
    assert not (tmp_path / "wrong-cohort").exists()


def test_ctrl_c_says_how_to_go_on(call, monkeypatch):
    def stopped(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("loopwright.cli.cohort.carry_out_study", stopped)
    code, _, told = call("--ask", "fit", "study.yaml")
    assert code == 130
    assert "finished pieces are kept, the same command goes on from there" in told
