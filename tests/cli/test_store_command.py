"""`loopwright store`: what is printed, and the exit code."""

import numpy as np
import pytest

from loopwright import __version__
from loopwright.cli import main
from loopwright.formats.store import FolderStore


@pytest.fixture
def store(tmp_path):
    return tmp_path / "store"


@pytest.fixture
def call(capsys, store):
    def called(*words):
        with pytest.raises(SystemExit) as caught:
            main(["store", *words, "--store", str(store)])
        captured = capsys.readouterr()
        return caught.value.code or 0, captured.out, captured.err

    return called


def keep(store, key, brief, version=__version__):
    kept = FolderStore(store, note=pytest.fail, brief=brief, tool_version=version)
    kept.save(key, {"field": np.zeros(1000)})
    return kept.path(key)


def test_pieces_are_listed_by_brief_and_version(call, store):
    for number in range(3):
        keep(store, f"0000000{number}", "Eight elements on a trunk")
    keep(store, "00000009", "A \x1b[31m strange one", version="0.0.1")
    (store / "notes.txt").write_text("mine")
    code, out, err = call()
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert lines[0].startswith(f"{store}: 4 pieces, ")
    assert [line.split()[2] for line in lines[2:4]] in (["3", "1"], ["1", "3"])
    assert "Eight elements on a trunk" in out
    assert "A ?[31m strange one" in out
    assert lines[-2:] == ["no pieces, left alone:", f"  {store / 'notes.txt'}"]


def test_check_leaves_with_4_where_a_piece_is_damaged(call, store):
    path = keep(store, "00000001", "b")
    code, out, _ = call("check")
    assert (code, out) == (0, f"{store}: 1 piece, {path.stat().st_size / 1000:.3g} kB, 0 damaged\n")
    content = bytearray(path.read_bytes())
    content[4000] ^= 1
    path.write_bytes(bytes(content))
    code, out, _ = call("check")
    assert code == 4
    assert out.splitlines()[1] == f"  damaged  {path}"
    assert path.read_bytes() == content  # nothing is changed by looking


def test_forget_takes_what_the_conditions_name(call, store):
    old, new = keep(store, "00000001", "b", version="0.0.1"), keep(store, "00000002", "b")
    code, out, _ = call("forget", "--versions", "others")
    assert code == 0
    assert "forgotten 1 piece, " in out
    assert "left 1 piece, " in out
    assert (old.exists(), new.exists()) == (False, True)
    assert "forgotten 0 pieces" in call("forget", "--unused", "1")[1]
    assert "left 0 pieces" in call("forget", "--unused", "0")[1]
    assert not new.exists()


@pytest.mark.parametrize(
    "words", [("forget",), ("check", "--unused", "3"), ("--made", "3"), ("forget", "--unused", "-1"), ("burn",)]
)
def test_a_command_that_says_too_much_or_too_little_leaves_with_2(call, store, words):
    path = keep(store, "00000001", "b")
    code, out, err = call(*words)
    assert (code, out) == (2, "")
    assert "Error" in err
    assert path.exists()


def test_a_store_that_is_not_there_leaves_with_3(call):
    code, out, err = call()
    assert (code, out) == (3, "")
    assert err.count("\n") == 1
    assert "No such file" in err
