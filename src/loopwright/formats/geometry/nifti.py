"""Volumes of labels from NIfTI."""

import gzip
import zlib
from io import BytesIO
from itertools import permutations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from loopwright.brief.geometry import LabelFile
from loopwright.formats.geometry.refusals import CUT_SHORT, refused

__all__ = ["label_file"]

Real = NDArray[np.float64]

_MOST_VOXELS = 100_000_000
#: Of the unpacked file: eight for every voxel, and a header with its extensions.
_MOST_BYTES = 8 * _MOST_VOXELS + 1_000_000
_MOST_LABELS = 200
#: Cosine between two axes of voxels beyond which they count as sheared: about a sixteenth of a degree.
_SHEAR = 1e-3
#: Cosine between the axes of both affines of a header above which they agree: one may be turned as a correction, but
#: where axes are swapped or mirrored nobody can tell which of the two is right.
_SAME_WAY = 0.7
_UNITS = {"mm": "mm", "meter": "m", "micron": "um", "unknown": ""}
#: Words for the two ways along each axis of the body frame: the axis itself, and against it.
_WORDS = (("left", "right"), ("posterior", "anterior"), ("head", "feet"))


def label_file(name: str, content: bytes, sha256: str) -> LabelFile:
    """Labels, orientation and sizes of a NIfTI file, from its bytes.

    Raises
    ------
    GeometryError
        If it cannot be read, holds no labels, or its voxels are sheared.
    """
    image = _image(name, content)
    labels = _labels(name, image)
    filled = [np.flatnonzero(labels.any(axis=tuple({0, 1, 2} - {axis}))) for axis in range(3)]
    if not len(filled[0]):
        raise refused(
            name, "no voxel with another label than 0", "labels of tissues", "export the segmentation, not its mask"
        )
    cut = tuple(slice(int(one[0]), int(one[-1]) + 1) for one in filled)
    middle = np.array([(one[0] + one[-1]) / 2 for one in filled])
    labels = np.ascontiguousarray(labels[cut])
    # World of NIfTI: to right, anterior, head. Body frame: to left, posterior, head.
    to_body = np.diag([-1.0, -1.0, 1.0]) @ image.affine[:3, :3]
    position = np.array([-1.0, -1.0, 1.0]) * (image.affine[:3, :3] @ middle + image.affine[:3, 3])
    sizes = np.linalg.norm(to_body, axis=0)
    axes, turned_deg = _axes(name, image, to_body, sizes)
    known, counts = np.unique(labels, return_counts=True)
    x, y, z = position.tolist()
    u, v, w = sizes.tolist()
    return LabelFile(
        name=name,
        sha256=sha256,
        labels=labels,
        sizes=(u, v, w),
        axes=axes,
        turned_deg=turned_deg,
        middle=(x, y, z),
        unit=_unit(name, image),
        counts=dict(zip(known.tolist(), counts.tolist(), strict=True)),
    )


def _image(name: str, content: bytes) -> Any:
    """The image with its header looked over; its data are not decoded yet."""
    import nibabel  # noqa: PLC0415 - heavy, and only few briefs bring an image

    try:
        raw = _unpacked(name, content) if content[:2] == b"\x1f\x8b" else content
    except (EOFError, OSError, zlib.error) as error:
        raise refused(name, f"broken compression ({error})", "a whole .nii.gz", CUT_SHORT) from error
    sort = nibabel.Nifti2Image if raw[:4] in (b"\x1c\x02\0\0", b"\0\0\x02\x1c") else nibabel.Nifti1Image
    try:
        image = sort.from_bytes(raw)
    except Exception as error:  # the library raises what it meets
        found = str(error).splitlines()[0] if str(error) else type(error).__name__
        raise refused(name, f"a header that cannot be read ({found[:80]})", "NIfTI, one file", CUT_SHORT) from error
    return image


def _unpacked(name: str, content: bytes) -> bytes:
    """What is compressed, as far as an image that is not refused may reach: a small file may hold any amount."""
    with gzip.GzipFile(fileobj=BytesIO(content)) as stream:
        raw = stream.read(_MOST_BYTES + 1)
    if len(raw) > _MOST_BYTES:
        found = f"more than {_MOST_BYTES / 1e6:.0f} MB when it is unpacked"
        remedy = "cut it to the body, write whole numbers of 16 bits, or resample its labels to 1 mm"
        raise refused(name, found, f"at most {_MOST_VOXELS / 1e6:.0f} million voxels", remedy)
    return raw


def _labels(name: str, image: Any) -> NDArray[np.integer]:
    """Labels as whole numbers, shape (nx, ny, nz)."""
    shape = tuple(int(n) for n in image.shape)
    while len(shape) > 3 and shape[-1] == 1:
        shape = shape[:-1]
    told = " x ".join(str(n) for n in shape)
    if len(shape) != 3:
        remedy = "write one volume of labels: a segmentation, not a series or a vector"
        raise refused(name, f"{len(shape)} dimensions, {told}", "3 dimensions", remedy)
    if min(shape) < 1:
        raise refused(name, f"a size of {told} voxels", "at least one voxel along each axis", "export it again")
    if np.prod(shape, dtype=np.float64) > _MOST_VOXELS:
        remedy = "cut it to the body, or resample its labels to 1 mm by nearest neighbour"
        found = f"{told} = {np.prod(shape, dtype=np.float64) / 1e6:.0f} million voxels"
        raise refused(name, found, f"at most {_MOST_VOXELS / 1e6:.0f} million voxels", remedy)
    try:
        values = np.asanyarray(image.dataobj).reshape(shape)
    except Exception as error:  # as above
        raise refused(name, f"fewer voxels than {told}", "as many as its header says", CUT_SHORT) from error
    if values.dtype.kind not in "buif":
        raise refused(name, f"voxels of type {values.dtype}", "whole numbers", "export the labels, not colours")
    return _whole(name, values)


def _whole(name: str, values: NDArray[Any]) -> NDArray[np.integer]:
    if values.dtype.kind == "f":
        off = values[~(np.isfinite(values) & (values == np.rint(values)))]
        if len(off):
            raise refused(
                name, f"{len(off)} voxels that are no whole number, such as {off[0]:g}", "labels: whole numbers from 0",
                "give the segmentation, not the image or a probability, and resample labels by nearest neighbour",
            )  # fmt: skip
    low, high = float(values.min()), float(values.max())
    if low < 0 or high > 65_535:
        raise refused(name, f"labels from {low:g} to {high:g}", "0 to 65535", "give the segmentation, not the image")
    labels = values.astype(np.uint16)
    number = len(np.unique(labels))
    if number > _MOST_LABELS:
        remedy = "give the segmentation, not the image"
        raise refused(name, f"{number} different labels", f"at most {_MOST_LABELS}", remedy)
    return labels


def _axes(name: str, image: Any, to_body: Real, sizes: Real) -> tuple[tuple[str, ...], float]:
    """Word for the direction of each axis of voxels, none where the file tells none, and how far it is off. [degree]"""
    if not (np.all(np.isfinite(to_body)) and np.all(sizes > 0)):
        raise refused(name, "an affine without sizes of voxels", "three axes of finite length", "export it again")
    directions = to_body / sizes
    cosines = directions.T @ directions
    if np.max(np.abs(cosines - np.eye(3))) > _SHEAR:
        worst = float(np.degrees(np.arcsin(np.max(np.abs(cosines - np.eye(3))))))
        raise refused(
            name, f"an affine with shear: axes of voxels that are not square to one another (by {worst:.1f} degrees)",
            "box-shaped voxels", "resample the labels to a straight grid by nearest neighbour",
        )  # fmt: skip
    if not _tells_one_orientation(image):
        return (), 0.0
    order = max(permutations(range(3)), key=lambda one: sum(abs(directions[one[i], i]) for i in range(3)))
    words = tuple(_WORDS[order[i]][int(directions[order[i], i] < 0)] for i in range(3))
    nearest = min(abs(float(directions[order[i], i])) for i in range(3))
    return words, float(np.degrees(np.arccos(min(nearest, 1.0))))


def _tells_one_orientation(image: Any) -> bool:
    """Whether a header tells an orientation, and both of the affines that it may hold tell the same."""
    header = image.header
    if not (int(header["sform_code"]) and int(header["qform_code"])):
        return bool(int(header["sform_code"]) or int(header["qform_code"]))
    from nibabel.spatialimages import HeaderDataError  # noqa: PLC0415 - as above

    try:
        other = header.get_qform()[:3, :3]
    except (HeaderDataError, ValueError):  # a quaternion that is none
        return False
    first, second = (matrix / np.linalg.norm(matrix, axis=0) for matrix in (image.affine[:3, :3], other))
    return bool(np.all(np.sum(first * second, axis=0) > _SAME_WAY))


def _unit(name: str, image: Any) -> str:
    try:
        return _UNITS[image.header.get_xyzt_units()[0]]
    except KeyError:
        raise refused(name, "a unit of length that NIfTI does not know", "mm, m or um", "export it again") from None
