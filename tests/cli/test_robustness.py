"""Runs that are killed, cut short by a full disk, or meet each other: nothing finished is lost, one line each."""

import json
import os
import signal
import subprocess
import sys
from importlib.resources import files
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from time import monotonic, sleep

import pytest

KILLING = Path(__file__).with_name("killing.py")


def killed(kills, seed, folder, *more):
    done = subprocess.run(  # noqa: S603 - our own interpreter, our own words
        [sys.executable, str(KILLING), str(kills), str(seed), str(folder), *more],
        capture_output=True, text=True, check=False, timeout=3600,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    return json.loads(done.stdout)


def test_a_run_that_was_killed_gives_what_an_undisturbed_one_gives(tmp_path):
    told = killed(2, 5, tmp_path, "no-pictures")
    assert told["kills"] == 2
    assert told["numbers compared"] > 10_000
    assert told["largest relative difference"] <= 1e-6


@pytest.mark.long
def test_a_hundred_kills_at_random_times_change_nothing(tmp_path):
    told = killed(100, 2026, tmp_path)
    assert told["kills"] == 100
    assert told["finished"] >= 1  # a slow machine is killed more often before it escapes, and compares less often
    assert len(told["killed while"]) >= 4  # before, between and within the pieces, and while writing
    assert told["largest relative difference"] <= 1e-6


class StandIns:
    """Runs whose job is a stand-in, in processes of their own; see standing_in.py."""

    def __init__(self, process):
        self.process = process

    def ordered(self, order):
        self.process.stdin.write(json.dumps(order) + "\n")
        self.process.stdin.flush()
        return int(self.process.stdout.readline())

    def begun(self, brief, out="run", **more):
        words = ["run", brief, "--out", brief.parent / out, "--store", brief.parent / "store"]
        said = brief.parent / f"said {next(self.numbers)}"
        return self.ordered({"run": [str(word) for word in words], "said": str(said), **more}), said

    numbers = count()

    def ended(self, begun):
        """Wait, and return exit code and what was said in lines."""
        pid, said = begun
        code, text = self.ordered({"wait": pid}), said.read_text()
        assert "Traceback" not in text, text
        return code, text.splitlines()


@pytest.fixture(scope="module")
def runs():
    script = Path(__file__).with_name("standing_in.py")
    with subprocess.Popen(  # noqa: S603 - as above
        [sys.executable, str(script)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        yield StandIns(process)
        process.stdin.close()


@pytest.fixture
def brief(tmp_path):
    path = tmp_path / "brief.yaml"
    path.write_text(files("loopwright.cli").joinpath("starter.yaml").read_text("utf-8"), "utf-8")
    return path


def wait_for(words, begun):
    until = monotonic() + 60
    while words not in (begun[1].read_text() if begun[1].exists() else ""):
        assert monotonic() < until
        sleep(0.01)


def test_two_runs_on_one_store_end_well(runs, brief):
    both = [(runs.begun(brief, out), brief.parent / out) for out in ("one", "two")]
    for run, out in both:
        code, said = runs.ended(run)
        assert (code, said[-1]) == (0, str(out))
        assert not [line for line in said if "damaged" in line or "index" in line]
    summaries = [(out / "summary.json").read_bytes() for _, out in both]
    assert summaries[0] == summaries[1]
    assert len(list((brief.parent / "store").glob("*/*.npz"))) == 6


def test_of_two_runs_into_one_directory_the_second_is_refused(runs, brief):
    first = runs.begun(brief, sleep_s={2: 60})
    wait_for("computed 2", first)
    code, said = runs.ended(runs.begun(brief))
    assert code == 3
    assert len(said) == 1
    assert "another run is writing into" in said[0]
    os.kill(first[0], signal.SIGKILL)
    assert runs.ended(first)[0] == -signal.SIGKILL
    code, said = runs.ended(runs.begun(brief))  # free again, and goes on behind the killed one's pieces
    assert code == 0
    assert computed(said) == [3, 4, 5]


def computed(said):
    return [int(line.split()[1]) for line in said if line.startswith("computed ")]


def test_control_c_keeps_what_is_finished_and_leaves_with_130(runs, brief):
    first = runs.begun(brief, sleep_s={3: 60})
    wait_for("computed 3", first)
    os.kill(first[0], signal.SIGINT)
    code, said = runs.ended(first)
    assert code == 130
    left = f"{brief.parent / 'run.partial'} is left unfinished"
    assert said[-1] == f"loopwright: cancelled; {left}; finished pieces are kept, the same command goes on from there"
    assert computed(runs.ended(runs.begun(brief))[1]) == [4, 5]


def test_a_disk_that_is_full_for_pieces_costs_one_line(runs, brief):
    """No file may grow beyond 100 kB until all pieces are computed: none can be kept."""
    code, said = runs.ended(runs.begun(brief, room_bytes={-1: 100_000, 5: -1}))
    assert code == 0
    assert len([line for line in said if "the run goes on" in line]) == 1
    assert not [path for path in (brief.parent / "store").rglob("*") if path.is_file() and path.suffix != ".sqlite"]
    assert (brief.parent / "run" / "summary.json").exists()


@pytest.mark.parametrize("room_bytes", [1_000, 20_000, 150_000])
def test_a_disk_that_is_full_for_results_stops_with_one_line_and_is_gone_on_from(runs, brief, room_bytes):
    """Whichever file is the first that does not fit."""
    code, said = runs.ended(runs.begun(brief, room_bytes={5: room_bytes}))
    assert code == 3
    assert said[-1].startswith("loopwright: ")
    assert "run.partial cannot be written: " in said[-1]
    assert not (brief.parent / "run").exists()
    code, said = runs.ended(runs.begun(brief))
    assert code == 0
    assert computed(said) == []


@pytest.mark.skipif(os.geteuid() != 0, reason="only the superuser may become nobody")
def test_a_folder_that_may_not_be_written_is_told_before_anything_is_computed(runs):
    with TemporaryDirectory() as folder:  # pytest keeps others out of its own
        Path(folder).chmod(0o755)
        brief = Path(folder) / "brief.yaml"
        brief.write_text(files("loopwright.cli").joinpath("starter.yaml").read_text("utf-8"), "utf-8")
        code, said = runs.ended(runs.begun(brief, "theirs", user=65534))
        assert code == 3
        assert len(said) == 1
        assert "cannot be made: Permission denied" in said[0]
