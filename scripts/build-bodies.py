"""Build the packaged shapes of patients once, from a CC0 base mesh and CC0 age, sex and weight targets.

    python scripts/build-bodies.py ARCHIVE FOLDER WEIGHTS

FOLDER of the zip ARCHIVE holds ``3dobjs/base.obj`` and ``targets/``, and WEIGHTS is the file of its skinning weights,
from FOLDER on; all three are released as CC0 1.0, and nothing else of the archive is read. Writes
``src/loopwright/ground/data/body_shapes.npz``. What is done to the shapes is written in its notice beside it.
"""

import gzip
import hashlib
import json
import sys
import zipfile
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]
Whole = NDArray[np.int64]
Faces = dict[str, Whole]

OUT = Path(__file__).parent.parent / "src/loopwright/ground/data/body_shapes.npz"
STEP_M = 5e-5  # of the stored numbers: 16 bits reach 1.6 m either way

SEXES = ("female", "male")
AGES = ("baby", "child", "young")
ORIGINS = ("african", "asian", "caucasian")
WEIGHTS = ("minweight", "maxweight")

# The inside of the mouth on the right, as the base mesh numbers its vertices; the left is its mirror image.
MOUTH = range(520, 724)
LIP_RINGS = 3  # rings of faces round the inside of the mouth that are left out with it: the lips touch there

# Marks on the skin by their vertex of the base mesh; on the left where there are two.
MARKS = {
    "glabella": 237,
    "nasion": 132,
    "nose tip": 5054,
    "chin": 747,
    "suprasternal notch": 1522,
    "seventh cervical spine": 1491,
    "xiphoid": 4088,
    "navel": 4121,
    "left nipple": 8459,
    "right nipple": 1787,
    "crotch": 4374,
}

# Joint centres, by the small cubes that the base mesh carries for them.
JOINTS = {
    "head": "head",
    "neck": "neck",
    "upper spine": "spine-1",
    "middle spine": "spine-2",
    "lower spine": "spine-3",
    "lumbar spine": "spine-4",
    "pelvis": "pelvis",
}
SIDED_JOINTS = {
    "eye": "eye",
    "clavicle": "clavicle",
    "scapula": "scapula",
    "shoulder": "shoulder",
    "elbow": "elbow",
    "wrist": "hand",
    "middle knuckle": "finger-3-1",
    "middle fingertip": "finger-3-4",
    "hip": "upper-leg",
    "knee": "knee",
    "ankle": "ankle",
    "toes": "foot-2",
}

# Bones of the skinning weights by part; every bone that is not named belongs to the head.
BONES = {
    "neck": ("neck",),
    "trunk": ("root", "pelvis", "spine", "breast"),
    "shoulder": ("clavicle", "shoulder"),
    "upper arm": ("upperarm",),
    "forearm": ("lowerarm",),
    "hand": ("wrist", "metacarpal", "finger"),
    "thigh": ("upperleg",),
    "shank": ("lowerleg",),
    "foot": ("foot", "toe"),
}
MIDDLE_PARTS = ("head", "neck", "trunk")
EAR_TARGETS = ("ears/l-ear-scale-incr", "ears/r-ear-scale-incr")


def base_mesh(folder: zipfile.Path) -> tuple[Real, Faces]:
    """Vertices of the base mesh and its faces by group."""
    vertices, faces, group = [], {}, ""
    for line in (folder / "3dobjs/base.obj").read_bytes().decode().splitlines():
        word, *rest = line.split() or [""]
        if word == "v":
            vertices.append([float(x) for x in rest[:3]])
        elif word == "g":
            group = rest[0]
        elif word == "f":
            faces.setdefault(group, []).append([int(corner.split("/")[0]) - 1 for corner in rest])
    return np.array(vertices), {name: np.array(found) for name, found in faces.items()}


def target(folder: zipfile.Path, name: str, count: int) -> Real:
    """Offsets of all vertices by one target."""
    offsets = np.zeros((count, 3))
    for line in gzip.decompress((folder / f"targets/{name}.target.gz").read_bytes()).decode().splitlines():
        if line.strip() and not line.startswith("#"):
            index, *xyz = line.split()
            offsets[int(index)] = [float(x) for x in xyz]
    return offsets


def in_body_frame(decimetres: Real) -> Real:
    """Points with x to the patient's left, y to posterior, z to the head, in metres."""
    x, up, front = np.moveaxis(decimetres, -1, 0)
    return np.stack([x, -front, up], axis=-1) / 10


def shapes_of(folder: zipfile.Path, base: Real) -> dict[str, Real]:
    """Full shapes by sex and age, and what the weight targets add to each, in metres."""
    found = {}
    for sex in SEXES:
        for age in AGES:
            named = f"macrodetails/universal-{sex}-{age}-averagemuscle"
            middle = target(folder, f"{named}-averageweight", len(base))
            origins = [target(folder, f"macrodetails/{origin}-{sex}-{age}", len(base)) for origin in ORIGINS]
            found[f"{sex} {age}"] = in_body_frame(base + middle + sum(origins) / len(ORIGINS))
            for weight in WEIGHTS:
                found[f"{sex} {age} {weight}"] = in_body_frame(target(folder, f"{named}-{weight}", len(base)) - middle)
    return found


def normals(vertices: Real, quads: Whole) -> Real:
    """Outward direction at every vertex, of unit length."""
    total = np.zeros_like(vertices)
    a, b, c, d = (vertices[quads[:, k]] for k in range(4))
    for k in range(4):
        np.add.at(total, quads[:, k], np.cross(c - a, d - b))
    return total / np.maximum(np.linalg.norm(total, axis=1, keepdims=True), 1e-12)


def eye_sockets(vertices: Real, quads: Whole, faces: Faces) -> Iterator[NDArray[np.bool_]]:
    """Quads of the hollows behind the lids: those whose corners look towards the middle of the eye."""
    outward = normals(vertices, quads)
    for side in "lr":
        ball = vertices[np.unique(faces[f"helper-{side}-eye"])]
        centre = ball.mean(axis=0)
        radius = np.linalg.norm(ball - centre, axis=1).max()
        away = vertices - centre
        far = np.linalg.norm(away, axis=1)
        inside = (np.sum(outward * away, axis=1) < -0.2 * far) & (far < 1.7 * radius)
        yield inside[quads].all(axis=1)


def inside_of_mouth(vertices: Real, quads: Whole) -> NDArray[np.bool_]:
    """Quads of the mouth behind the lips, and of the rings where the lips touch."""
    image = {tuple(p): k for k, p in enumerate((vertices * [-1, 1, 1]).round(6).tolist())}
    inside = np.zeros(len(vertices), dtype=bool)
    for vertex in MOUTH:
        inside[[vertex, image[tuple(vertices[vertex].round(6).tolist())]]] = True
    chosen = inside[quads].all(axis=1)
    for _ in range(LIP_RINGS):
        inside = np.zeros(len(vertices), dtype=bool)
        inside[quads[chosen]] = True
        chosen = inside[quads].any(axis=1)
    return chosen


def rim(quads: Whole) -> list[int]:
    """The one closed chain of edges round a patch of quads, in the direction of its faces."""
    edges = {(int(a), int(b)) for quad in quads for a, b in pairwise([*quad, quad[0]])}
    follows = {a: b for a, b in edges if (b, a) not in edges}
    chain = [next(iter(sorted(follows)))]
    while (after := follows.pop(chain[-1])) != chain[0]:
        chain.append(after)
    if follows:
        raise ValueError("a hollow has more than one rim")
    return chain


def lid(chain: list[int], vertices: Real) -> Iterator[tuple[int, int, int]]:
    """Triangles that close a rim from its left to its right corner, as a zip does."""
    x = vertices[chain, 0]
    turn = int(np.argmax(x))
    chain = chain[turn:] + chain[:turn]
    low = int(np.argmin(vertices[chain, 0]))
    upper, lower = chain[: low + 1], [chain[0], *chain[:low:-1], chain[low]]
    i = j = 0
    while i < len(upper) - 1 or j < len(lower) - 1:
        above = vertices[upper[i + 1], 0] if i < len(upper) - 1 else -np.inf
        below = vertices[lower[j + 1], 0] if j < len(lower) - 1 else -np.inf
        if above >= below:
            triangle, i = (upper[i], upper[i + 1], lower[j]), i + 1
        else:
            triangle, j = (upper[i], lower[j + 1], lower[j]), j + 1
        if len(set(triangle)) == 3:
            yield triangle


def closed_over(base: Real, faces: Faces) -> Whole:
    """Triangles of the body with mouth and eyes shut over."""
    quads = faces["body"]
    hollows = [*eye_sockets(base, quads, faces), inside_of_mouth(base, quads)]
    kept = quads[~np.any(hollows, axis=0)]
    lids = [triangle for hollow in hollows for triangle in lid(rim(quads[hollow]), base)]
    return np.concatenate([kept[:, [0, 1, 2]], kept[:, [0, 2, 3]], np.array(lids)])


def parts_of(folder: zipfile.Path, weights_file: str, count: int) -> tuple[list[str], Real]:
    """Names of the parts, and the weight of each at every vertex of the base mesh, rows adding up to one."""
    sided = [f"{side} {part}" for part in BONES for side in ("left", "right") if part not in MIDDLE_PARTS]
    names = [*MIDDLE_PARTS, *sided]
    weights = np.zeros((count, len(names)))
    held = json.loads((folder / weights_file).read_bytes())
    if held["license"] != "CC0":
        raise ValueError("the skinning weights are not released as CC0")
    for bone, pairs in held["weights"].items():
        part = next((part for part, starts in BONES.items() if bone.startswith(starts)), "head")
        side = {"L": "left ", "R": "right "}[bone[-1]] if part not in MIDDLE_PARTS else ""
        vertices, values = np.array(pairs).T if pairs else (np.zeros(0), np.zeros(0))
        np.add.at(weights, (vertices.astype(int), names.index(side + part)), values)
    total = weights.sum(axis=1, keepdims=True)
    return names, weights / np.where(total > 0, total, 1)


def joints_of(faces: Faces) -> dict[str, Whole]:
    """Vertices of the base mesh whose mean is the centre of each joint."""
    found = {name: np.unique(faces[f"joint-{cube}"]) for name, cube in JOINTS.items()}
    for name, cube in SIDED_JOINTS.items():
        for side in ("left", "right"):
            found[f"{side} {name}"] = np.unique(faces[f"joint-{side[0]}-{cube}"])
    return found


def main() -> None:
    """Read the archive and write the file."""
    folder = zipfile.Path(sys.argv[1], sys.argv[2].rstrip("/") + "/")
    base, faces = base_mesh(folder)
    triangles = closed_over(in_body_frame(base), faces)
    used, renumbered = np.unique(triangles, return_inverse=True)
    place = {int(vertex): k for k, vertex in enumerate(used)}
    joints = joints_of(faces)
    names, weights = parts_of(folder, sys.argv[3], len(base))
    ears = sum(np.linalg.norm(target(folder, name, len(base)), axis=1) for name in EAR_TARGETS) > 1e-6
    shapes = shapes_of(folder, base)
    points = [
        np.concatenate([moved[used], [moved[cube].mean(axis=0) for cube in joints.values()]])
        for moved in shapes.values()
    ]
    np.savez_compressed(
        OUT,
        step_m=STEP_M,
        triangles=renumbered.reshape(triangles.shape).astype(np.uint16),
        shape_names=np.array(list(shapes)),
        shapes=np.rint(np.array(points) / STEP_M).astype(np.int16),
        joint_names=np.array(list(joints)),
        mark_names=np.array(list(MARKS)),
        mark_vertices=np.array([place[vertex] for vertex in MARKS.values()], dtype=np.uint16),
        part_names=np.array(names),
        part_weights=np.rint(255 * weights[used]).astype(np.uint8),
        ears=ears[used],
    )
    print(f"{len(used)} vertices, {len(triangles)} triangles, {len(shapes)} shapes, {OUT.stat().st_size / 1e6:.2f} MB")
    print(f"base mesh SHA-256 {hashlib.sha256((folder / '3dobjs/base.obj').read_bytes()).hexdigest()}")


if __name__ == "__main__":
    main()
