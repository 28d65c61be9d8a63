"""The command line as somebody in a terminal or a script meets it: what is printed where, and the exit code."""

import importlib
import subprocess
import sys
import types
from pathlib import Path

import numpy as np
import pytest

from loopwright import __version__
from loopwright.brief import read_brief
from loopwright.cli import main
from loopwright.dossier import compile_dossier, methods_of
from loopwright.ground.errors import NotConvergedError, OutsideModelError
from small_comparison import SMALL, small_outcome
from synthetic_evidence import synthetic_evidence

KEY = "0123456789abcdef"


@pytest.fixture
def call(capsys):
    """Call the command line and return exit code, standard output and standard error."""

    def called(*words):
        with pytest.raises(SystemExit) as caught:
            main([str(word) for word in words])
        captured = capsys.readouterr()
        return caught.value.code or 0, captured.out, captured.err

    return called


@pytest.fixture
def brief(tmp_path, call):
    code, out, _ = call("new", tmp_path / "first")
    assert code == 0
    return Path(out.strip())


@pytest.fixture
def job(monkeypatch):
    """Put a job in place of the real one; the physics has tests of its own."""

    monkeypatch.setattr("loopwright.formats.run_directory.draw_pictures", lambda _: ())  # drawn in tests/formats

    def placed(carry_out):
        importlib.import_module("loopwright.measurement")  # takes the real job along before the stand-in has its name
        fake = types.ModuleType("loopwright.job")
        fake.carry_out = carry_out
        monkeypatch.setitem(sys.modules, "loopwright.job", fake)
        monkeypatch.delitem(sys.modules, "loopwright.cli.carry", raising=False)

    return placed


def quick(brief, means):  # noqa: ARG001 - the job's own signature
    progress, store = means.progress, means.store
    progress.begin("fields of the elements", 2)
    progress.advance()
    progress.advance()
    if store.load(KEY) is None:
        store.save(KEY, {"answer": np.array(42)})
        progress.note("computed")
    evidence = synthetic_evidence(count=2)
    return types.SimpleNamespace(evidence=evidence, dossier=compile_dossier(evidence))


def test_help_names_the_commands(call):
    code, out, _ = call("--help")
    assert code == 0
    for command in ("run", "compare-designs", "what-to-turn", "new", "cite"):
        assert f"\n  {command} " in out


def test_help_brings_in_nothing_heavy():
    script = (
        "import sys\n"
        "from loopwright.cli import main\n"
        "try: main(['--help'])\n"
        "except SystemExit: pass\n"
        "heavy = {'numpy', 'scipy', 'matplotlib', 'numba', 'xarray', 'skrf', 'pint', 'pydantic', 'jinja2', 'h5py'}\n"
        "sys.exit(', '.join(sorted(heavy & set(sys.modules))) or None)\n"
    )
    done = subprocess.run(  # noqa: S603 - our own interpreter, our own words
        [sys.executable, "-c", script], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, f"--help imports {done.stderr}"


def test_new_writes_a_brief_that_can_be_read(brief):
    assert brief.name == "brief.yaml"
    assert read_brief(brief.read_text("utf-8"), "brief.yaml").title


def test_new_overwrites_nothing(call, brief):
    brief.write_text("mine")
    code, out, err = call("new", brief.parent)
    assert (code, out) == (3, "")
    assert err.count("\n") == 1
    assert "exists already" in err
    assert brief.read_text() == "mine"


def test_new_in_the_place_of_a_file_is_one_sentence(call, tmp_path):
    (tmp_path / "file").write_text("")
    code, _, err = call("new", tmp_path / "file")
    assert code == 3
    assert err.count("\n") == 1


def test_cite_prints_the_references_of_exactly_the_methods(call, brief):
    code, out, _ = call("cite", brief)
    assert code == 0
    used = methods_of(read_brief(brief.read_text("utf-8"), "brief.yaml"))
    assert [line.split(":")[0] for line in out.splitlines() if line and not line.startswith(" ")] == list(used)
    assert "[roemer1990]" in out
    assert "[cristy1987]" in out  # the starter asks for a child
    assert "[lee2018]" not in out  # and not for a sphere


@pytest.mark.parametrize("command", ["run", "compare-designs", "cite"])
def test_a_missing_brief_is_told_without_a_traceback(call, tmp_path, command):
    code, out, err = call(command, tmp_path / "nowhere.yaml")
    assert (code, out) == (2, "")
    assert "nowhere.yaml" in err
    assert "nowhere.yaml: file = No such file" in err
    assert "Traceback" not in err


@pytest.mark.parametrize("content", [b"\xff\xfe\x00b", b"", b"title: [unclosed", b"title: only a title\n"])
def test_a_wrong_brief_leaves_with_2_and_touches_nothing(call, tmp_path, content, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "wrong.yaml").write_bytes(content)
    code, out, err = call("run", "wrong.yaml")
    assert (code, out) == (2, "")
    assert "wrong.yaml:" in err
    assert "Traceback" not in err
    assert [path.name for path in tmp_path.iterdir()] == ["wrong.yaml"]


@pytest.mark.parametrize(
    "words", [("fly",), ("run",), ("run", "a.yaml", "--fast"), ("run", "a.yaml", "--pieces", "no")]
)
def test_a_wrong_command_leaves_with_2(call, words):
    code, out, err = call(*words)
    assert (code, out) == (2, "")
    assert "Error" in err


def test_a_wrong_word_of_an_option_is_told_plainly(call):
    _, _, err = call("run", "a.yaml", "--device", "gpx")
    assert "'--device': 'gpx' is not one of cpu, gpu" in err


def test_the_version_is_told(call):
    assert call("--version") == (0, f"loopwright {__version__}\n", "")


def test_a_place_that_cannot_be_is_named_as_the_user_wrote_it(call, brief, job):
    job(quick)
    code, _, err = call("run", brief, "--out", "/proc/there")
    assert code == 3
    assert "/proc/there.partial, where there would grow, cannot be made" in err
    assert "choose another --out" in err


def test_what_is_left_of_a_cancelled_run_is_named(call, brief, job, tmp_path):
    def cancelled(*_):
        raise KeyboardInterrupt

    job(cancelled)
    code, _, err = call("run", brief, "--out", tmp_path / "r", "--store", tmp_path / "s")
    assert code == 130
    assert f"cancelled; {tmp_path / 'r.partial'} is left unfinished; finished pieces are kept" in err


def test_run_prints_the_run_directory_and_nothing_else_to_the_pipe(call, brief, job, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    job(quick)
    code, out, err = call("run", brief, "--store", tmp_path / "store")
    assert (code, out) == (0, "brief-run\n")
    assert "fields of the elements (2)" in err
    run = tmp_path / "brief-run"
    assert (run / "brief.yaml").read_text() == brief.read_text()
    log = (run / "log.txt").read_text()
    for words in ("loopwright ", "fields of the elements: done in ", "computed", "writing brief-run"):
        assert words in log


def test_a_second_run_finds_the_pieces_unless_told_otherwise(call, brief, job, tmp_path):
    job(quick)
    words = ("run", brief, "--store", tmp_path / "store", "--out", tmp_path / "r")
    assert "computed" in call(*words)[2]
    assert "computed" not in call(*words)[2]
    assert "computed" in call(*words, "--pieces", "again")[2]


def test_a_foreign_directory_leaves_with_3_before_anything_is_computed(call, brief, job, tmp_path):
    def never(*_, **__):
        raise AssertionError

    job(never)
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "thesis.tex").write_text("")
    code, out, err = call("run", brief, "--out", tmp_path / "mine")
    assert (code, out) == (3, "")
    assert err.count("\n") == 1
    assert [path.name for path in (tmp_path / "mine").iterdir()] == ["thesis.tex"]


def test_a_store_that_cannot_be_used_leaves_with_3(call, brief, job, tmp_path):
    job(quick)
    (tmp_path / "file").write_text("")
    code, out, err = call("run", brief, "--out", tmp_path / "r", "--store", tmp_path / "file")
    assert (code, out) == (3, "")
    assert "the store" in err.splitlines()[-1]


@pytest.mark.parametrize(
    ("error", "code", "words"),
    [
        (KeyboardInterrupt(), 130, "cancelled"),
        (NotConvergedError("the field stopped at 3e-2"), 1, "the field stopped at 3e-2"),
        (OutsideModelError("the wire is thicker than the gap"), 2, "the wire is thicker than the gap"),
    ],
)
def test_what_stops_a_job_is_told_in_one_line_and_logged(call, brief, job, tmp_path, error, code, words):
    def stopped(*_, **__):
        raise error

    job(stopped)
    found, out, err = call("run", brief, "--out", tmp_path / "r", "--store", tmp_path / "store")
    assert (found, out) == (code, "")
    assert words in err.splitlines()[-1]
    assert "Traceback" not in err
    assert not (tmp_path / "r").exists()
    assert ("cancelled" if code == 130 else words) in (tmp_path / "r.partial" / "log.txt").read_text()


def test_a_bug_keeps_its_traceback(brief, job, tmp_path):
    """What is nobody's fault but ours must not be dressed up as the user's."""

    def broken(*_, **__):
        return 1 / 0

    job(broken)
    with pytest.raises(ZeroDivisionError):
        main(["run", str(brief), "--out", str(tmp_path / "r"), "--store", str(tmp_path / "store")])


def test_a_missing_gpu_is_told_before_anything_is_written(call, brief, tmp_path, job, monkeypatch):
    job(quick)
    monkeypatch.setitem(sys.modules, "cupy", None)
    code, _, err = call("run", brief, "--device", "gpu", "--out", tmp_path / "out", "--store", tmp_path / "store")
    assert code == 2
    assert "CuPy" in err
    assert "--device cpu" in err
    assert not list(tmp_path.glob("out*"))


@pytest.fixture
def comparison(monkeypatch):
    """Put a comparison in place of the real one; it has tests of its own."""

    def placed(compare_designs):
        fake = types.ModuleType("loopwright.comparison")
        fake.compare_designs = compare_designs
        monkeypatch.setitem(sys.modules, "loopwright.comparison", fake)
        monkeypatch.delitem(sys.modules, "loopwright.cli.carry", raising=False)

    return placed


def test_compare_designs_prints_the_directory_and_logs_refusals(call, comparison, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    comparison(lambda wanted, means: small_outcome())  # noqa: ARG005 - the real signature
    (tmp_path / "sizes.yaml").write_text(SMALL)
    code, out, err = call("compare-designs", "sizes.yaml", "--store", tmp_path / "store")
    assert (code, out) == (0, "sizes-designs\n")
    assert "design D03 is refused: array.tiling.size" in err
    assert (tmp_path / "sizes-designs" / "brief.yaml").read_text() == SMALL
    log = (tmp_path / "sizes-designs" / "log.txt").read_text()
    assert "design D03 is refused" in log
    for told in (err, log):
        assert "At 25 mm below the skin? D0" in told
        assert "gives the highest SNR in the median of the region" in told


def test_comparing_a_brief_without_designs_leaves_with_2_and_touches_nothing(call, brief, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    before = set(tmp_path.iterdir())
    code, out, err = call("compare-designs", brief)
    assert (code, out) == (2, "")
    assert "designs = nothing" in err
    assert set(tmp_path.iterdir()) == before


@pytest.mark.parametrize(
    ("error", "code"),
    [(KeyboardInterrupt(), 130), (NotConvergedError("stopped at 3e-2"), 1), (OutsideModelError("none can be"), 2)],
)
def test_what_stops_a_comparison_has_the_exit_code_of_a_run(call, comparison, tmp_path, error, code):
    def stopped(*_, **__):
        raise error

    comparison(stopped)
    (tmp_path / "sizes.yaml").write_text(SMALL)
    found, out, _ = call("compare-designs", tmp_path / "sizes.yaml", "--out", tmp_path / "c", "--store", tmp_path / "s")
    assert (found, out) == (code, "")
    assert not (tmp_path / "c").exists()


def test_a_run_says_that_it_leaves_designs_aside(call, job, tmp_path):
    job(quick)
    (tmp_path / "sizes.yaml").write_text(SMALL)
    words = ("run", tmp_path / "sizes.yaml", "--out", tmp_path / "r", "--store", tmp_path / "s")
    assert "left aside" in call(*words)[2]


def test_an_answer_that_nobody_takes_is_one_line_and_no_traceback(brief):
    command = [sys.executable, "-c", "from loopwright.cli import main; main()", "cite", str(brief)]
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(command, stdout=full, stderr=subprocess.PIPE, text=True, check=False)  # noqa: S603
    assert done.returncode == 3
    assert done.stderr.splitlines() == ["loopwright: the answer cannot be printed: No space left on device"]
