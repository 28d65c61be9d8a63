"""The spheres of 0.1 m radius that the body solver was measured with.

Tissue values: four-term Cole-Cole model of Gabriel, Lau and Gabriel, Physics in Medicine and Biology 41, 2271 (1996).
"""

from exact.spheres import LayeredSphere

RADIUS_M = 0.1
FREQUENCIES_HZ = {64: 63.87e6, 128: 127.74e6, 298: 298.03e6}

#: eps_r, sigma [S/m] per tissue and nominal frequency [MHz]
TISSUES = {
    "white matter": {64: (67.90, 0.2914), 128: (52.56, 0.3420), 298: (43.82, 0.4127)},
    "csf": {64: (97.35, 2.0658), 128: (84.08, 2.1428), 298: (72.78, 2.2239)},
    "muscle": {64: (72.27, 0.6881), 128: (63.51, 0.7191), 298: (58.23, 0.7700)},
    "fat": {64: (6.51, 0.0353), 128: (5.92, 0.0369), 298: (5.64, 0.0395)},
    "skin": {64: (92.28, 0.4353), 128: (65.49, 0.5222), 298: (49.90, 0.6402)},
    "bone": {64: (16.69, 0.0595), 128: (14.72, 0.0673), 298: (13.45, 0.0825)},
}

#: outer radius [m] and tissue, from the inside out
LAYERS = {
    "mf": ((0.090, "muscle"), (0.100, "fat")),
    "sfm": ((0.090, "muscle"), (0.098, "fat"), (0.100, "skin")),
    "csf": ((0.083, "white matter"), (0.088, "csf"), (0.095, "bone"), (0.100, "skin")),
}


def uniform_case() -> LayeredSphere:
    """eps_r 60, 0.6 S/m."""
    return LayeredSphere.uniform(RADIUS_M, 60.0, 0.6)


def layered_case(name: str, megahertz: int) -> LayeredSphere:
    """The layered sphere "mf", "sfm" or "csf" with the tissue values of 64, 128 or 298 MHz."""
    radii, tissues = zip(*LAYERS[name], strict=True)
    eps_r, sigma = zip(*(TISSUES[tissue][megahertz] for tissue in tissues), strict=True)
    return LayeredSphere(radii, eps_r, sigma)
