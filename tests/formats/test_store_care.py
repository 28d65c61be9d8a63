"""Looking after a store: what is listed, what is forgotten, and what is left alone."""

import os

import numpy as np
import pytest

from loopwright.formats.store import FolderStore
from loopwright.formats.store_care import ForgettingRule, damaged_pieces, forget, look_at
from loopwright.formats.store_index import INDEX
from loopwright.ground.errors import StoreError

DAY_S = 86400.0


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "store"


@pytest.fixture
def clock(monkeypatch):
    """A clock that the test turns."""
    now = [1.8e9]
    for module in ("store", "store_care"):
        monkeypatch.setattr(f"loopwright.formats.{module}.time", lambda: now[0])
    return now


def keep(folder, key, *, brief="a", version="0.1.0"):
    store = FolderStore(folder, note=pytest.fail, brief=brief, tool_version=version)
    store.save(key, {"field": np.arange(4.0)})
    return store.path(key)


def seen(folder):
    return look_at(folder, note=pytest.fail)


def keys(folder):
    return {piece.label.key for piece in seen(folder).pieces.values()}


def test_foreign_files_are_named_and_left_alone(folder):
    piece = keep(folder, "0123456789abcdef")
    foreign = [folder / "notes.txt", piece.parent / "picture.png", folder / "ab" / "deeper" / "23456789.npz"]
    for path in foreign:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("mine")
    contents = seen(folder)
    assert list(contents.pieces) == [piece]
    assert set(contents.foreign) == set(foreign)
    assert contents.unreadable == ()
    assert forget(contents, ForgettingRule(made_days=0), note=pytest.fail).keys() == {piece}
    assert not piece.exists()
    assert all(path.read_text() == "mine" for path in foreign)


def test_a_folder_that_is_no_store_stays_as_it_is(folder):
    folder.mkdir()
    (folder / "thesis.tex").write_text("")
    assert seen(folder).pieces == {}
    assert [path.name for path in folder.iterdir()] == ["thesis.tex"]


def test_a_store_that_is_not_there_is_one_sentence(folder):
    with pytest.raises(StoreError, match=r"the store .* cannot be read: No such file"):
        seen(folder)


def test_conditions_hold_together(folder, clock):
    keep(folder, "00000001", version="0.1.0")
    keep(folder, "00000002", version="0.2.0")
    clock[0] += 10 * DAY_S
    FolderStore(folder, note=pytest.fail, brief="b", tool_version="0.2.0").load("00000001")
    keep(folder, "00000003", version="0.1.0")
    clock[0] += 5 * DAY_S
    contents = seen(folder)

    def going(**conditions):
        rule = ForgettingRule(**conditions)
        return {p.label.key[-1] for p in contents.pieces.values() if rule.meets(p, clock[0])}

    assert going(unused_days=14) == {"2"}
    assert going(made_days=14) == {"1", "2"}
    assert going(version_kept="0.2.0") == {"1", "3"}
    assert going(made_days=14, version_kept="0.2.0") == {"1"}
    assert going(unused_days=14, version_kept="0.2.0") == set()
    assert going(unused_days=16) == set()


def test_what_is_forgotten_is_gone_from_folder_and_index(folder, clock):
    keep(folder, "00000001")
    clock[0] += 3 * DAY_S
    keep(folder, "00000002")
    forget(seen(folder), ForgettingRule(unused_days=2), note=pytest.fail)
    assert keys(folder) == {"00000002"}
    (folder / INDEX).unlink()
    assert keys(folder) == {"00000002"}


def test_what_was_used_of_late_stays_though_the_index_is_lost(folder, clock):
    for key in ("00000001", "00000002"):
        path = keep(folder, key)
        os.utime(path, (clock[0], clock[0]))  # the clock is a stand-in, that of the disk is not
    clock[0] += 60 * DAY_S
    FolderStore(folder, note=pytest.fail, brief="b", tool_version="0.1.0").load("00000001")
    clock[0] += DAY_S
    (folder / INDEX).unlink()
    forget(seen(folder), ForgettingRule(unused_days=30), note=pytest.fail)
    assert keys(folder) == {"00000001"}


def test_nothing_is_forgotten_without_a_condition():
    with pytest.raises(StoreError, match="without a condition"):
        ForgettingRule()


def test_files_removed_by_hand_leave_the_index(folder):
    path = keep(folder, "00000001")
    keep(folder, "00000002")
    path.unlink()
    assert keys(folder) == {"00000002"}


def test_whole_pieces_are_not_called_damaged(folder):
    for number in range(3):
        keep(folder, f"0000000{number}")
    assert damaged_pieces(seen(folder)) == []
