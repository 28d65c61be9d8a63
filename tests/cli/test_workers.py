"""Workers that die, break and are called off."""

import multiprocessing
import os
import signal
import time
from pathlib import Path

import numba
import pytest

from loopwright.cli.workers import WorkerPool
from loopwright.ground.executing import Done, InLine, Lost


def squared(number):
    return number**2


def killed_until(task):
    """Kill the own process until so many files lie in the folder."""
    number, folder, deaths = task
    died = len(list(Path(folder).glob(f"{number}-*")))
    if died < deaths:
        (Path(folder) / f"{number}-{died}").touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return number**2


def threads(_):
    return numba.get_num_threads()


def broken(number):
    if number == 1:
        raise RuntimeError("nothing goes")
    return number


def slow(_):
    time.sleep(60)


def answers(found):
    return {one.index: one.answer for one in found if isinstance(one, Done)}


def pool(workers, notes=None):
    return WorkerPool(workers, note=(notes if notes is not None else []).append)


def test_all_tasks_are_carried_out_whoever_does_it():
    expected = {n: n**2 for n in range(7)}
    assert answers(InLine().carry_out(squared, range(7))) == expected
    assert answers(pool(3).carry_out(squared, range(7))) == expected
    assert list(pool(3).carry_out(squared, [])) == []


def test_every_worker_has_one_thread_for_compiled_loops():
    assert set(answers(pool(2).carry_out(threads, range(2))).values()) == {1}


def test_a_killed_worker_costs_a_retry(tmp_path):
    notes = []
    tasks = [(n, str(tmp_path), 2 if n == 1 else 0) for n in range(4)]
    assert answers(pool(2, notes).carry_out(killed_until, tasks)) == {0: 0, 1: 1, 2: 4, 3: 9}
    assert notes == ["a worker died at task 2, for the first time", "a worker died at task 2, for the second time"]


def test_a_task_that_kills_three_workers_is_given_up_and_the_others_go_on(tmp_path):
    tasks = [(n, str(tmp_path), 99 if n == 0 else 0) for n in range(4)]
    found = list(pool(2).carry_out(killed_until, tasks))
    assert answers(found) == {1: 1, 2: 4, 3: 9}
    (lost,) = [one for one in found if isinstance(one, Lost)]
    assert (lost.index, len(list(tmp_path.iterdir()))) == (0, 3)
    assert "died 3 times" in lost.reason


@pytest.mark.parametrize("executor", [InLine(), pool(2)])
def test_a_task_that_breaks_is_lost_with_its_reason_whoever_is_at_it(executor):
    found = list(executor.carry_out(broken, range(3)))
    assert answers(found) == {0: 0, 2: 2}
    assert [one for one in found if isinstance(one, Lost)] == [Lost(index=1, reason="RuntimeError: nothing goes")]


def test_leaving_ends_the_workers():
    before = set(multiprocessing.active_children())
    at_work = pool(2).carry_out(slow, range(2))
    with pytest.raises(TimeoutError):
        _interrupted_after(3.0, at_work)
    at_work.close()
    assert set(multiprocessing.active_children()) == before


def _interrupted_after(delay_s, at_work):
    """Wait for the first answer, and be interrupted as by Ctrl-C."""

    def interrupt(*_):
        raise TimeoutError

    former = signal.signal(signal.SIGALRM, interrupt)
    signal.setitimer(signal.ITIMER_REAL, delay_s)
    try:
        next(at_work)
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, former)
