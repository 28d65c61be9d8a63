"""The index: what it says, and that a store does not need it."""

import sqlite3
import subprocess
import sys

import numpy as np
import pytest

from loopwright.formats.store import FolderStore
from loopwright.formats.store_care import look_at
from loopwright.formats.store_index import INDEX, StoreIndex

KEYS = ("0123456789abcdef", "fedcba9876543210")


@pytest.fixture
def notes():
    return []


@pytest.fixture
def store(tmp_path, notes):
    return FolderStore(tmp_path, note=notes.append, brief="An invented array", tool_version="0.3.0")


def pieces(folder, notes):
    return StoreIndex(folder, note=notes.append).pieces()


def test_it_says_what_each_piece_is(store, tmp_path, notes):
    store.save(KEYS[0], {"field": np.arange(6.0), "products": np.array(3)})
    (piece,) = pieces(tmp_path, notes).values()
    label = piece.label
    assert (label.key, label.brief, label.tool_version) == (KEYS[0], "An invented array", "0.3.0")
    assert label.holds == "field, products"
    assert len(bytes.fromhex(label.sha256)) == 32
    assert piece.size_bytes == store.path(KEYS[0]).stat().st_size
    assert piece.made_s == piece.used_s == pytest.approx(store.path(KEYS[0]).stat().st_mtime, abs=5)


def test_a_load_counts_as_use(store, tmp_path, notes, monkeypatch):
    store.save(KEYS[0], {"count": np.array(1)})
    before = pieces(tmp_path, notes)[KEYS[0]]
    monkeypatch.setattr("loopwright.formats.store.time", lambda: before.used_s + 1000)
    store.load(KEYS[0])
    after = pieces(tmp_path, notes)[KEYS[0]]
    assert after.used_s == before.used_s + 1000
    assert after.made_s == before.made_s


def lost(index):
    index.unlink()


def overwritten(index):
    index.write_bytes(b"not a database at all, and longer than a header of one hundred bytes" * 4)


def cut_short(index):
    index.write_bytes(index.read_bytes()[:5000])


def of_another_form(index):
    index.unlink()
    connection = sqlite3.connect(index)
    with connection:
        connection.execute("create table pieces (colour text)")
    connection.close()


@pytest.mark.parametrize("harm", [lost, overwritten, cut_short, of_another_form])
def test_a_lost_or_damaged_index_is_made_again_from_the_files(store, tmp_path, notes, harm):
    for key in KEYS:
        store.save(key, {"count": np.array(7)})
    before = pieces(tmp_path, notes)
    harm(tmp_path / INDEX)
    assert store.load(KEYS[0])["count"] == 7
    store.save(KEYS[1], {"count": np.array(8)})
    assert len(notes) == (harm in (overwritten, of_another_form))  # a short file is quietly taken for an empty one
    assert all("the index" in note and "\n" not in note for note in notes)
    look_at(tmp_path, note=notes.append)
    after = pieces(tmp_path, notes)
    assert after.keys() == before.keys()
    assert after[KEYS[0]].label == before[KEYS[0]].label
    assert after[KEYS[0]].size_bytes == before[KEYS[0]].size_bytes


def test_an_index_that_cannot_be_opened_stops_nothing_and_is_told_once(store, tmp_path, notes):
    (tmp_path / INDEX).mkdir()
    for key in KEYS:
        store.save(key, {"count": np.array(7)})
        assert store.load(key)["count"] == 7
    assert len(notes) == 1
    assert "cannot be used" in notes[0]


def test_what_another_process_holds_too_long_stops_nothing(store, tmp_path, notes, monkeypatch):
    store.save(KEYS[0], {"count": np.array(7)})
    monkeypatch.setattr("loopwright.formats.store_index._PATIENCE_S", 0.05)
    holding = sqlite3.connect(tmp_path / INDEX, isolation_level=None)
    holding.execute("begin exclusive")
    store.save(KEYS[1], {"count": np.array(8)})
    assert store.load(KEYS[1])["count"] == 8
    holding.close()
    assert len(notes) == 1
    assert "locked" in notes[0]
    assert KEYS[0] in pieces(tmp_path, notes)  # what was there is there


WRITER = """
import sys
from pathlib import Path
import numpy as np
from loopwright.formats.store import FolderStore
notes = []
store = FolderStore(Path(sys.argv[1]), note=notes.append, brief=sys.argv[2], tool_version="0")
for number in range(30):
    key = f"{number % 10:08x}"
    found = store.load(key)
    assert found is None or (found["field"] == number % 10).all()
    store.save(key, {"field": np.full(2000, number % 10)})
assert not notes, notes
"""


def test_processes_that_write_the_same_pieces_at_once_leave_whole_ones(tmp_path, notes):
    writers = [
        subprocess.Popen([sys.executable, "-c", WRITER, str(tmp_path), name], stderr=subprocess.PIPE)  # noqa: S603
        for name in ("first", "second")
    ]
    for writer in writers:
        _, error = writer.communicate(timeout=60)
        assert writer.returncode == 0, error.decode()
    contents = look_at(tmp_path, note=notes.append)
    assert len(contents.pieces) == 10
    assert contents.foreign == contents.unreadable == ()
    assert pieces(tmp_path, notes).keys() == {f"{number:08x}" for number in range(10)}
    assert notes == []
