"""A concentric layered sphere, degree by degree: the radial functions, and the loss of each multipole.

Per degree and type one radial function X is carried: the E of a TE mode is X C, the curl of E of a TM mode is X C,
C = grad(Y) x r. Across an interface X and p (rX)'/r are continuous, p = 1 (TE) and 1/k^2 (TM). In a layer
X = alpha u + beta v with u ~ j_l scaled to 1 at the layer's outer radius, v ~ h_l scaled to 1 at its inner radius;
X is scaled to the incident field at the surface, so nothing overflows.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.constants import c, epsilon_0, mu_0

from exact.harmonics import mode_numbers
from exact.radial import degrees_like, outgoing, regular

Real = NDArray[np.float64]
Complex = NDArray[np.complex128]

DEGREE_MAX = 80


@dataclass(frozen=True, slots=True)
class LayeredSphere:
    """Concentric layers about the origin, from the innermost outwards: outer radius, permittivity, conductivity."""

    radii_m: tuple[float, ...]
    eps_r: tuple[float, ...]
    sigma_s_per_m: tuple[float, ...]

    @classmethod
    def uniform(cls, radius_m: float, eps_r: float, sigma_s_per_m: float) -> "LayeredSphere":
        return cls((radius_m,), (eps_r,), (sigma_s_per_m,))

    @property
    def radius_m(self) -> float:
        return self.radii_m[-1]

    def wavenumbers(self, frequency_hz: float) -> Complex:
        """Complex wavenumber of each layer, imaginary part <= 0. [1/m]"""
        omega = 2 * np.pi * frequency_hz
        eps = np.asarray(self.eps_r) - 1j * np.asarray(self.sigma_s_per_m) / (omega * epsilon_0)
        return omega / c * np.sqrt(eps)


@dataclass(frozen=True, slots=True)
class RadialSolution:
    """X of every degree and type per layer, for an incident X of 1 at the surface. Axes (layer, type, degree)."""

    sphere: LayeredSphere
    frequency_hz: float
    alpha: Complex
    beta: Complex
    reflected: Complex  # (type, degree): outgoing X at the surface
    slope: Complex  # (type, degree): p (rX)'/X just at the surface

    @property
    def degree_max(self) -> int:
        return self.alpha.shape[-1] - 1

    def inside(self, radii_m: Real) -> tuple[Complex, Complex, Complex]:
        """X and (rX)' of both types at radii (n,), each (2, degrees, n), and the wavenumber (n,)."""
        layer = np.searchsorted(np.asarray(self.sphere.radii_m)[:-1], radii_m, side="left")
        k = self.sphere.wavenumbers(self.frequency_hz)
        X = np.zeros((2, self.degree_max + 1, len(radii_m)), dtype=complex)
        D = np.zeros_like(X)
        for i in np.unique(layer):
            here = layer == i
            u, du, v, dv = _shell_functions(self.sphere, k, int(i), self.degree_max, radii_m[here])
            X[:, :, here] = self.alpha[i][..., None] * u + self.beta[i][..., None] * v
            D[:, :, here] = self.alpha[i][..., None] * du + self.beta[i][..., None] * dv
        return X, D, k[layer]


def rising(degree_max: int, k: complex, outer: float, radii: Real) -> tuple[Complex, Complex]:
    """u = j_l(kr)/j_l(k outer) and (ru)', each (degrees, n)."""
    z = k * np.asarray(radii, dtype=complex)
    l = degrees_like(degree_max, z)
    J = regular(degree_max + 1, z)
    scale = (np.asarray(radii) / outer) ** l / regular(degree_max, k * outer)[:, None]
    return scale * J[:-1], scale * ((l + 1) * J[:-1] - z**2 / (2 * l + 3) * J[1:])


def falling(degree_max: int, k: complex, inner: float, radii: Real) -> tuple[Complex, Complex]:
    """v = h_l(kr)/h_l(k inner) and (rv)', each (degrees, n)."""
    z = k * np.asarray(radii, dtype=complex)
    l = degrees_like(degree_max, z)
    H = outgoing(degree_max, z)
    scale = (inner / np.asarray(radii)) ** (l + 1) / outgoing(degree_max, k * inner)[:, None]
    below = np.concatenate([np.zeros_like(H[:1]), H[:-1]])
    return scale * H, scale * (-l * H + z**2 / (2 * l - 1) * below)


def _shell_functions(
    sphere: LayeredSphere, k: Complex, i: int, degree_max: int, radii: Real
) -> tuple[Complex, Complex, Complex, Complex]:
    u, du = rising(degree_max, k[i], sphere.radii_m[i], radii)
    if i == 0:
        return u, du, np.zeros_like(u), np.zeros_like(u)
    v, dv = falling(degree_max, k[i], sphere.radii_m[i - 1], radii)
    return u, du, v, dv


def radial_solution(sphere: LayeredSphere, frequency_hz: float, degree_max: int = DEGREE_MAX) -> RadialSolution:
    """Match every degree and type from the centre outwards, then to the incident and the outgoing wave."""
    k = sphere.wavenumbers(frequency_hz)
    layers, shape = len(k), (2, degree_max + 1)
    alpha, beta = np.zeros((layers, *shape), dtype=complex), np.zeros((layers, *shape), dtype=complex)
    slope = np.zeros(shape, dtype=complex)
    for i in range(layers):
        p = np.array([1, k[i] ** -2])[:, None]
        inner = sphere.radii_m[i - 1] if i else sphere.radii_m[0]
        (ui, uo), (dui, duo), (_, vo), (dvi, dvo) = (
            np.moveaxis(f, -1, 0)
            for f in _shell_functions(sphere, k, i, degree_max, np.array([inner, sphere.radii_m[i]]))
        )
        if i == 0:
            alpha[0] = 1
        else:  # X = 1 and p (rX)' = slope at the inner radius
            alpha[i] = (slope / p - dvi) / (dui - dvi * ui)
            beta[i] = 1 - alpha[i] * ui
        out = alpha[i] * uo + beta[i] * vo
        slope = p * (alpha[i] * duo + beta[i] * dvo) / out
        alpha[: i + 1] /= out
        beta[: i + 1] /= out
    k0, a = 2 * np.pi * frequency_hz / c, sphere.radius_m
    p0 = np.array([1, k0**-2])[:, None]
    du = rising(degree_max, k0, a, np.array([a]))[1][:, 0]
    dv = falling(degree_max, k0, a, np.array([a]))[1][:, 0]
    reflected = (p0 * du - slope) / (slope - p0 * dv)
    passed = p0 * (du - dv) / (slope - p0 * dv)
    return RadialSolution(sphere, frequency_hz, alpha * passed, beta * passed, reflected, slope)


def noise_per_mode_ohm(solution: RadialSolution) -> Real:
    """Integral of sigma |E|^2 dV for an incident X of 1, shape (type, modes), by the Poynting flux at the surface."""
    l, _ = mode_numbers(solution.degree_max)
    a, omega = solution.sphere.radius_m, 2 * np.pi * solution.frequency_hz
    flux = a * np.abs(1 + solution.reflected) ** 2 * solution.slope.imag / (omega * mu_0)
    return flux[:, l] * (l * (l + 1.0))


def noise_per_mode_by_quadrature_ohm(solution: RadialSolution, points: int = 200) -> Real:
    """Same as :func:`noise_per_mode_ohm`, per layer (layer, type, modes), by Gauss quadrature of sigma |E|^2."""
    l, _ = mode_numbers(solution.degree_max)
    x, w = np.polynomial.legendre.leggauss(points)
    edges = (0.0, *solution.sphere.radii_m)
    found = np.empty((len(edges) - 1, 2, len(l)))
    ll = degrees_like(solution.degree_max, x)
    for i, (inner, outer) in enumerate(pairwise(edges)):
        r = inner + (outer - inner) * (x + 1) / 2
        weight = solution.sphere.sigma_s_per_m[i] * w * (outer - inner) / 2
        X, D, k = solution.inside(r)
        te = ll * (ll + 1) * np.abs(X[0] * r) ** 2
        tm = ((ll * (ll + 1)) ** 2 * np.abs(X[1]) ** 2 + ll * (ll + 1) * np.abs(D[1]) ** 2) / np.abs(k) ** 4
        found[i] = np.stack([te @ weight, tm @ weight])[:, l]
    return found
