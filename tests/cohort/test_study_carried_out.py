"""A study carried out: figures against the job's own, cases kept and refused, and the same tables whoever computes."""

import csv
import io
import os
import signal
from functools import cache, partial
from math import inf, isnan

import numpy as np
import pytest

from loopwright import bodies, fields
from loopwright.brief import read_cohort
from loopwright.cli.case_work import worked
from loopwright.cli.options import Pieces
from loopwright.cli.workers import WorkerPool
from loopwright.cohort import Asked, CaseResult, Outcome, cases_of, from_arrays, to_arrays
from loopwright.dossier import Column, Table, cases_table
from loopwright.formats.case_database import write_database
from loopwright.formats.tables import table_csv
from loopwright.ground.device import Device
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.executing import Done, InLine, Lost
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent
from loopwright.job import answers_on, dressed_array, driven_array
from loopwright.study import carry_out_case, carry_out_study
from small_study import SMALL_STUDY

NOBODY = Means(progress=Silent(), store=Forgetful())


class Shelf:
    """A store in memory that counts what it gives."""

    def __init__(self):
        self.kept, self.given = {}, 0

    def load(self, key):
        self.given += key in self.kept
        return self.kept.get(key)

    def save(self, key, arrays):
        self.kept[key] = arrays


def carried_out(asked, *, executor=None, work=None, store=None, text=SMALL_STUDY):
    return carry_out_study(
        read_cohort(text, "study.yaml"),
        asked,
        executor=InLine() if executor is None else executor,
        work=partial(carry_out_case, means=NOBODY) if work is None else work,
        store=Forgetful() if store is None else store,
        progress=Silent(),
    )


@cache
def imaged():
    shelf = Shelf()
    return carried_out(Asked.IMAGES, store=shelf), shelf


def cells(outcome):
    return list(csv.reader(io.StringIO(table_csv(cases_table(outcome.cohort)).decode())))


def equal(first, second):
    """Whether two tables have the same words, and numbers within 1e-6."""
    assert len(first) == len(second)
    for one, other in zip(first, second, strict=True):
        for a, b in zip(one, other, strict=True):
            try:
                assert float(a) == pytest.approx(float(b), rel=1e-6, abs=1e-12)
            except ValueError:
                assert a == b
    return True


def figures(outcome, array, patient):
    return next(r.figures for r in outcome.cohort.results if (r.array, r.patient) == (array, patient))


def test_a_case_has_the_figures_of_the_job_itself():
    """An array on the skin is the job's own array on that body."""
    found = figures(imaged()[0], "on the skin", "large")
    wanted = read_cohort(SMALL_STUDY, "study.yaml")
    brief = next(c.brief for c in wanted.planned if (c.array.name, c.patient.name) == ("on the skin", "large"))
    body = bodies.place(brief.body, frequency_hz=brief.scanner.frequency_hz)
    dressed = dressed_array(brief, body, body, NOBODY)
    driven = driven_array(brief, dressed, fields.Excitation(found.excitation))
    own = answers_on(brief, body, driven, NOBODY)
    assert found.images.region_snr_median == pytest.approx(np.median(own.quality.snr[own.quality.region_mask]))
    assert found.images.accelerations[0].g_mean == pytest.approx(own.quality.accelerations[0].mean_g_in_region)
    assert found.images.body_resistance_ohm == pytest.approx(own.array.elements[0].body_ohm, rel=0.05)
    assert found.fit.gap_largest_m == 0


def test_a_shell_that_is_too_large_is_far_away_and_loses_snr():
    outcome = imaged()[0]
    assert figures(outcome, "shell", "small").fit.gap_median_m == pytest.approx(0.015, abs=1e-6)
    small = outcome.cohort.snr_ratio[:, 0]
    assert small[0] < small[1] <= 1
    assert (
        figures(outcome, "shell", "small").images.body_resistance_ohm
        < figures(outcome, "on the skin", "small").images.body_resistance_ohm
    )


def test_who_does_not_fit_is_refused_with_the_reason_and_the_others_go_on():
    outcome = imaged()[0]
    refused = [r for r in outcome.cohort.results if r.outcome is Outcome.REFUSED]
    assert [(r.array, r.patient) for r in refused] == [("tight shell", "large")]
    assert "13.0 mm are missing" in refused[0].reason
    assert isnan(outcome.cohort.gap_percentile_95_m[1, 1])


def test_two_shells_are_needed_for_two_sizes():
    by_gap = imaged()[0].cohort.by_gap
    assert by_gap.arrays == (0, 1)
    assert {band.array: band.patients for band in by_gap.bands} == {1: (0,), 0: (1,)}


def test_fit_alone_has_the_same_gaps_and_solves_no_field(monkeypatch):
    monkeypatch.setattr(fields, "reply_to_sources", lambda *_, **__: pytest.fail("a field was solved"))
    fit = carried_out(Asked.FIT)
    np.testing.assert_allclose(fit.cohort.gap_percentile_95_m, imaged()[0].cohort.gap_percentile_95_m, rtol=1e-12)
    assert not fit.cohort.images_known


def test_finished_cases_are_read_and_not_computed():
    outcome, shelf = imaged()
    assert len(shelf.kept) == 5
    asked = []

    def counted(case):
        asked.append(case.name)
        return carry_out_case(case, NOBODY)

    again = carried_out(Asked.IMAGES, store=shelf, work=counted)
    assert asked == ["tight shell on large"]
    assert equal(cells(outcome), cells(again))


def test_a_study_that_was_stopped_goes_on_from_its_finished_cases():
    shelf = Shelf()

    class Stopped:
        def carry_out(self, work, tasks):
            yield Done(index=0, answer=work(tasks[0]))
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        carried_out(Asked.FIT, executor=Stopped(), store=shelf)
    assert len(shelf.kept) == 1
    assert equal(cells(carried_out(Asked.FIT, store=shelf)), cells(carried_out(Asked.FIT)))
    assert shelf.given == 1


def test_a_lost_case_is_told_and_the_others_stand():
    class Losing(InLine):
        def carry_out(self, work, tasks):
            for found in super().carry_out(work, tasks):
                yield Lost(index=0, reason="its worker died") if found.index == 0 else found

    outcome = carried_out(Asked.FIT, executor=Losing())
    failed = [r for r in outcome.cohort.results if r.outcome is Outcome.FAILED]
    assert [(r.array, r.patient, r.reason) for r in failed] == [("shell", "small", "its worker died")]
    assert outcome.cohort.by_gap.unserved == ()


def test_figures_come_back_from_the_store_as_they_went_in():
    found = figures(imaged()[0], "shell", "small")
    assert repr(from_arrays(to_arrays(found))) == repr(found)  # by their texts, for nan is not equal to itself
    assert from_arrays({"elements": np.array(1)}) is None


def test_a_key_follows_everything_that_changes_figures():
    def keys(text, asked=Asked.IMAGES):
        wanted = read_cohort(text, "study.yaml")
        return {case.name: case.key for case in cases_of(wanted.request, wanted.planned, asked)}

    own = keys(SMALL_STUDY)
    assert len(set(own.values())) == 6
    assert keys(SMALL_STUDY.replace("Two elements", "Others")) == own
    assert keys(SMALL_STUDY.replace("gap: 5 mm", "gap: 6 mm")) == own  # a limit changes no case
    assert not set(keys(SMALL_STUDY, Asked.FIT).values()) & set(own.values())
    for old, new in (("rest: centre", "rest: back"), ("relative_residual: 0.001", "relative_residual: 0.002")):
        assert not set(keys(SMALL_STUDY.replace(old, new)).values()) & set(own.values())
    moved = keys(SMALL_STUDY.replace("former: {shape: sphere, radius: 75", "former: {shape: sphere, radius: 76"))
    assert {name for name in own if moved[name] != own[name]} == {"shell on small", "shell on large"}


def test_the_database_holds_what_the_csv_holds(tmp_path):
    import sqlite3  # noqa: PLC0415 - only here

    outcome = imaged()[0]
    write_database(tmp_path / "cohort.sqlite", (cases_table(outcome.cohort), *outcome.dossier.tables))
    connection = sqlite3.connect(tmp_path / "cohort.sqlite")
    found = connection.execute("select * from cases")
    head, *rows = cells(outcome)
    assert [column[0] for column in found.description] == head
    for row, line in zip(found.fetchall(), rows, strict=True):
        for cell, text in zip(row, line, strict=True):
            if isinstance(cell, float):
                assert f"{cell:.7g}" == text
            else:
                assert ("" if cell is None else str(cell)) == text
    connection.close()


def test_the_database_tells_what_is_infinite_from_what_is_not_known(tmp_path):
    import sqlite3  # noqa: PLC0415 - only here

    columns = (Column(title="g", unit="1"), Column(title="SNR", unit="1"))
    write_database(tmp_path / "one.sqlite", (Table(name="one", caption="", columns=columns, rows=((inf, ""),)),))
    connection = sqlite3.connect(tmp_path / "one.sqlite")
    assert connection.execute("select * from one").fetchall() == [(inf, None)]
    connection.close()


class Killing:
    """Kill a worker of a pool as soon as the first case is done."""

    def __init__(self, pool, victims):
        self.pool, self.victims, self.killed = pool, victims, []

    def carry_out(self, work, tasks):
        for found in self.pool.carry_out(work, tasks):
            if not self.killed:
                self.killed = [self.victims()[-1]]
                os.kill(self.killed[0], signal.SIGKILL)
            yield found


def children():
    import multiprocessing  # noqa: PLC0415 - only here

    return [child.pid for child in multiprocessing.active_children()]


def work_in(folder):
    return partial(worked, folder=folder, pieces=Pieces.AGAIN, device=Device.CPU, title="a test")


def test_two_processes_one_of_them_killed_give_the_table_of_one(tmp_path):
    notes = []
    killing = Killing(WorkerPool(2, note=notes.append), children)
    here = carried_out(Asked.FIT, work=work_in(tmp_path / "one"))
    there = carried_out(Asked.FIT, executor=killing, work=work_in(tmp_path / "two"))
    assert killing.killed
    assert equal(cells(here), cells(there))


def test_a_worker_of_another_version_takes_no_case(tmp_path):
    """On a cluster somebody else may have installed it; what it finds would be kept under this version."""
    executor = WorkerPool(1, note=str)
    with pytest.raises(OutsideModelError, match="no case could be carried out"):
        carried_out(Asked.FIT, executor=executor, work=partial(work_in(tmp_path), tool_version="0.0.0"))


@pytest.mark.long
@pytest.mark.filterwarnings("ignore")
def test_one_process_four_and_a_cluster_with_a_killed_worker_give_equal_tables(tmp_path):
    distributed = pytest.importorskip("distributed")
    from loopwright.cli.cluster import Cluster  # noqa: PLC0415 - an extra

    here = cells(carried_out(Asked.IMAGES, work=work_in(tmp_path / "one")))
    notes = []
    four = Killing(WorkerPool(4, note=notes.append), children)
    assert equal(here, cells(carried_out(Asked.IMAGES, executor=four, work=work_in(tmp_path / "four"))))
    assert notes
    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None, memory_limit=0) as cluster,
        distributed.Client(cluster, set_as_default=False) as client,
    ):
        pids = sorted(client.run(os.getpid).values())
        killing = Killing(Cluster(cluster.scheduler_address), lambda: pids)
        assert equal(here, cells(carried_out(Asked.IMAGES, executor=killing, work=work_in(tmp_path / "cluster"))))
        assert killing.killed


def test_a_result_without_figures_is_worth_a_row():
    row = next(row for row in cells(imaged()[0]) if row[-1].startswith("the patient does not go"))
    assert row[:1] == ["large"]
    assert "refused" in row
    assert isinstance(imaged()[0].cohort.results[0], CaseResult)
