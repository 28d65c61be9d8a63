"""The folder of finished pieces: what was kept comes back, what was damaged is told and computed again."""

import zipfile

import numpy as np
import pytest

from loopwright.formats.pieces import FolderStore, RefreshingStore
from loopwright.ground.errors import StoreError

KEY = "0123456789abcdef"


@pytest.fixture
def notes():
    return []


@pytest.fixture
def store(tmp_path, notes):
    return FolderStore(tmp_path / "pieces", note=notes.append)


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


def test_a_piece_lies_two_levels_deep_and_leaves_nothing_else(store, tmp_path):
    store.save(KEY, arrays())
    files = [path for path in (tmp_path / "pieces").rglob("*") if path.is_file()]
    assert files == [tmp_path / "pieces" / "01" / "23456789abcdef.npz"]
    assert store.path(KEY) == files[0]


def test_a_piece_opens_with_plain_numpy_and_without_pickle(store):
    store.save(KEY, arrays())
    with np.load(store.path(KEY), allow_pickle=False) as archive:
        assert archive["field"].shape == (2, 3, 4)


def flip_a_bit(path):
    content = bytearray(path.read_bytes())
    place = content.find(b"\x00\x00\x80?")  # 1.0 in little-endian float32: inside the field's numbers
    content[place + 2] ^= 1
    path.write_bytes(bytes(content))


def cut_short(path):
    path.write_bytes(path.read_bytes()[:-40])


def replace_by_text(path):
    path.write_text("not an archive")


def take_a_checksum_from_elsewhere(path):
    with np.load(path) as archive:
        kept = {name: archive[name] for name in archive.files}
    kept["count"] = np.array(8)
    with zipfile.ZipFile(path, "w") as archive:
        for name, array in kept.items():
            with archive.open(f"{name}.npy", "w") as entry:
                np.lib.format.write_array(entry, array)


def empty(path):
    path.write_bytes(b"")


@pytest.mark.parametrize("harm", [flip_a_bit, cut_short, replace_by_text, take_a_checksum_from_elsewhere, empty])
def test_a_damaged_piece_is_named_and_counts_as_missing(store, notes, harm):
    store.save(KEY, arrays())
    harm(store.path(KEY))
    assert store.load(KEY) is None
    assert len(notes) == 1
    assert str(store.path(KEY)) in notes[0]
    assert "damaged" in notes[0]
    store.save(KEY, arrays())
    assert store.load(KEY) is not None


def test_a_changed_number_behind_a_valid_archive_is_noticed(store, notes):
    """The archive's own check sums are right here; only the sha256 over all arrays can tell."""
    store.save(KEY, arrays())
    take_a_checksum_from_elsewhere(store.path(KEY))
    with zipfile.ZipFile(store.path(KEY)) as archive:
        assert archive.testzip() is None
    assert store.load(KEY) is None
    assert len(notes) == 1


def test_an_interrupted_write_leaves_the_old_piece(store, monkeypatch):
    store.save(KEY, arrays())

    def interrupted(_):
        raise KeyboardInterrupt

    monkeypatch.setattr("loopwright.formats.atomic.os.fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        store.save(KEY, {"count": np.array(8)})
    assert store.load(KEY)["count"] == 7
    assert [path.name for path in store.path(KEY).parent.iterdir()] == [store.path(KEY).name]


def test_a_full_disk_is_one_clear_sentence(store, monkeypatch):
    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("loopwright.formats.atomic.os.fsync", full)
    with pytest.raises(StoreError, match=r"piece .*23456789abcdef\.npz cannot be written: No space left on device"):
        store.save(KEY, arrays())


def test_a_file_in_the_place_of_the_folder_is_one_clear_sentence(tmp_path):
    (tmp_path / "taken").write_text("")
    with pytest.raises(StoreError, match=r"the store .*taken cannot be written: ") as caught:
        FolderStore(tmp_path / "taken", note=print)
    assert "\n" not in str(caught.value)


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
