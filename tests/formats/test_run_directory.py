"""A run directory is whole or not there, and never takes the place of something foreign."""

import contextlib
import dataclasses
import json
import re
import shutil

import numpy as np
import pytest

from loopwright.dossier import compile_dossier
from loopwright.formats.maps import read_maps
from loopwright.formats.run_directory import finish, growing, partial_path, write_run
from loopwright.ground.errors import RunDirectoryError
from synthetic_evidence import synthetic_evidence, synthetic_shell
from wired_rings import wired


def invented_evidence():
    return dataclasses.replace(synthetic_evidence(count=4), shells=(synthetic_shell(),), circuit=wired(elements=4))


def run_into(out):
    evidence, notes = invented_evidence(), []
    dossier = compile_dossier(evidence)
    with growing(out) as partial:
        write_run(partial, brief_text="title: invented\n", evidence=evidence, dossier=dossier, note=notes.append)
        assert notes == []
        return finish(partial, out)


def marked_run_into(out, mark):
    """Take a run through the same doors with nothing in it but what it is recognised by."""
    with growing(out) as partial:
        (partial / "summary.json").write_text(json.dumps({"made_by": "loopwright", "mark": mark}))
        return finish(partial, out)


def begin(out):
    """Begin a run and leave it as a kill would."""
    with growing(out) as partial:
        return partial


@pytest.fixture(scope="module")
def run(tmp_path_factory):
    return run_into(tmp_path_factory.mktemp("runs") / "deep" / "invented-run")


def test_it_holds_what_the_documentation_names(run):
    names = {path.name for path in run.iterdir()}
    expected = {"brief.yaml", "summary.json", "network.s4p", "maps.nc", "tables", "pictures", "dossier.html"} | {
        "maps_shell_complete.nc",
        "channels.s4p",
        "parts.csv",
        "circuits",
        "dossier.pdf",
        "log.txt",
    }
    assert names == expected
    assert (run / "brief.yaml").read_text() == "title: invented\n"
    assert not partial_path(run).exists()


def test_every_table_and_picture_of_the_dossier_is_there(run):
    dossier = compile_dossier(invented_evidence())
    assert {path.stem for path in (run / "tables").iterdir()} == {table.name for table in dossier.tables}
    named = {name for section in dossier.sections for name in section.pictures}
    assert named <= {path.stem for path in (run / "pictures").iterdir()}


def test_maps_of_a_shell_lie_on_their_own_grid(run):
    shell, found = synthetic_shell(), read_maps(run / "maps_shell_complete.nc")
    np.testing.assert_array_equal(found["x"], shell.maps.x_m)
    np.testing.assert_allclose(found[shell.fraction_map], shell.maps.scalars[0].values, rtol=1e-6)
    assert "element" not in found.coords


def test_the_page_needs_nothing_else(run):
    page = (run / "dossier.html").read_text("utf-8")
    assert not re.findall(r"""(?:src|href)\s*=\s*["'](?!data:image/png;base64,|#)""", page)
    assert "http" not in re.sub(r"base64,[A-Za-z0-9+/=]+", "", page)
    assert "@import" not in page
    assert "url(" not in page
    assert "<script" not in page


def test_an_earlier_run_is_replaced(tmp_path):
    out = tmp_path / "run"
    marked_run_into(out, 1)
    (out / "left over").write_text("")
    marked_run_into(out, 2)
    assert json.loads((out / "summary.json").read_text())["mark"] == 2
    assert [path.name for path in tmp_path.iterdir()] == ["run"]
    assert not (out / "left over").exists()


def test_an_empty_directory_is_welcome(tmp_path):
    (tmp_path / "run").mkdir()
    assert (marked_run_into(tmp_path / "run", 1) / "summary.json").exists()


def test_a_real_run_is_recognised_as_one(tmp_path, run):
    shutil.copytree(run, tmp_path / "copy")
    marked_run_into(tmp_path / "copy", 1)
    assert not (tmp_path / "copy" / "dossier.html").exists()


def foreign_files(out):
    out.mkdir()
    (out / "thesis.tex").write_text("")


def foreign_summary(out):
    out.mkdir()
    (out / "summary.json").write_text('{"made_by": "somebody else"}')


def summary_that_is_a_list(out):
    out.mkdir()
    (out / "summary.json").write_text('["loopwright"]')


def a_file(out):
    out.write_text("")


@pytest.mark.parametrize("foreign", [foreign_files, foreign_summary, summary_that_is_a_list, a_file])
def test_something_foreign_is_refused_before_anything_is_written(tmp_path, foreign):
    out = tmp_path / "run"
    foreign(out)
    before = sorted(path.name for path in tmp_path.rglob("*"))
    with pytest.raises(RunDirectoryError, match="choose another --out") as caught:
        begin(out)
    assert "\n" not in str(caught.value)
    assert sorted(path.name for path in tmp_path.rglob("*")) == before


def test_a_foreign_partial_is_refused(tmp_path):
    foreign_files(tmp_path / "run.partial")
    with pytest.raises(RunDirectoryError, match="not an unfinished run"):
        begin(tmp_path / "run")
    assert (tmp_path / "run.partial" / "thesis.tex").exists()


def test_an_unfinished_run_is_begun_again(tmp_path):
    partial = begin(tmp_path / "run")
    (partial / "half a file").write_text("")
    assert [path.name for path in begin(tmp_path / "run").iterdir()] == ["log.txt"]


def test_a_place_that_cannot_be_made_is_one_sentence(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(RunDirectoryError, match="cannot be made") as caught:
        begin(tmp_path / "file" / "run")
    assert "\n" not in str(caught.value)


def test_the_same_run_gives_the_same_bytes(tmp_path, run):
    again = run_into(tmp_path / "again")
    for name in (
        "summary.json",
        "network.s4p",
        "dossier.html",
        "dossier.pdf",
        "tables/network.csv",
        "pictures/layout.png",
    ):
        assert (again / name).read_bytes() == (run / name).read_bytes(), name


def test_two_runs_do_not_share_a_directory(tmp_path):
    out = tmp_path / "run"
    with growing(out) as partial:
        (partial / "half a file").write_text("")
        with pytest.raises(RunDirectoryError, match="another run is writing into") as caught:
            begin(out)
        assert "\n" not in str(caught.value)
        assert (partial / "half a file").exists()
    assert begin(out) == partial  # free again as soon as the other has ended


def test_a_run_cut_short_between_the_renames_gets_its_name_back(tmp_path):
    out = tmp_path / "run"
    marked_run_into(out, 1)
    out.rename(tmp_path / "run.replaced")
    begin(out)
    assert json.loads((out / "summary.json").read_text())["mark"] == 1


def test_a_run_that_is_between_its_two_renames_is_not_disturbed(tmp_path):
    out = tmp_path / "run"
    marked_run_into(out, 1)
    with growing(out) as partial:
        (partial / "summary.json").write_text(json.dumps({"made_by": "loopwright", "mark": 2}))
        out.rename(tmp_path / "run.replaced")  # the first of the two renames
        with pytest.raises(RunDirectoryError, match="another run is writing"):
            begin(out)
        assert not out.exists()
        partial.rename(out)
    assert json.loads((out / "summary.json").read_text())["mark"] == 2


def test_what_is_left_of_a_replaced_run_is_never_taken_for_a_run(tmp_path, monkeypatch):
    out = tmp_path / "run"
    for mark in (1, 2):
        with growing(out) as partial:
            (partial / "maps.nc").write_text("")
            (partial / "summary.json").write_text(json.dumps({"made_by": "loopwright", "mark": mark}))
            if mark == 2:
                monkeypatch.setattr("loopwright.formats.run_directory._clear", killed)
            with contextlib.suppress(KeyboardInterrupt):
                finish(partial, out)
    monkeypatch.undo()
    assert (tmp_path / "run.replaced" / "maps.nc").exists()
    shutil.rmtree(out)
    begin(out)
    assert not out.exists()
    marked_run_into(out, 3)
    assert [path.name for path in tmp_path.iterdir()] == ["run"]
    assert not (out / "maps.nc").exists()


def killed(*_, **__):
    raise KeyboardInterrupt


def test_something_foreign_in_the_place_of_the_replaced_run_is_left_alone(tmp_path):
    out = tmp_path / "run"
    marked_run_into(out, 1)
    foreign_files(tmp_path / "run.replaced")
    with pytest.raises(RunDirectoryError, match="is in the way"):
        marked_run_into(out, 2)
    assert (tmp_path / "run.replaced" / "thesis.tex").exists()
    assert json.loads((out / "summary.json").read_text())["mark"] == 1


def test_a_full_disk_leaves_nothing_that_looks_finished(tmp_path, monkeypatch):
    """Every write of the run directory fails in turn; none may leave a run, a traceback or a second sentence."""
    evidence = synthetic_evidence(count=2)
    dossier = compile_dossier(evidence)
    monkeypatch.setattr("loopwright.formats.run_directory.draw_pictures", lambda _: ())
    for name in (
        "run_directory.write_network",
        "run_directory.write_maps",
        "pages._write_tables_and_pictures",
        "pages.dossier_html",
        "pages.summary_json",
    ):
        with monkeypatch.context() as patch:
            patch.setattr(f"loopwright.formats.{name}", full)
            with (
                pytest.raises(RunDirectoryError, match=r"cannot be written: No space left on device$"),
                growing(tmp_path / "run") as partial,
            ):
                write_run(partial, brief_text="", evidence=evidence, dossier=dossier, note=print)
        assert not (tmp_path / "run").exists()
        assert not (partial / "summary.json").exists()


def full(*_, **__):
    raise OSError(28, "No space left on device")


def test_pages_that_cannot_be_set_cost_one_sentence_and_nothing_else(tmp_path, monkeypatch):
    evidence, notes = synthetic_evidence(count=2), []
    monkeypatch.setattr("loopwright.formats.run_directory.draw_pictures", lambda _: ())
    monkeypatch.setattr("loopwright.formats.pdf.typst.compile", broken_setting)
    with growing(tmp_path / "run") as partial:
        write_run(partial, brief_text="", evidence=evidence, dossier=compile_dossier(evidence), note=notes.append)
    assert notes == ["dossier.pdf cannot be set: unknown font; the same stands in dossier.html"]
    assert (partial / "dossier.html").exists()
    assert not (partial / "dossier.pdf").exists()


def broken_setting(*_, **__):
    raise RuntimeError("unknown\n  font")
