"""One finished piece of a computation as the bytes of a file.

A piece is a plain .npz archive without pickles. Two more entries tell what it is (key, brief, version of the tool,
names of its arrays) and hold the sha256 of all others, so that a piece that was damaged on the disk, or that lies under
the name of another, is noticed and computed again rather than believed.
"""

import hashlib
import io
import json
import lzma
import struct
import tokenize
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.lib import format as npy
from numpy.typing import NDArray

__all__ = ["Arrays", "PieceLabel", "label_of", "packed", "unpacked"]

_CHECKSUM = "sha256"
_LABEL = "label"

Arrays = Mapping[str, NDArray[np.generic]]

# What numpy and zipfile raise over files that are no archive of arrays, as found by damaging archives at random.
_UNREADABLE = (
    zipfile.BadZipFile,
    zlib.error,
    lzma.LZMAError,
    struct.error,
    tokenize.TokenError,
    ValueError,
    KeyError,
    TypeError,
    AttributeError,
    SyntaxError,
    EOFError,
    OSError,
    MemoryError,
    OverflowError,
    RecursionError,
    RuntimeError,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceLabel:
    """What a piece says of itself; ``sha256`` is that of its content, ``holds`` the names of its arrays."""

    key: str
    brief: str
    tool_version: str
    holds: str
    sha256: str = ""


def packed(arrays: Arrays, *, key: str, brief: str, tool_version: str) -> tuple[bytes, PieceLabel]:
    """Return the bytes of a piece, and its label.

    Parameters
    ----------
    arrays : mapping of str to ndarray
        What was computed.
    key : str
        Digest of the canonical inputs.
    brief, tool_version : str
        Title of the brief for which it was first computed, and by which version.

    Raises
    ------
    ValueError
        If an array holds Python objects or takes a name that is needed here.
    """
    for name, array in arrays.items():
        if array.dtype.hasobject or name in (_CHECKSUM, _LABEL):
            raise ValueError(f"the array {name!r} cannot be kept")
    label = {"key": key, "brief": brief, "tool_version": tool_version, "holds": ", ".join(arrays)}
    labelled = {**arrays, _LABEL: np.frombuffer(json.dumps(label).encode(), dtype=np.uint8)}
    digest = _digest(labelled)
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_STORED) as archive:
        for name, array in {**labelled, _CHECKSUM: np.frombuffer(digest, dtype=np.uint8)}.items():
            with archive.open(f"{name}.npy", "w", force_zip64=True) as entry:
                npy.write_array(entry, np.asanyarray(array), allow_pickle=False)
    return content.getvalue(), PieceLabel(**label, sha256=digest.hex())


def unpacked(content: bytes, *, key: str) -> dict[str, NDArray[np.generic]] | None:
    """Return the arrays of a piece, or None where the bytes are damaged or belong to another key."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            arrays = {name.removesuffix(".npy"): _array(archive, name) for name in archive.namelist()}
        found = arrays.pop(_CHECKSUM).tobytes()
        if found != _digest(arrays):
            return None
        its_own = PieceLabel(**json.loads(arrays.pop(_LABEL).tobytes())).key == key
    except _UNREADABLE:
        return None
    return arrays if its_own else None


def label_of(path: Path) -> PieceLabel | None:
    """Read what a file says of itself without reading its arrays; None where it is no piece.

    Nothing is checked by this: a damaged piece may well have a label that can be read.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            label = PieceLabel(**json.loads(_array(archive, f"{_LABEL}.npy").tobytes()))
            return replace(label, sha256=_array(archive, f"{_CHECKSUM}.npy").tobytes().hex())
    except _UNREADABLE:
        return None


def _array(archive: zipfile.ZipFile, name: str) -> NDArray[np.generic]:
    with archive.open(name) as entry:
        return npy.read_array(entry, allow_pickle=False)


def _digest(arrays: Arrays) -> bytes:
    digest = hashlib.sha256()
    for name in sorted(arrays):
        array = np.ascontiguousarray(arrays[name])
        digest.update(f"{name}|{array.dtype.str}|{array.shape}|".encode())
        digest.update(array.tobytes())
    return digest.digest()
