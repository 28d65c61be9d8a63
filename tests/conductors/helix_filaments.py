"""Inductance of a helix closed on a circle, by summing Neumann's integral over its filament."""

import numpy as np
from scipy.constants import mu_0, pi


def closed_helix_inductance_h(*, circle_radius_m, helix_radius_m, turns, thread_radius_m, pieces):
    """Every turn sees the same, so one turn against all stands for the whole; current on the thread's surface."""
    angle = 2 * pi * np.arange(turns * pieces + 1) / (turns * pieces)
    out = circle_radius_m + helix_radius_m * np.cos(turns * angle)
    points = np.stack([out * np.cos(angle), out * np.sin(angle), helix_radius_m * np.sin(turns * angle)], axis=1)
    middles, steps = (points[1:] + points[:-1]) / 2, np.diff(points, axis=0)
    total = 0.0
    for here in range(pieces):
        apart = np.sqrt(((middles - middles[here]) ** 2).sum(axis=1) + thread_radius_m**2)
        total += (steps @ steps[here] / apart).sum()
    return turns * mu_0 / (4 * pi) * total
