"""Full-wave fields of closed filament loops in and near a concentric layered sphere.

Incident field about the centre, from the expansion of the dyadic Green function (r below the source radius r'),

    E = sum a M1 + b N1,   a = -omega mu0 k0 /(l(l+1)) oint h_l(k0 r') conj(C).dl',   C = grad(Y) x r,
    M = z_l(kr) C,         N = curl(M)/k,    b likewise with conj(N4).dl', for a closed loop k0 oint h_l conj(Y) r'.dl'

(the rest of N is a gradient, which a closed loop cannot see); then layer by layer as in :mod:`exact.layers`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.constants import c, mu_0

from exact.harmonics import curl_coefficients, ladder_factors, mirrored, mode_numbers, spherical_harmonics
from exact.layers import (
    DEGREE_MAX,
    LayeredSphere,
    RadialSolution,
    falling,
    noise_per_mode_by_quadrature_ohm,
    noise_per_mode_ohm,
    radial_solution,
)
from exact.loops import Loop, free_space_fields
from exact.radial import outgoing, regular, spherical_j

Real = NDArray[np.float64]
Complex = NDArray[np.complex128]


# ------------------------------------------------------------------------------------------------- loops as sources


@dataclass(frozen=True, slots=True)
class Coupling:
    """Loops seen from the sphere: axes (loop, type, mode), types TE and TM.

    ``incident`` is X of the incident wave at the surface, ``heard`` the line integral of the outgoing wave whose X is 1
    at the surface (conjugate harmonics), ``radiated`` the amplitudes a, b k0 of the loops' own outgoing wave.
    """

    incident: Complex
    heard: Complex
    radiated: Complex


def _moments(Y: Complex, radial: Complex, where: Real, dl: Real) -> Complex:
    """Sum over the wire of z_l conj(C).dl and z_l conj(Y) r.dl, (2, modes), for z_l (degrees, q) and Y (modes, q)."""
    elements = np.concatenate([dl, np.sum(where * dl, axis=1, keepdims=True)], axis=1)
    sums = np.empty((len(Y), 4), dtype=complex)
    for l, z in enumerate(radial):
        rows = slice(l * l, (l + 1) ** 2)
        sums[rows] = Y[rows].conj() @ (z[:, None] * elements)
    _, m = mode_numbers(len(radial) - 1)
    plus, minus = ladder_factors(len(radial) - 1)
    raised, lowered = plus[:, None] * np.roll(sums, -1, axis=0), minus[:, None] * np.roll(sums, 1, axis=0)
    tangential = 0.5j * (raised + lowered)[:, 0] - 0.5 * (raised - lowered)[:, 1] + 1j * m * sums[:, 2]
    return np.stack([tangential, sums[:, 3]])


def couple(
    loops: Sequence[Loop], sphere: LayeredSphere, frequency_hz: float, degree_max: int = DEGREE_MAX, points: int = 512
) -> Coupling:
    """Line integrals of every loop against every multipole."""
    k0, omega, a = 2 * np.pi * frequency_hz / c, 2 * np.pi * frequency_hz, sphere.radius_m
    l, _ = mode_numbers(degree_max)
    heard = np.empty((len(loops), 2, len(l)), dtype=complex)
    silent = np.empty_like(heard)
    for e, loop in enumerate(loops):
        where, dl = loop.quadrature(points)
        r = np.linalg.norm(where, axis=1)
        if np.min(r) <= a:
            raise ValueError("a loop enters the sphere")
        Y = spherical_harmonics(degree_max, where / r[:, None])
        heard[e] = _moments(Y, falling(degree_max, k0, a, r)[0], where, dl)
        silent[e] = _moments(Y, spherical_j(degree_max, k0 * r), where, dl)
    jh = (regular(degree_max, k0 * a) * outgoing(degree_max, k0 * a) / ((2 * np.arange(degree_max + 1) + 1) * k0 * a))[
        l
    ]
    strength = -omega * mu_0 * k0 / np.maximum(l * (l + 1), 1) * (l > 0) * np.array([1, k0**2])[:, None]
    return Coupling(incident=strength * jh * heard, heard=heard, radiated=strength * silent)


def noise_resistance_ohm(
    loops: Sequence[Loop], sphere: LayeredSphere, frequency_hz: float, degree_max: int = DEGREE_MAX
) -> Complex:
    """R_ij = integral of sigma E_i conj(E_j) dV for 1 A in each loop, Hermitian (loops, loops). [ohm]"""
    incident = couple(loops, sphere, frequency_hz, degree_max).incident
    per_mode = noise_per_mode_ohm(radial_solution(sphere, frequency_hz, degree_max))
    return np.einsum("itm,tm,jtm->ij", incident, per_mode, incident.conj(), optimize=True)


def absorbed_power_w(loop: Loop, sphere: LayeredSphere, frequency_hz: float, degree_max: int = DEGREE_MAX) -> float:
    """Time-averaged power that 1 A peak in the loop leaves in the sphere. [W]"""
    return float(0.5 * noise_resistance_ohm([loop], sphere, frequency_hz, degree_max)[0, 0].real)


def absorbed_power_by_layer_w(
    loop: Loop, sphere: LayeredSphere, frequency_hz: float, degree_max: int = DEGREE_MAX
) -> Real:
    """The same, layer by layer from the innermost, shape (layers,). [W]"""
    incident = couple([loop], sphere, frequency_hz, degree_max).incident[0]
    per_mode = noise_per_mode_by_quadrature_ohm(radial_solution(sphere, frequency_hz, degree_max))
    return 0.5 * np.sum(per_mode * np.abs(incident) ** 2, axis=(1, 2))


def reaction_impedance_ohm(
    loops: Sequence[Loop], sphere: LayeredSphere, frequency_hz: float, degree_max: int = DEGREE_MAX
) -> Complex:
    """Z_ij = -oint E_scattered of loop j . dl_i, what the sphere adds to a network, symmetric (loops, loops). [ohm]"""
    coupling = couple(loops, sphere, frequency_hz, degree_max)
    l, _ = mode_numbers(degree_max)
    reflected = radial_solution(sphere, frequency_hz, degree_max).reflected[:, l]
    return -np.einsum("itm,jtm->ij", mirrored(coupling.heard), reflected * coupling.incident, optimize=True)


def radiation_resistance_ohm(
    loops: Sequence[Loop], sphere: LayeredSphere, frequency_hz: float, degree_max: int = 30
) -> tuple[Complex, Complex]:
    """Radiated-power matrices (twice the power per ampere squared), with the sphere and without it. [ohm]"""
    coupling = couple(loops, sphere, frequency_hz, degree_max)
    l, _ = mode_numbers(degree_max)
    k0, a = 2 * np.pi * frequency_hz / c, sphere.radius_m
    reflected = radial_solution(sphere, frequency_hz, degree_max).reflected
    # incident X at the surface over j_l is the amplitude of j_l; reflected X over h_l that of h_l: written without h_l
    j = spherical_j(degree_max, k0 * a)
    strength = (
        -2 * np.pi * frequency_hz * mu_0 * k0 / np.maximum(l * (l + 1), 1) * (l > 0) * np.array([1, k0**2])[:, None]
    )
    with_sphere = coupling.radiated + strength * (j * reflected)[:, l] * coupling.heard
    per_mode = l * (l + 1.0) * np.array([1, k0**-2])[:, None] / (k0**2 * mu_0 * c)

    def matrix(amplitude: Complex) -> Complex:
        return np.einsum("itm,tm,jtm->ij", amplitude, per_mode, amplitude.conj(), optimize=True)

    return matrix(with_sphere), matrix(coupling.radiated)


# ------------------------------------------------------------------------------------------------- fields at points


def fields_inside(
    loop: Loop, sphere: LayeredSphere, frequency_hz: float, points_m: Real, degree_max: int = DEGREE_MAX
) -> tuple[Complex, Complex]:
    """Total E (n, 3) [V/m] and B (n, 3) [T] at points inside the sphere for 1 A peak in the loop."""
    E, B = fields_of_loops_inside([loop], sphere, frequency_hz, points_m, degree_max)
    return E[0], B[0]


def fields_of_loops_inside(
    loops: Sequence[Loop], sphere: LayeredSphere, frequency_hz: float, points_m: Real, degree_max: int = DEGREE_MAX
) -> tuple[Complex, Complex]:
    """Total E and B of every loop, each (loops, n, 3)."""
    nearest = min(float(np.min(np.linalg.norm(loop.quadrature()[0], axis=1))) for loop in loops)
    coupling = couple(loops, sphere, frequency_hz, degree_max)
    solution = radial_solution(sphere, frequency_hz, degree_max)
    return fields_from_incident(coupling.incident, solution, points_m, source_radius_m=nearest)


def fields_from_incident(
    incident: Complex, solution: RadialSolution, points_m: Real, *, source_radius_m: float, chunk: int = 1000
) -> tuple[Complex, Complex]:
    """E and B (waves, n, 3) at points inside, for incident X (waves, type, modes) at the surface.

    Points are taken in order of radius; degrees beyond (r / source radius)^l = 1e-11 are left out.
    """
    points = np.asarray(points_m, dtype=float)
    r = np.linalg.norm(points, axis=1)
    if np.max(r, initial=0) > solution.sphere.radius_m * (1 + 1e-12):
        raise ValueError("a point lies outside the sphere")
    E = np.empty((len(incident), len(points), 3), dtype=complex)
    B = np.empty_like(E)
    order = np.argsort(r)
    for start in range(0, len(points), chunk):
        here = order[start : start + chunk]
        ratio = max(float(r[here[-1]]), 1e-12) / source_radius_m
        waves = np.max(np.abs(solution.sphere.wavenumbers(solution.frequency_hz))) * r[here[-1]]
        needed = int(min(np.log(1e-11) / np.log(min(ratio, 0.9999)) + 12 + 2 * waves, solution.degree_max))
        E[:, here], B[:, here] = _fields(incident, solution, points[here], r[here], needed)
    return E, B


def _fields(
    incident: Complex, solution: RadialSolution, points: Real, r: Real, degree_max: int
) -> tuple[Complex, Complex]:
    modes = (degree_max + 1) ** 2
    r = np.maximum(r, 1e-9 * solution.sphere.radius_m)  # the centre itself: take a neighbour
    direction = np.where(np.linalg.norm(points, axis=1)[:, None] > 0, points / r[:, None], [0.0, 0.0, 1.0])
    X, D, k = solution.inside(r)
    C, Y = _sums_over_order(incident[..., :modes], direction, degree_max)
    X, D = X[:, : degree_max + 1], D[:, : degree_max + 1]
    ll = np.arange(degree_max + 1.0) * np.arange(1.0, degree_max + 2)
    along = np.einsum("tln,kwtln->kwtn", X, C)  # X C, summed over degree
    across = np.einsum("tln,kwtln->kwtn", D / r, C)  # (rX)'/r C
    radial = np.einsum("l,tln,wtln->wtn", ll, X / r, Y)
    # curl(X C) = l(l+1) X/r Y r^ + (rX)'/r r^ x C
    curl = radial[..., None] * direction + np.cross(direction, np.moveaxis(across, 0, -1))
    along = np.moveaxis(along, 0, -1)
    E = along[:, 0] + curl[:, 1] / (k**2)[:, None]
    B = 1j / (2 * np.pi * solution.frequency_hz) * (curl[:, 0] + along[:, 1])
    return E, B


def _sums_over_order(incident: Complex, direction: Real, degree_max: int) -> tuple[Complex, Complex]:
    """Sum over m of X C, (3, waves, type, degrees, n), and of X Y, (waves, type, degrees, n)."""
    Y = spherical_harmonics(degree_max, direction)
    sets = np.concatenate([curl_coefficients(incident), incident[None]])  # (4, waves, type, modes)
    found = np.empty((*sets.shape[:-1], degree_max + 1, len(direction)), dtype=complex)
    for l in range(degree_max + 1):
        rows = slice(l * l, (l + 1) ** 2)
        found[..., l, :] = sets[..., rows] @ Y[rows]
    return found[:3], found[3]


def reaction_fields_outside(
    loop: Loop, sphere: LayeredSphere, frequency_hz: float, points_m: Real, degree_max: int = DEGREE_MAX
) -> tuple[Complex, Complex]:
    """E and B (n, 3) that the sphere adds outside itself."""
    points = np.asarray(points_m, dtype=float)
    r = np.linalg.norm(points, axis=1)
    k0 = 2 * np.pi * frequency_hz / c
    solution = radial_solution(sphere, frequency_hz, degree_max)
    v, dv = falling(degree_max, k0, sphere.radius_m, r)
    X, D = solution.reflected[..., None] * v, solution.reflected[..., None] * dv
    outside = _Frozen(X, D, np.full(len(r), k0 + 0j), sphere, frequency_hz)
    E, B = _fields(couple([loop], sphere, frequency_hz, degree_max).incident, outside, points, r, degree_max)
    return E[0], B[0]


@dataclass(frozen=True, slots=True)
class _Frozen:
    """Radial functions already evaluated, in the place of a RadialSolution."""

    X: Complex
    D: Complex
    k: Complex
    sphere: LayeredSphere
    frequency_hz: float

    def inside(self, _radii_m: Real) -> tuple[Complex, Complex, Complex]:
        return self.X, self.D, self.k


def fields_outside(
    loop: Loop, sphere: LayeredSphere, frequency_hz: float, points_m: Real, degree_max: int = DEGREE_MAX
) -> tuple[Complex, Complex]:
    """Total E and B (n, 3) outside the sphere, off the wire."""
    E0, B0 = free_space_fields(loop, frequency_hz, points_m)
    E1, B1 = reaction_fields_outside(loop, sphere, frequency_hz, points_m, degree_max)
    return E0 + E1, B0 + B1
