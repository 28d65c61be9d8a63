"""Files of geometry that cannot be used, each with what has to be said about it."""

import numpy as np

from geometry_files import ascii_stl, ball, binary_stl, block, labelled_block, nifti, obj, ply, quads, zipped

FAT = "Fat (Not Infiltrated)"
SURFACE = {"shape": "surface", "unit": "mm", "voxel": "5 mm", "material": "Muscle"}
LABELS = {"shape": "labels", "voxel": "4 mm", "tissues": {"1": FAT, "2": "Muscle"}}


def turned(degrees):
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    affine = np.diag([2.0, 2, 2, 1])
    affine[:3, :3] = 2 * np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
    return affine


def sheared():
    affine = np.diag([2.0, 2, 2, 1])
    affine[0, 1] = 0.4
    return affine


BALL, BLOCK, LABELLED = ball(halvings=2), block(), labelled_block()
NOT_A_NUMBER = BALL.copy()
NOT_A_NUMBER[7, 1, 2] = np.nan
ONE_TURNED = BALL.copy()
ONE_TURNED[9] = ONE_TURNED[9][::-1]
TWO = np.concatenate([BALL, ball(30.0, centre=(130.0, 0, 0), halvings=1)])
WITHIN = np.concatenate([BALL, ball(30.0, halvings=1)])
CROSSING = np.concatenate([BALL, ball(60.0, centre=(71.0, 3.0, 5.0), halvings=2)])
WALL = np.concatenate([BLOCK, BLOCK[:1]])
TEXT = ascii_stl(BLOCK)
HEADER = ply(BLOCK)

#: name of the file -> its bytes, the key that is complained about, and words of the complaint.
SURFACES = {
    "open.stl": (binary_stl(BALL[1:]), "file", "3 edges with a triangle on one side only"),
    "inverted.stl": (binary_stl(BALL[:, ::-1]), "file", "its triangles look inwards"),
    "one-turned.stl": (binary_stl(ONE_TURNED), "file", "3 edges whose two triangles look opposite ways"),
    "crossing.stl": (binary_stl(CROSSING), "file", "pairs of triangles that cross"),
    "inner-wall.stl": (binary_stl(WALL), "file", "edges of more than two triangles"),
    "two-parts.stl": (binary_stl(TWO), "parts", "2 closed surfaces"),
    "metres.stl": (binary_stl(BLOCK / 1000), "unit", "mm, by which the body is 120 um long"),
    "micrometres.stl": (binary_stl(BLOCK * 1000), "unit", "by which the body is 120 m long"),
    "empty.stl": (b"", "file", "an empty file"),
    "no-triangles.stl": (binary_stl(BLOCK[:0]), "file", "0 triangles"),
    "not-a-number.stl": (
        binary_stl(NOT_A_NUMBER),
        "file",
        "1 of 320 triangles with corners that are no finite numbers",
    ),
    "cut-short.stl": (binary_stl(BALL)[:-70], "file", "bytes for 320 triangles"),
    "cut-short-text.stl": (TEXT[: len(TEXT) // 2], "file", "no `endsolid`"),
    "decimal-comma.stl": (TEXT.replace(b"vertex 40 ", b"vertex 40,5 ", 1), "file", "'40,5' as a coordinate"),
    "huge.stl": (binary_stl(BLOCK[:0])[:80] + (600_000).to_bytes(4, "little") + bytes(50 * 600_000), "file", "600000"),
    "a-picture.stl": (b"\x89PNG" + bytes(30), "file", "34 bytes"),
    "no-faces.ply": (HEADER.replace(b"element face", b"element edge"), "file", "no element `face`"),
    "cut-short.ply": (ply(BLOCK, "binary_little_endian")[:-5], "file", "bytes after its header"),
    "no-z.ply": (HEADER.replace(b"property float z", b"property float w"), "file", "vertices with x, y, w"),
    "beyond.obj": (obj(BLOCK).replace(b"\nf ", b"\nf 99 ", 1), "file", "vertex 99 in a face"),
    "broken.obj": (obj(BLOCK).replace(b"v -40.0 ", b"v -4o.0 ", 1), "file", "vertex '-4o.0"),
    "open-quads.obj": (quads().rsplit(b"f ", 1)[0], "file", "4 edges with a triangle on one side only"),
    "head.step": (b"ISO-10303-21;", "file", ".step"),
}
LABELLED_FILES = {
    "rotated.nii": (nifti(LABELLED, turned(12)), "axes", "rotated by 12.0 degrees"),
    "sheared.nii": (nifti(LABELLED, sheared()), "file", "an affine with shear"),
    "no-orientation.nii": (nifti(LABELLED, code=0), "axes", "does not tell its orientation"),
    "unknown-label.nii": (
        nifti(LABELLED * 2),
        "tissues",
        "no tissue for 1 labels of unknown-label.nii: 4 (24000 voxels)",
    ),
    "empty.nii": (nifti(LABELLED * 0), "file", "no voxel with another label than 0"),
    "series.nii": (nifti(np.stack([LABELLED, LABELLED], axis=3)), "file", "4 dimensions, 40 x 50 x 60 x 2"),
    "probability.nii": (nifti(LABELLED * 0.3, dtype=np.float32), "file", "60000 voxels that are no whole number"),
    "negative.nii": (nifti(-LABELLED.astype(np.int16), dtype=np.int16), "file", "labels from -2 to 0"),
    "metres.nii": (nifti(LABELLED, unit="meter"), "unit", "m, as metres.nii says itself"),
    "cut-short.nii": (nifti(LABELLED)[:50_000], "file", "fewer voxels than 40 x 50 x 60"),
    "broken.nii.gz": (zipped(nifti(LABELLED))[:-40], "file", "broken compression"),
    "not-an-image.nii": (b"labels" * 100, "file", "a header that cannot be read"),
    "image.mha": (b"ObjectType = Image", "file", ".mha"),
}
CASES = {**{name: (*case, SURFACE) for name, case in SURFACES.items()},
         **{name: (*case, LABELS) for name, case in LABELLED_FILES.items()}}  # fmt: skip
