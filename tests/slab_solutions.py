"""Invented layers and textbook solutions of heat in slabs, for the tests of heating."""

import numpy as np
from scipy.optimize import brentq

from loopwright.ground.sources import Flag, Source
from loopwright.heating import Layer, Outside

INVENTED = Source(key="", where="invented for a test", flag=Flag.COMPUTED)
HELD = Outside(temperature_c=0.0, transfer_w_per_m2_k=np.inf)
INSULATED = Outside(temperature_c=0.0, transfer_w_per_m2_k=0.0)


def layer(thickness_m, conductivity=0.5, density=1000.0, heat_capacity=3500.0, **other):
    return Layer(
        name=other.pop("name", "layer"),
        thickness_m=thickness_m,
        conductivity_w_per_m_k=conductivity,
        density_kg_per_m3=density,
        heat_capacity_j_per_kg_k=heat_capacity,
        source=INVENTED,
        **other,
    )


def slab_under_flux(x_m, times_s, length_m, k, diffusivity, perfusion, flux):
    """Rise in a slab with flux at x = 0 and 0 at x = L, perfused: its steady profile less its decaying series."""
    m = np.sqrt(perfusion / k)
    depth = length_m - x_m
    steady = flux / k * (np.sinh(m * depth) / (m * np.cosh(m * length_m)) if m else depth)
    n = np.arange(4000)
    b = (n + 0.5) * np.pi / length_m  # cos(b x) has slope 0 at 0 and is 0 at L
    rate = diffusivity * (b**2 + m**2)
    weight = 2 / length_m * flux / k / (b**2 + m**2)
    return steady - np.cos(b * x_m) * weight @ np.exp(-rate[:, None] * np.atleast_1d(times_s))


def slab_cooled_by_air(x_m, times_s, length_m, k, diffusivity, transfer, volume, modes=400):
    """Rise of a slab with uniform heat, insulated at x = 0, to air of 0 at x = L."""
    biot = transfer * length_m / k
    z = np.array([
        brentq(lambda y: y * np.sin(y) - biot * np.cos(y), i * np.pi + 1e-12, (i + 0.5) * np.pi + 1e-9)
        for i in range(modes)
    ])  # fmt: skip
    b = z / length_m
    steady = volume / (2 * k) * (length_m**2 - x_m**2) + volume * length_m / transfer
    norm = length_m / 2 * (1 + np.sin(2 * z) / (2 * z))
    weight = volume / k * np.sin(z) / b**3 / norm
    return steady - (np.cos(b * x_m) * weight) @ np.exp(-diffusivity * b[:, None] ** 2 * np.atleast_1d(times_s))
