"""Files of surfaces and of labels, made for the tests."""

import gzip
import struct

import nibabel
import numpy as np

_PHI = (1 + 5**0.5) / 2


def ball(radius=80.0, *, centre=(0.0, 0.0, 0.0), halvings=3):
    """Corners (triangles, 3, 3) of a sphere, outward, from an icosahedron."""
    flat = np.array([[s, t * _PHI, 0.0] for s in (-1, 1) for t in (-1, 1)])
    points = np.concatenate([np.roll(flat, turn, axis=1) for turn in range(3)])
    length = np.linalg.norm(points[:, None] - points[None], axis=2)
    near = np.isclose(length, 2.0)
    faces = [
        (i, j, k) for i in range(12) for j in range(i) for k in range(j) if near[i, j] and near[j, k] and near[i, k]
    ]
    corners = points[np.array(faces)]
    for _ in range(halvings):
        a, b, c = np.moveaxis(corners, 1, 0)
        ab, bc, ca = (a + b) / 2, (b + c) / 2, (c + a) / 2
        corners = np.concatenate(
            [np.stack(one, axis=1) for one in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))]
        )
    corners = radius * corners / np.linalg.norm(corners, axis=2, keepdims=True)
    volume = np.einsum("ni,ni->n", corners[:, 0], np.cross(corners[:, 1], corners[:, 2]))
    corners[volume < 0] = corners[volume < 0][:, ::-1]
    return corners + np.asarray(centre)


def block(size=(80.0, 100.0, 120.0)):
    """Corners (12, 3, 3) of a block about the origin, outward."""
    corners = []
    for axis in range(3):
        u, v = (axis + 1) % 3, (axis + 2) % 3
        for side in (-1, 1):
            square = np.zeros((4, 3))
            square[:, axis] = side
            square[:, u], square[:, v] = [-1, 1, 1, -1], [-1, -1, 1, 1]
            square = square[::side]
            corners += [square[[0, 1, 2]], square[[0, 2, 3]]]
    return np.array(corners) * np.asarray(size) / 2


def binary_stl(corners):
    head = b"made for a test".ljust(80) + struct.pack("<I", len(corners))
    return head + b"".join(struct.pack("<12fH", 0, 0, 0, *one.ravel(), 0) for one in corners)


def ascii_stl(corners):
    lines = ["solid body"]
    for one in corners:
        lines += ["facet normal 0 0 0", "outer loop", *(f"vertex {x:.9g} {y:.9g} {z:.9g}" for x, y, z in one)]
        lines += ["endloop", "endfacet"]
    return "\n".join([*lines, "endsolid body", ""]).encode()


def _shared(corners):
    points, where = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
    return points, where.reshape(len(corners), -1)


def obj(corners):
    points, faces = _shared(corners)
    rows = [
        *(f"v {x!r} {y!r} {z!r}" for x, y, z in points.tolist()),
        *(f"f {' '.join(map(str, f + 1))}" for f in faces),
    ]
    return ("# made for a test\n" + "\n".join(rows) + "\n").encode()


def quads(size=(80.0, 100.0, 120.0)):
    """An OBJ of the block with one face of four corners on each side."""
    pairs = block(size).reshape(6, 2, 3, 3)
    return obj(np.stack([pairs[:, 0, 0], pairs[:, 0, 1], pairs[:, 0, 2], pairs[:, 1, 2]], axis=1))


def ply(corners, order="ascii"):
    points, faces = _shared(corners)
    head = (
        f"ply\nformat {order} 1.0\ncomment made for a test\nelement vertex {len(points)}\nproperty float x\n"
        f"property float y\nproperty float z\nelement face {len(faces)}\nproperty list uchar int vertex_indices\n"
        "end_header\n"
    ).encode()
    if order == "ascii":
        rows = [*(f"{x!r} {y!r} {z!r}" for x, y, z in points.tolist()), *(f"3 {a} {b} {c}" for a, b, c in faces)]
        return head + ("\n".join(rows) + "\n").encode()
    mark = "<" if "little" in order else ">"
    return head + points.astype(f"{mark}f4").tobytes() + b"".join(struct.pack(f"{mark}B3i", 3, *f) for f in faces)


def nifti(labels, affine=None, *, unit="mm", dtype=np.uint8, code=1):
    """Bytes of a NIfTI file; the affine is that to right, anterior, head."""
    image = nibabel.Nifti1Image(np.asarray(labels).astype(dtype), np.diag([2.0, 2, 2, 1]) if affine is None else affine)
    image.header.set_xyzt_units(unit)
    image.set_sform(image.affine, code)
    image.set_qform(None, 0)
    return image.to_bytes()


def zipped(content):
    return gzip.compress(content, mtime=0)


def labelled_block(shape=(40, 50, 60), margin=5):
    """Labels of a block of 1 with a core of 2."""
    labels = np.zeros(shape, dtype=np.uint8)
    labels[margin:-margin, margin:-margin, margin:-margin] = 1
    labels[2 * margin : -2 * margin, 2 * margin : -2 * margin, 2 * margin : -2 * margin] = 2
    return labels
