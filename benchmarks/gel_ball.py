"""A ball of gel and loops round it, for benchmarks of the body's solution."""

import numpy as np

from loopwright.bodies import Tissue, layered_sphere, voxelise
from loopwright.fields.body.faces import CurrentFaces
from loopwright.fields.body.reply import faces_of

RADIUS_M = 0.1545
FREQUENCY_HZ = 127.74e6


def gel_ball(voxel_m: float, *, radius_m: float = RADIUS_M) -> CurrentFaces:
    """Current faces of the ball: 62 voxels along each axis at 5 mm."""
    gel = Tissue(name="gel", eps_r=60, sigma_s_per_m=0.6, note="benchmark")
    solid = layered_sphere(radius_m, tissue_names=("gel",), thicknesses_m=())
    return faces_of(voxelise(solid, spacing_m=voxel_m, tissues=(gel,), frequency_hz=FREQUENCY_HZ))


def loops_m(count: int, *, radius_m: float = RADIUS_M) -> list[np.ndarray]:
    """Polygons of 40 mm radius and 24 segments, 10 mm off the ball, spread by the golden angle."""
    angles = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    found = []
    for number in range(count):
        z = 1 - (2 * number + 1) / count
        phi = number * np.pi * (3 - np.sqrt(5))
        n = np.array([np.sqrt(1 - z * z) * np.cos(phi), np.sqrt(1 - z * z) * np.sin(phi), z])
        u = np.cross(n, np.eye(3)[np.argmin(np.abs(n))])
        u /= np.linalg.norm(u)
        ring = np.cos(angles)[:, None] * u + np.sin(angles)[:, None] * np.cross(n, u)
        found.append((radius_m + 0.01) * n + 0.04 * ring)
    return found
