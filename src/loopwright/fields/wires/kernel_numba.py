r"""Vector-part and potential matrices of thin closed wires: the compiled fill.

Mixed-potential integral equation, rooftop currents, pulse charges, Galerkin, reduced kernel :math:`R^2 = d^2 + a^2`:
every pair of segments gives four moments

.. math:: M_{ab} = \iint N_a(l)\, N_b(l')\, \frac{e^{-jkR}}{4\pi R}\, \mathrm{d}l\, \mathrm{d}l'

of the falling (a = 0) and rising (a = 1) half rooftop, from which both parts follow.  Far pairs take 2 x 2 Gauss.  Near
pairs take the inner integral of 1/R in closed form and an outer rule graded towards every place where the integrand
bends (ends, crossings), plus Gauss for the smooth remainder.  Only one of each two mirror images is computed.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from math import asinh, atanh, cos, pi, sin, sinh, sqrt

import numba
import numpy as np
from numpy.typing import NDArray

from loopwright.fields.wires.compiled import compiled, compiled_parallel
from loopwright.fields.wires.pieces import Pieces, closed_wires, following_vertices

__all__ = ["fill_matrices", "fill_pieces", "loop_lengths_m"]

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Integers = NDArray[np.int64]

#: Pairs whose centres are closer than this times the sum of their lengths are near pairs.
NEAR_RATIO = 1.2
#: Pairs of pieces below which one thread fills alone, some tens of milliseconds.
_SMALL_FILL = 50_000
FAR_NODES, FAR_WEIGHTS = (0.5 - 0.5 / sqrt(3), 0.5 + 0.5 / sqrt(3)), (0.5, 0.5)
_OUTER = np.polynomial.legendre.leggauss(10)
_SMOOTH = np.polynomial.legendre.leggauss(5)
#: Rules on [0, 1]: for one graded piece of the outer integral, and for the smooth remainder of a near pair.
OUTER_NODES, OUTER_WEIGHTS = 0.5 * (_OUTER[0] + 1), 0.5 * _OUTER[1]
SMOOTH_NODES, SMOOTH_WEIGHTS = 0.5 * (_SMOOTH[0] + 1), 0.5 * _SMOOTH[1]


@compiled
def _dot(a: Floats, b: Floats) -> float:
    return float(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])


@compiled
def _distance2(p: Floats, a: Floats, u: Floats, length: float) -> float:
    """Square of the distance from a point to the segment that starts at a along the unit vector u."""
    d = p - a
    along = min(max(_dot(d, u), 0.0), length)
    away = d - along * u
    return _dot(away, away)


@compiled
def _closest_on_first(a: Floats, u: Floats, h: float, b: Floats, v: Floats, g: float) -> float:
    """Place on the first segment, in metres from its start, that lies closest to the second."""
    d = a - b
    uv, ud, vd = _dot(u, v), _dot(u, d), _dot(v, d)
    across = 1.0 - uv * uv
    s = 0.5 * h
    if across > 1e-9:
        s = min(max((uv * vd - ud) / across, 0.0), h)
    t = min(max(vd + s * uv, 0.0), g)
    return min(max(t * uv - ud, 0.0), h)


@compiled
def _add_static_piece(
    moments: Floats,
    places: Floats,
    scale: float,
    a: Floats,
    u: Floats,
    h: float,
    b: Floats,
    v: Floats,
    g: float,
    radius2: float,
) -> None:
    """Add one graded piece of the outer integral, from places[0] (where the grading is finest) to places[1]."""
    reach = places[1] - places[0]
    span = asinh(abs(reach) / scale)
    for i in range(OUTER_NODES.size):
        w = span * OUTER_NODES[i]
        s = places[0] + (scale * sinh(w) if reach > 0 else -scale * sinh(w))
        weight = OUTER_WEIGHTS[i] * span * scale * sqrt(1.0 + sinh(w) ** 2)
        d = a + s * u - b
        along = _dot(d, v)
        across2 = max(_dot(d, d) - along * along, 0.0) + radius2
        to_start, to_end = sqrt(along * along + across2), sqrt((g - along) ** 2 + across2)
        plain = 2.0 * atanh(g / (to_start + to_end))
        rising = (along * plain + to_end - to_start) / g
        moments[0, 0] += weight * (1.0 - s / h) * (plain - rising)
        moments[0, 1] += weight * (1.0 - s / h) * rising
        moments[1, 0] += weight * s / h * (plain - rising)
        moments[1, 1] += weight * s / h * rising


@compiled
def _static_moments(a: Floats, u: Floats, h: float, b: Floats, v: Floats, g: float, radius2: float) -> Floats:
    """Four moments of 1/R: outer integral over the segment (a, u, h), closed inner integral over (b, v, g)."""
    moments = np.zeros((2, 2))
    marks = np.empty(5)
    marks[0], marks[1] = 0.0, h
    marks[2] = min(max(_dot(b - a, u), 0.0), h)
    marks[3] = min(max(_dot(b + g * v - a, u), 0.0), h)
    marks[4] = _closest_on_first(a, u, h, b, v, g)
    marks.sort()
    places = np.empty(2)
    for i in range(4):
        if marks[i + 1] - marks[i] > 1e-9 * h:
            middle = 0.5 * (marks[i] + marks[i + 1])
            for mark in (marks[i], marks[i + 1]):
                scale = sqrt(_distance2(a + mark * u, b, v, g) + radius2)
                places[0], places[1] = mark, middle
                _add_static_piece(moments, places, max(scale, 1e-6 * h), a, u, h, b, v, g, radius2)
    return moments


@compiled
def _smooth_moments(
    a: Floats, u: Floats, h: float, b: Floats, v: Floats, g: float, radius2: float, wavenumber_per_m: float
) -> Complexes:
    """Four moments of (exp(-jkR) - 1)/R by Gauss, written without cancellation."""
    moments = np.zeros((2, 2), dtype=np.complex128)
    for i in range(SMOOTH_NODES.size):
        s = SMOOTH_NODES[i]
        for j in range(SMOOTH_NODES.size):
            t = SMOOTH_NODES[j]
            d = a + s * h * u - b - t * g * v
            r = sqrt(_dot(d, d) + radius2)
            half_sine, half_cosine = sin(0.5 * wavenumber_per_m * r), cos(0.5 * wavenumber_per_m * r)
            value = complex(-2.0 * half_sine * half_sine, -2.0 * half_sine * half_cosine) / r
            value *= SMOOTH_WEIGHTS[i] * SMOOTH_WEIGHTS[j] * h * g
            moments[0, 0] += (1.0 - s) * (1.0 - t) * value
            moments[0, 1] += (1.0 - s) * t * value
            moments[1, 0] += s * (1.0 - t) * value
            moments[1, 1] += s * t * value
    return moments


@compiled
def _near_moments(
    a: Floats, u: Floats, h: float, b: Floats, v: Floats, g: float, radius_m: float, wavenumber_per_m: float
) -> Complexes:
    """Four moments of a near pair; the graded rule is so close that the order of the two does not matter."""
    radius2 = radius_m * radius_m
    static = _static_moments(a, u, h, b, v, g, radius2)
    return static + _smooth_moments(a, u, h, b, v, g, radius2, wavenumber_per_m)


@compiled
def _far_moments(
    a: Floats, u: Floats, h: float, b: Floats, v: Floats, g: float, radius_m: float, wavenumber_per_m: float
) -> Complexes:
    """Four moments of a far pair by 2 x 2 Gauss."""
    m00 = m01 = m10 = m11 = 0.0j
    for i in range(2):
        s = FAR_NODES[i]
        for j in range(2):
            t = FAR_NODES[j]
            x = a[0] - b[0] + s * h * u[0] - t * g * v[0]
            y = a[1] - b[1] + s * h * u[1] - t * g * v[1]
            z = a[2] - b[2] + s * h * u[2] - t * g * v[2]
            r = sqrt(x * x + y * y + z * z + radius_m * radius_m)
            value = 0.25 * h * g / r * complex(cos(wavenumber_per_m * r), -sin(wavenumber_per_m * r))
            m00 += (1.0 - s) * (1.0 - t) * value
            m01 += (1.0 - s) * t * value
            m10 += s * (1.0 - t) * value
            m11 += s * t * value
    return np.array([[m00, m01], [m10, m11]])


@compiled
def _pair_moments(
    near: int,
    a: Floats,
    u: Floats,
    h: float,
    b: Floats,
    v: Floats,
    g: float,
    radius_m: float,
    wavenumber_per_m: float,
) -> Complexes:
    """Four moments of a pair by the rule that serves it, near (1) or far (0)."""
    if near == 1:
        return _near_moments(a, u, h, b, v, g, radius_m, wavenumber_per_m)
    return _far_moments(a, u, h, b, v, g, radius_m, wavenumber_per_m)


@compiled
def _add_pair(
    vector_m: Complexes, first: Integers, second: Integers, shares: Floats, moments: Complexes, turn: float, twice: int
) -> None:
    """Add a pair of pieces to the rows and columns of the currents that they carry: two nodes', and their own.

    ``first`` and ``second`` are the numbers of those unknowns, -1 for a current of its own that a piece lacks;
    ``twice`` is 1 for two different pieces, which stand in the matrix a second time the other way round, 0 for one and
    itself.
    """
    for i in range(3):
        m = first[i]
        for j in range(3):
            n = second[j]
            if m >= 0 and n >= 0:
                value = 0.0j
                for a in range(i if i < 2 else 0, i + 1 if i < 2 else 2):
                    for b in range(j if j < 2 else 0, j + 1 if j < 2 else 2):
                        value += moments[a, b]
                value *= turn * (shares[0] if i < 2 else 1.0) * (shares[1] if j < 2 else 1.0)
                vector_m[m, n] += value
                if twice == 1:
                    vector_m[n, m] += value


@compiled
def _fill_block(
    vector_m: Complexes,
    potential_per_m: Complexes,
    starts_m: Floats,
    units: Floats,
    lengths_m: Floats,
    first: Integers,
    e: int,
    f: int,
    unknowns: Integers,
    share: Floats,
    conductor: Integers,
    magnetic_radius_m: Floats,
    electric_radius_m: Floats,
    wavenumber_per_m: float,
    near_middles_m: Floats,
    near_lengths_m: Floats,
) -> None:
    """Fill the block of the elements e and f, and its mirror image."""
    shares = np.empty(2)
    for s in range(first[e], first[e + 1]):
        a, u, h = starts_m[s], units[s], lengths_m[s]
        for t in range(s if e == f else first[f], first[f + 1]):
            b, v, g = starts_m[t], units[t], lengths_m[t]
            radius_m = magnetic_radius_m[conductor[s], conductor[t]]
            electric_m = electric_radius_m[conductor[s], conductor[t]]
            between = near_middles_m[s] - near_middles_m[t]
            reach_m = NEAR_RATIO * (near_lengths_m[s] + near_lengths_m[t])
            near = 1 if _dot(between, between) < reach_m * reach_m else 0
            moments = _pair_moments(near, a, u, h, b, v, g, radius_m, wavenumber_per_m)
            electric = moments
            if electric_m != radius_m:
                electric = _pair_moments(near, a, u, h, b, v, g, electric_m, wavenumber_per_m)
            total = electric[0, 0] + electric[0, 1] + electric[1, 0] + electric[1, 1]
            shares[0], shares[1] = share[s], share[t]
            mean = shares[0] * shares[1] * total / (4.0 * pi * h * g)
            potential_per_m[unknowns[s, 0], unknowns[t, 0]] += mean
            if s != t:
                potential_per_m[unknowns[t, 0], unknowns[s, 0]] += mean
            turn = _dot(u, v) / (4.0 * pi)
            if unknowns[s, 2] >= 0 or unknowns[t, 2] >= 0:
                _add_pair(vector_m, unknowns[s], unknowns[t], shares, moments, turn, 0 if s == t else 1)
                continue
            for i in range(2):
                for j in range(2):
                    vector_m[unknowns[s, i], unknowns[t, j]] += turn * moments[i, j]
                    if s != t:
                        vector_m[unknowns[t, j], unknowns[s, i]] += turn * moments[i, j]


@compiled_parallel
def _fill(
    starts_m: Floats,
    units: Floats,
    lengths_m: Floats,
    first: Integers,
    unknowns: Integers,
    share: Floats,
    conductor: Integers,
    pairs: Integers,
    magnetic_radius_m: Floats,
    electric_radius_m: Floats,
    wavenumber_per_m: float,
    near_middles_m: Floats,
    near_lengths_m: Floats,
) -> tuple[Complexes, Complexes]:
    """Fill pairs of elements; each pair writes its own two blocks, whichever thread takes it."""
    nodes, size = unknowns[:, 0].max() + 1, unknowns.max() + 1
    vector_m = np.zeros((size, size), dtype=np.complex128)
    potential_per_m = np.zeros((nodes, nodes), dtype=np.complex128)
    for p in numba.prange(pairs.shape[0]):
        _fill_block(
            vector_m,
            potential_per_m,
            starts_m,
            units,
            lengths_m,
            first,
            pairs[p, 0],
            pairs[p, 1],
            unknowns,
            share,
            conductor,
            magnetic_radius_m,
            electric_radius_m,
            wavenumber_per_m,
            near_middles_m,
            near_lengths_m,
        )
    return vector_m, potential_per_m


def fill_matrices(
    vertices_m: Floats,
    first_node: Integers,
    *,
    magnetic_radius_m: Floats,
    electric_radius_m: Floats,
    wavenumber_per_m: float,
) -> tuple[Complexes, Complexes]:
    r"""Vector-part and potential matrices of closed wires.

    Parameters
    ----------
    vertices_m : ndarray, shape (nodes, 3)
        Corners of all closed conductors, one after the other; segment n runs from node n to the next of its conductor.
        [m]
    first_node : ndarray of int, shape (conductors + 1,)
        Where each conductor starts in the list of nodes, and the number of nodes.
    magnetic_radius_m, electric_radius_m : ndarray, shape (conductors, conductors)
        Radius of the reduced kernel for each pair of conductors, in the magnetic and in the electric part. [m]
    wavenumber_per_m : float
        omega / c. [1/m]

    Returns
    -------
    vector_m : ndarray, shape (nodes, nodes)
        :math:`\iint \mathbf{f}_m\cdot\mathbf{f}_n\, e^{-jkR}/(4\pi R)` of the rooftops; times mu0 an inductance. [m]
    potential_per_m : ndarray, shape (segments, segments)
        Mean of :math:`e^{-jkR}/(4\pi R)` over two segments; over epsilon0 a coefficient of potential. [1/m]

    Notes
    -----
    Holds while a segment is at least four radii long and much shorter than the wavelength.  Both are symmetric.

    References
    ----------
    R. F. Harrington, Field Computation by Moment Methods, 1968, ch. 4 (from memory).
    """
    wires = closed_wires(
        vertices_m, first_node, magnetic_radius_m=magnetic_radius_m, electric_radius_m=electric_radius_m
    )
    every = np.stack(np.triu_indices(len(first_node) - 1), axis=1)
    return fill_pieces(wires, every, wavenumber_per_m=wavenumber_per_m, near=wires)


def fill_pieces(
    pieces: Pieces, pairs: Integers, *, wavenumber_per_m: float, near: Pieces
) -> tuple[Complexes, Complexes]:
    """Vector-part and potential matrices of pieces of wire, for some pairs of elements.

    Parameters
    ----------
    pieces : Pieces
        The pieces.
    pairs : ndarray of int, shape (pairs, 2)
        Numbers of two elements each, every pair in one order only; what belongs to others stays zero.
    wavenumber_per_m : float
        omega / c. [1/m]
    near : Pieces
        Where pieces stand when near is told from far: before a small move, so that none changes its rule.

    Returns
    -------
    vector_m : ndarray, shape (unknowns, unknowns)
        As for :func:`fill_matrices`; currents of nodes first, then those that pieces carry on their own. [m]
    potential_per_m : ndarray, shape (segments, segments)
        As for :func:`fill_matrices`, charges shared among the pieces of a segment. [1/m]
    """
    lengths_m = pieces.lengths_m
    own = np.where(pieces.spare < 0, -1, pieces.nodes + pieces.spare)
    with _threads_for(pieces, pairs):
        return _fill(
            np.ascontiguousarray(pieces.starts_m),
            (pieces.ends_m - pieces.starts_m) / lengths_m[:, None],
            lengths_m,
            pieces.first_piece,
            np.ascontiguousarray(np.stack([pieces.start_node, pieces.end_node, own], axis=1)),
            pieces.share,
            pieces.conductor,
            _scattered(pairs),
            np.ascontiguousarray(pieces.magnetic_radius_m, dtype=np.float64),
            np.ascontiguousarray(pieces.electric_radius_m, dtype=np.float64),
            float(wavenumber_per_m),
            np.ascontiguousarray((near.starts_m + near.ends_m) / 2),
            near.lengths_m,
        )


@contextmanager
def _threads_for(pieces: Pieces, pairs: Integers) -> Iterator[None]:
    """One thread for a small fill: threads that wait for one another on a busy machine cost many times the work."""
    sizes = np.diff(pieces.first_piece)
    threads = numba.get_num_threads()
    small = int((sizes[pairs[:, 0]] * sizes[pairs[:, 1]]).sum()) < _SMALL_FILL
    numba.set_num_threads(1 if small else threads)
    try:
        yield
    finally:
        numba.set_num_threads(threads)


@compiled_parallel
def _loop_lengths(
    vertices_m: Floats,
    units: Floats,
    lengths_m: Floats,
    first: Integers,
    pairs: Integers,
    pair_radius_m: Floats,
    wavenumber_per_m: float,
) -> Complexes:
    """Double line integral of each pair of conductors; each pair writes its own place."""
    found = np.zeros(pairs.shape[0], dtype=np.complex128)
    for p in numba.prange(pairs.shape[0]):
        e, f, radius_m = pairs[p, 0], pairs[p, 1], pair_radius_m[p]
        for s in range(first[e], first[e + 1]):
            a, u, h = vertices_m[s], units[s], lengths_m[s]
            for t in range(first[f], first[f + 1]):
                b, v, g = vertices_m[t], units[t], lengths_m[t]
                between = a + 0.5 * h * u - b - 0.5 * g * v
                if _dot(between, between) < (NEAR_RATIO * (h + g)) ** 2:
                    moments = _near_moments(a, u, h, b, v, g, radius_m, wavenumber_per_m)
                else:
                    moments = _far_moments(a, u, h, b, v, g, radius_m, wavenumber_per_m)
                total = moments[0, 0] + moments[0, 1] + moments[1, 0] + moments[1, 1]
                found[p] += _dot(u, v) / (4.0 * pi) * total
    return found


def loop_lengths_m(
    vertices_m: Floats, first_node: Integers, pairs: Integers, *, pair_radius_m: Floats, wavenumber_per_m: float
) -> Complexes:
    r"""Neumann's integral between uniform currents on some pairs of closed wires.

    Parameters
    ----------
    vertices_m, first_node
        As for :func:`fill_matrices`.
    pairs : ndarray of int, shape (pairs, 2)
        Numbers of two conductors each; the same one twice for its own inductance.
    pair_radius_m : ndarray, shape (pairs,)
        Radius of the reduced kernel. [m]
    wavenumber_per_m : float
        omega / c. [1/m]

    Returns
    -------
    ndarray, shape (pairs,)
        :math:`\oint\oint e^{-jkR}/(4\pi R)\,\mathrm{d}\mathbf{l}\cdot\mathrm{d}\mathbf{l}'`; times mu0 an
        inductance. [m]

    Notes
    -----
    The sum over both conductors of the vector part of :func:`fill_matrices`, for those pairs alone.
    """
    vertices_m = np.ascontiguousarray(vertices_m, dtype=np.float64)
    steps = following_vertices(vertices_m, first_node) - vertices_m
    lengths_m = np.linalg.norm(steps, axis=1)
    return _loop_lengths(
        vertices_m,
        steps / lengths_m[:, None],
        lengths_m,
        np.asarray(first_node, dtype=np.int64),
        np.ascontiguousarray(pairs, dtype=np.int64),
        np.ascontiguousarray(pair_radius_m, dtype=np.float64),
        float(wavenumber_per_m),
    )


def _scattered(pairs: Integers) -> Integers:
    """Pairs of conductors in a fixed order that gives each thread its share of costly near pairs."""
    golden = 0.6180339887498949
    return np.ascontiguousarray(pairs[np.argsort(np.arange(len(pairs)) * golden % 1.0)], dtype=np.int64)
