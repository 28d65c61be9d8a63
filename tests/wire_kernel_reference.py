"""The wires' matrices once more in plain NumPy, written from the formulas and not from the compiled code.

Same quadrature, so that agreement to rounding can be asked for: 2 x 2 Gauss for pairs further apart than 1.2 times the
sum of their lengths; otherwise closed inner integral of 1/R, ten-point outer rule in graded halves between marks, both
orders averaged (the compiled code takes one), and 5 x 5 Gauss for the remainder.
"""

from itertools import pairwise

import numpy as np


def _rule(points):
    x, w = np.polynomial.legendre.leggauss(points)
    return (x + 1) / 2, w / 2


def _shapes(s):
    return np.stack([1 - s, s])


def _far(a, p, b, q, radius, k):
    """Moments (2, 2, rows, columns) of all pairs of segments by 2 x 2 Gauss; a, b starts, p, q steps."""
    x, w = _rule(2)
    total = np.zeros((2, 2, len(a), len(b)), dtype=complex)
    for s, ws in zip(x, w, strict=True):
        for t, wt in zip(x, w, strict=True):
            d = (a + s * p)[:, None] - (b + t * q)[None]
            r = np.sqrt(np.sum(d**2, axis=-1) + radius**2)
            total += ws * wt * np.multiply.outer(np.outer(_shapes(s), _shapes(t)), np.exp(-1j * k * r) / r)
    return total * np.linalg.norm(p, axis=1)[:, None] * np.linalg.norm(q, axis=1)


def _distance_to_segment(x, b, q):
    t = np.clip((x - b) @ q / (q @ q), 0, 1)
    return np.linalg.norm(x - b - t * q)


def _closest_place(a, p, b, q):
    """Parameter on the first segment of the point closest to the second."""
    u, v, d = p / np.linalg.norm(p), q / np.linalg.norm(q), a - b
    across = 1 - (u @ v) ** 2
    s = np.linalg.norm(p) / 2
    if across > 1e-9:
        s = np.clip(((u @ v) * (v @ d) - u @ d) / across, 0, np.linalg.norm(p))
    t = np.clip(v @ d + s * (u @ v), 0, np.linalg.norm(q))
    return np.clip(t * (u @ v) - u @ d, 0, np.linalg.norm(p)) / np.linalg.norm(p)


def _inner(x, b, q, radius):
    """Closed integrals of the two half rooftops over R, at the points x."""
    g = np.linalg.norm(q)
    v = q / g
    along = (x - b) @ v
    rho2 = np.maximum(np.sum((x - b) ** 2, axis=1) - along**2, 0) + radius**2
    start, end = np.sqrt(along**2 + rho2), np.sqrt((g - along) ** 2 + rho2)
    plain = np.log1p(2 * g / (start + end - g))
    rising = (along * plain + end - start) / g
    return np.stack([plain - rising, rising])


def _static(a, p, b, q, radius):
    h, x, w = np.linalg.norm(p), *_rule(10)
    u = p / h
    marks = np.sort(
        [0.0, 1.0, np.clip((b - a) @ u / h, 0, 1), np.clip((b + q - a) @ u / h, 0, 1), _closest_place(a, p, b, q)]
    )
    total = np.zeros((2, 2))
    for low, high in pairwise(marks):
        if high - low > 1e-9:
            for mark, sign in ((low, 1), (high, -1)):
                scale = max(np.hypot(_distance_to_segment(a + mark * p, b, q), radius) / h, 1e-6)
                span = np.arcsinh((high - low) / 2 / scale)
                s = mark + sign * scale * np.sinh(x * span)
                weight = w * span * scale * np.cosh(x * span) * h
                total += (_shapes(s) * weight) @ _inner(a + s[:, None] * p, b, q, radius).T
    return total


def _near(a, p, b, q, radius, k):
    x, w = _rule(5)
    d = (a + x[:, None] * p)[:, None] - (b + x[:, None] * q)[None]
    r = np.sqrt(np.sum(d**2, axis=-1) + radius**2)
    remainder = (np.expm1(-1j * k * r) / r) * np.linalg.norm(p) * np.linalg.norm(q)
    smooth = (_shapes(x) * w) @ remainder @ (_shapes(x) * w).T
    return (_static(a, p, b, q, radius) + _static(b, q, a, p, radius).T) / 2 + smooth


def _moments(a, p, b, q, radius, k):
    found = _far(a, p, b, q, radius, k)
    h, g = np.linalg.norm(p, axis=1), np.linalg.norm(q, axis=1)
    apart = np.linalg.norm((a + p / 2)[:, None] - (b + q / 2)[None], axis=-1)
    for s, t in np.argwhere(apart < 1.2 * (h[:, None] + g)):
        found[:, :, s, t] = _near(a[s], p[s], b[t], q[t], radius, k)
    return found / (4 * np.pi)


def matrices(polygons, magnetic_radius, electric_radius, k):
    """Vector-part and potential matrices of closed polygons; radii per pair of polygons."""
    first = np.cumsum([0, *map(len, polygons)])
    vector = np.zeros((first[-1], first[-1]), dtype=complex)
    potential = np.zeros_like(vector)
    for e, a in enumerate(polygons):
        for f, b in enumerate(polygons):
            p, q = np.roll(a, -1, axis=0) - a, np.roll(b, -1, axis=0) - b
            h, g = np.linalg.norm(p, axis=1), np.linalg.norm(q, axis=1)
            turns = (p / h[:, None]) @ (q / g[:, None]).T
            moments = _moments(a, p, b, q, magnetic_radius[e, f], k) * turns
            block = vector[first[e] : first[e + 1], first[f] : first[f + 1]]
            for i in range(2):
                for j in range(2):
                    block += np.roll(moments[i, j], (i, j), axis=(0, 1))
            mean = _moments(a, p, b, q, electric_radius[e, f], k).sum(axis=(0, 1)) / (h[:, None] * g)
            potential[first[e] : first[e + 1], first[f] : first[f + 1]] = mean
    return vector, potential
