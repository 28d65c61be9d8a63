"""The folder of finished pieces: what was kept comes back, what was damaged is told and computed again."""

import os
import zipfile
from time import time

import numpy as np
import pytest

from loopwright.formats.store import FolderStore, RefreshingStore, TolerantStore
from loopwright.ground.errors import StoreError

KEY = "0123456789abcdef"


@pytest.fixture
def notes():
    return []


@pytest.fixture
def store(tmp_path, notes):
    return opened(tmp_path / "pieces", notes)


def opened(folder, notes):
    return FolderStore(folder, note=notes.append, brief="An invented array", tool_version="0.0.0")


def arrays():
    return {
        "field": (np.arange(24).reshape(2, 3, 4) * (1 + 2j)).astype(np.complex64),
        "file": np.array([1.5, -0.0, np.nan]),
        "names": np.array(["A1", "B2"]),
        "count": np.array(7),
    }


def test_arrays_come_back_bit_by_bit(store, notes):
    store.save(KEY, arrays())
    found = store.load(KEY)
    assert list(found) == list(arrays())
    for name, array in arrays().items():
        assert found[name].dtype == array.dtype
        assert found[name].shape == array.shape
        assert found[name].tobytes() == array.tobytes()
    assert notes == []


def test_what_was_never_kept_is_missing(store, notes):
    assert store.load(KEY) is None
    assert notes == []


def test_a_piece_lies_two_levels_deep_and_leaves_nothing_else_but_the_index(store, tmp_path):
    store.save(KEY, arrays())
    files = sorted(path for path in (tmp_path / "pieces").rglob("*") if path.is_file())
    assert files == [tmp_path / "pieces" / "01" / "23456789abcdef.npz", tmp_path / "pieces" / "index.sqlite"]
    assert store.path(KEY) == files[0]


def test_a_piece_opens_with_plain_numpy_and_without_pickle(store):
    store.save(KEY, arrays())
    with np.load(store.path(KEY), allow_pickle=False) as archive:
        assert archive["field"].shape == (2, 3, 4)


def test_a_changed_number_behind_a_valid_archive_is_noticed(store, notes):
    """The archive's own check sums are right here; only the sha256 over all arrays can tell."""
    store.save(KEY, arrays())
    with np.load(store.path(KEY)) as archive:
        kept = {name: archive[name] for name in archive.files}
    with zipfile.ZipFile(store.path(KEY), "w") as archive:
        for name, array in {**kept, "count": np.array(8)}.items():
            with archive.open(f"{name}.npy", "w") as entry:
                np.lib.format.write_array(entry, array)
    with zipfile.ZipFile(store.path(KEY)) as archive:
        assert archive.testzip() is None
    assert store.load(KEY) is None
    assert len(notes) == 1
    assert "damaged" in notes[0]


def test_a_whole_piece_under_the_name_of_another_is_not_believed(store, notes):
    store.save(KEY, arrays())
    other = f"{KEY[:-1]}0"
    store.path(KEY).rename(store.path(other))
    assert store.load(other) is None
    assert str(store.path(other)) in notes[0]


def test_an_interrupted_write_leaves_the_old_piece(store, monkeypatch):
    store.save(KEY, arrays())

    def interrupted(_):
        raise KeyboardInterrupt

    monkeypatch.setattr("loopwright.formats.atomic.os.fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        store.save(KEY, {"count": np.array(8)})
    assert store.load(KEY)["count"] == 7
    assert [path.name for path in store.path(KEY).parent.iterdir()] == [store.path(KEY).name]


def test_what_a_killed_process_left_half_written_is_ignored_and_goes_after_an_hour(store, notes, tmp_path):
    store.save(KEY, arrays())
    folder = store.path(KEY).parent
    fresh, old = (folder / f".{'a' * 14}.npz.{mark}.partial" for mark in ("fresh", "old"))
    for path in (fresh, old):
        path.write_bytes(b"half")
    hours_ago = time() - 2 * 3600
    os.utime(old, (hours_ago, hours_ago))
    again = opened(tmp_path / "pieces", notes)
    assert again.load(KEY) is not None
    assert again.load(f"01{'a' * 14}") is None
    assert fresh.exists()  # somebody may still be writing it
    assert not old.exists()
    assert notes == []


def test_a_full_disk_is_one_clear_sentence(store, monkeypatch):
    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("loopwright.formats.atomic.os.fsync", full)
    with pytest.raises(StoreError, match=r"piece .*23456789abcdef\.npz cannot be written: No space left on device"):
        store.save(KEY, arrays())


def test_a_file_in_the_place_of_the_folder_is_one_clear_sentence(tmp_path):
    (tmp_path / "taken").write_text("")
    with pytest.raises(StoreError, match=r"the store .*taken cannot be used: ") as caught:
        opened(tmp_path / "taken", [])
    assert "\n" not in str(caught.value)


def test_a_run_goes_on_when_the_disk_is_full_and_says_so_once(store, notes, monkeypatch):
    tolerant = TolerantStore(store, note=notes.append)
    tolerant.save(KEY, arrays())

    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("loopwright.formats.atomic.os.fsync", full)
    for last in "abc":
        tolerant.save(f"{KEY[:-1]}{last}", arrays())
    assert len(notes) == 1
    assert "No space left on device; the run goes on" in notes[0]
    assert tolerant.load(KEY) is not None
    assert tolerant.load(f"{KEY[:-1]}a") is None


def test_a_store_that_cannot_be_written_is_read_all_the_same(store, notes, tmp_path, monkeypatch):
    store.save(KEY, arrays())
    index = (tmp_path / "pieces" / "index.sqlite").read_bytes()

    def refused(*_, **__):
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr("loopwright.formats.store.write_whole", refused)
    reading = TolerantStore(opened(tmp_path / "pieces", notes), note=notes.append)
    assert reading.load(KEY) is not None
    assert notes == []
    for last in "ab":
        reading.save(f"{KEY[:-1]}{last}", arrays())
    assert len(notes) == 1
    assert "Read-only file system; the run goes on" in notes[0]
    assert (tmp_path / "pieces" / "index.sqlite").read_bytes() == index


@pytest.mark.parametrize("key", ["", "short", "../../../etc/passwd", "UPPERCASEKEY", "a" * 129])
def test_a_key_cannot_leave_the_folder(store, key):
    with pytest.raises(StoreError, match="cannot be the key"):
        store.save(key, arrays())


def test_python_objects_are_refused(store):
    with pytest.raises(StoreError, match="'bad' cannot be kept"):
        store.save(KEY, {"bad": np.array([{}], dtype=object)})


def test_a_refreshing_store_finds_nothing_and_keeps_the_new(store):
    store.save(KEY, {"count": np.array(1)})
    refreshing = RefreshingStore(store)
    assert refreshing.load(KEY) is None
    refreshing.save(KEY, {"count": np.array(2)})
    assert store.load(KEY)["count"] == 2
