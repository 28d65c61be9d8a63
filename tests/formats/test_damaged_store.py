"""Twenty ways to damage the files of a store: each is named, none is believed, and the piece is computed again."""

import os
import zipfile

import numpy as np
import pytest

from loopwright.formats.store import FolderStore, TolerantStore
from loopwright.formats.store_care import damaged_pieces, look_at

KEY = "0123456789abcdef"
OTHER = "0123456789abcde0"


def arrays():
    return {"field": np.arange(24.0).reshape(2, 12) * (1 + 2j), "products": np.array([3, 4])}


def cut(count):
    return lambda path: path.write_bytes(path.read_bytes()[:count])


def flipped(place):
    """Flip a bit of the n-th byte of the numbers of the field."""

    def harm(path):
        content = bytearray(path.read_bytes())
        content[content.index(arrays()["field"].tobytes()) + place] ^= 1
        path.write_bytes(bytes(content))

    return harm


def overwritten(content):
    return lambda path: path.write_bytes(content)


def rewritten(change):
    """Write a valid archive in which something is other than it was."""

    def harm(path):
        with np.load(path) as archive:
            kept = {name: archive[name] for name in archive.files}
        change(kept)
        with path.open("wb") as file:
            np.savez(file, **kept)

    return harm


def hole(path):
    content = bytearray(path.read_bytes())
    content[200:600] = bytes(400)
    path.write_bytes(bytes(content))


def a_directory(path):
    path.unlink()
    path.mkdir()
    (path / "thesis.tex").write_text("mine")


def a_dangling_loop(path):
    path.unlink()
    path.symlink_to(path.name)


def text_in_an_archive(path):
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("readme.txt", "not an array")


def pickled(path):
    with path.open("wb") as file:
        np.savez(file, field=np.array([{"a": 1}], dtype=object))


def of_another_key(path):
    store = FolderStore(path.parent.parent, note=print, brief="b", tool_version="0")
    store.save(OTHER, arrays())
    store.path(OTHER).replace(path)


HARMS = {
    "empty": cut(0),
    "one byte": cut(1),
    "half": cut(700),
    "tail missing": cut(-1),
    "long tail missing": cut(-300),
    "first number": flipped(0),
    "a middle number": flipped(190),
    "last number": flipped(383),
    "zeros within": hole,
    "text": overwritten(b"not an archive"),
    "zeros": overwritten(bytes(4096)),
    "a header and no more": overwritten(b"PK\x03\x04" + bytes(60)),
    "wrong checksum": rewritten(lambda kept: kept.update(sha256=np.zeros(32, np.uint8))),
    "no checksum": rewritten(lambda kept: kept.pop("sha256")),
    "short checksum": rewritten(lambda kept: kept.update(sha256=kept["sha256"][:16])),
    "no label": rewritten(lambda kept: kept.pop("label")),
    "array missing": rewritten(lambda kept: kept.pop("products")),
    "array more": rewritten(lambda kept: kept.update(more=np.array(1))),
    "other type": rewritten(lambda kept: kept.update(field=kept["field"].astype(np.complex64))),
    "other shape": rewritten(lambda kept: kept.update(field=kept["field"].T)),
    "archive of text": text_in_an_archive,
    "pickle": pickled,
    "another piece": of_another_key,
    "a directory": a_directory,
    "a link to itself": a_dangling_loop,
}


@pytest.mark.parametrize("harm", HARMS.values(), ids=HARMS)
def test_it_is_named_and_computed_again(tmp_path, harm):
    notes = []
    store = TolerantStore(
        FolderStore(tmp_path / "pieces", note=notes.append, brief="b", tool_version="0"), note=notes.append
    )
    store.save(KEY, arrays())
    (path,) = tmp_path.rglob("*.npz")
    harm(path)
    assert store.load(KEY) is None
    assert len(notes) == 1
    assert str(path) in notes[0]
    assert notes[0].endswith("it is computed again")
    contents = look_at(tmp_path / "pieces", note=notes.append)
    assert damaged_pieces(contents) == [path]
    store.save(KEY, arrays())
    if path.is_dir():  # somebody else's folder is not removed; the run has gone on without keeping the piece
        assert (path / "thesis.tex").read_text() == "mine"
        assert "the run goes on" in notes[-1]
    else:
        assert store.load(KEY)["field"].tobytes() == arrays()["field"].tobytes()
        assert damaged_pieces(look_at(tmp_path / "pieces", note=notes.append)) == []


@pytest.mark.skipif(os.geteuid() == 0, reason="everything may be read by the superuser")
def test_a_piece_without_permission_is_named_and_computed_again(tmp_path):
    notes = []
    store = FolderStore(tmp_path / "pieces", note=notes.append, brief="b", tool_version="0")
    store.save(KEY, arrays())
    store.path(KEY).chmod(0)
    assert store.load(KEY) is None
    assert "Permission denied" in notes[0]
    store.save(KEY, arrays())
    assert store.load(KEY) is not None
