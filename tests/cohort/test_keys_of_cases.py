"""A case that is kept is found again only while the packaged data are the same."""

from loopwright.brief import read_cohort
from loopwright.cohort import Asked, cases, cases_of
from loopwright.ground import tables
from small_study import SMALL_STUDY


def keys():
    wanted = read_cohort(SMALL_STUDY, "study.yaml")
    return {case.key for case in cases_of(wanted.request, wanted.planned, Asked.FIT)}


def test_other_packaged_data_make_other_keys(monkeypatch):
    before = keys()
    assert keys() == before
    monkeypatch.setattr(cases, "data_digest", lambda: "of other data")
    assert not keys() & before


def test_the_digest_of_the_data_is_that_of_names_and_contents(tmp_path, monkeypatch):
    (tmp_path / "data").mkdir()
    monkeypatch.setattr(tables.resources, "files", lambda _: tmp_path)
    found = set()
    for name, content in (("a.csv", "1"), ("a.csv", "2"), ("b.csv", "2")):
        (tmp_path / "data" / name).write_text(content)
        tables.data_digest.cache_clear()
        found.add(tables.data_digest())
    tables.data_digest.cache_clear()
    assert len(found) == 3
