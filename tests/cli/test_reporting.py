"""Progress: bars for eyes, lines for pipes, and a log in either case."""

import io
import logging

import pytest
from rich.console import Console
from rich.progress import Progress

from loopwright.cli.reporting import BarReporter, LineReporter, reporting


@pytest.fixture
def log():
    logger = logging.Logger("test")  # noqa: LOG001 - one of its own
    logger.stream = io.StringIO()
    logger.addHandler(logging.StreamHandler(logger.stream))
    return logger


def work(reporter):
    reporter.begin("bodies", 3)
    reporter.advance()
    reporter.advance(2)
    reporter.note("found [one] thing")
    reporter.begin("fields", 5)
    reporter.advance(4)


def test_lines_tell_start_end_and_notes_once(log):
    stream = io.StringIO()
    work(LineReporter(log, stream))
    lines = stream.getvalue().splitlines()
    assert lines[0] == "bodies (3)"
    assert lines[1].startswith("bodies: done in ")
    assert lines[2:] == ["found [one] thing", "fields (5)"]
    assert log.stream.getvalue().splitlines() == lines


def test_bars_log_the_same_and_leave_brackets_alone(log):
    stream = io.StringIO()
    with Progress(console=Console(file=stream, force_terminal=True, width=100)) as bars:
        work(BarReporter(log, bars))
        assert [(task.description, task.completed, task.total) for task in bars.tasks] == [
            ("bodies", 3, 3),
            ("fields", 4, 5),
        ]
    assert "found [one] thing" in stream.getvalue()
    assert [line.split(" in ")[0] for line in log.stream.getvalue().splitlines()] == [
        "bodies (3)", "bodies: done", "found [one] thing", "fields (5)",
    ]  # fmt: skip


def test_what_ends_a_run_early_is_in_the_log(tmp_path):
    with pytest.raises(RuntimeError), reporting(tmp_path / "log.txt"):
        raise RuntimeError("disk on fire")
    text = (tmp_path / "log.txt").read_text()
    assert "stopped" in text
    assert "disk on fire" in text


def test_two_runs_in_one_process_keep_two_logs(tmp_path):
    for name in ("a", "b"):
        with reporting(tmp_path / name) as progress:
            progress.note(f"this is {name}")
    assert "this is b" not in (tmp_path / "a").read_text()
    assert "this is a" not in (tmp_path / "b").read_text()
