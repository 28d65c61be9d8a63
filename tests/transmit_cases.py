"""Transmit sources that have exact solutions, and replies of bodies to them."""

from dataclasses import dataclass

import numpy as np
from scipy.constants import epsilon_0, mu_0
from scipy.special import spherical_jn, spherical_yn

from exact.radial import regular
from loopwright.fields.rotating import Precession
from loopwright.fields.transmit import transmit_reply
from loopwright.ground.constants import SPEED_OF_LIGHT_M_PER_S
from loopwright.ground.progress import Forgetful, Silent


@dataclass(frozen=True)
class Multipole:
    """A magnetic field b at the origin and the standing spherical wave of the first degree that it belongs to.

    E = -j w/2 J(kr) (b x r) with J = 3 j1(kr)/(kr); with ``wave_number_scale`` of nought the field is uniform.
    """

    b: tuple[complex, complex, complex]
    frequency_hz: float
    wave_number_scale: float = 1.0
    sense: Precession = Precession.CLOCKWISE
    name: str = "first multipole"
    limits: tuple[str, ...] = ()

    def electric_v_per_m_per_t(self, points_m):
        r = np.asarray(points_m, dtype=float)
        k = self.wave_number_scale * 2 * np.pi * self.frequency_hz / SPEED_OF_LIGHT_M_PER_S
        stripped = regular(1, k * np.linalg.norm(r, axis=-1))[1]
        return -1j * np.pi * self.frequency_hz * stripped[..., None] * np.cross(np.array(self.b), r)

    def magnetic_t_per_t(self, points_m, step_m=1e-4):
        """By differences of the electric field."""
        r = np.asarray(points_m, dtype=float)
        e = self.electric_v_per_m_per_t
        d = [(e(r + step_m * way) - e(r - step_m * way)) / (2 * step_m) for way in np.eye(3)]
        curl = np.stack([d[1][..., 2] - d[2][..., 1], d[2][..., 0] - d[0][..., 2], d[0][..., 1] - d[1][..., 0]], -1)
        return curl / (-2j * np.pi * self.frequency_hz)


def linear(direction, frequency_hz):
    """Uniform field of 1 T peak along one axis, E = -j w B x r / 2."""
    return Multipole(b=tuple(np.eye(3)[direction]), frequency_hz=frequency_hz, wave_number_scale=0.0)


def reply(body, source, array=None, *, relative_residual=1e-4, store=None):
    return transmit_reply(
        body,
        source,
        array=array,
        relative_residual=relative_residual,
        progress=Silent(),
        store=store or Forgetful(),
    )


def absorbed_w_per_t2(body, source):
    """Power that the body absorbs from 1 T of the source alone."""
    return reply(body, source).body.absorption_ohm[-1, -1].real / 2


def multipole_power_in_sphere_w(*, b, radius_m, eps_r, sigma_s_per_m, frequency_hz):
    """Exact power that a sphere takes from :class:`Multipole`, from E and (r E)' continuous at its surface.

    Radial functions of E / (w/2 \\|b x r/r\\|): 3 j1(k0 r)/k0 + S h1(k0 r) outside, T 3 j1(kr)/k inside.
    """
    omega = 2 * np.pi * frequency_hz
    k0 = omega / SPEED_OF_LIGHT_M_PER_S
    k = k0 * np.sqrt(eps_r - 1j * sigma_s_per_m / (omega * epsilon_0))

    def j(x):
        return spherical_jn(1, x), spherical_jn(1, x) + x * spherical_jn(1, x, derivative=True)

    def h(x):
        y = spherical_yn(1, x), spherical_yn(1, x) + x * spherical_yn(1, x, derivative=True)
        return tuple(real - 1j * imaginary for real, imaginary in zip(j(x), y, strict=True))

    (j0, dj0), (h0, dh0), (ji, dji) = j(k0 * radius_m), h(k0 * radius_m), j(k * radius_m)
    inside = 3 / k0 * (j0 * dh0 - dj0 * h0) / (3 / k * (ji * dh0 - dji * h0))
    nodes, weights = np.polynomial.legendre.leggauss(40)
    r = radius_m * (nodes + 1) / 2
    radial = radius_m / 2 * weights @ (np.abs(inside * 3 * spherical_jn(1, k * r) / k) ** 2 * r**2)
    return sigma_s_per_m * omega**2 / 8 * radial * 8 * np.pi / 3 * np.sum(np.abs(b) ** 2)


def taken_w(found, source):
    """Power that the source's field puts into the body's currents: Re integral E_inc^* . J dV / 2."""
    faces = found.body.faces
    field = source.electric_v_per_m_per_t(faces.centres_m())[np.arange(len(faces.index)), faces.families()]
    density = 2j * np.pi * faces.frequency_hz * epsilon_0 * found.body.current_v_per_m[-1]
    return 0.5 * faces.spacing_m**3 * np.vdot(field, density).real


def radiated_w(faces, current_v_per_m):
    """Power that the body's currents alone radiate, by their far field."""
    omega = 2 * np.pi * faces.frequency_hz
    k = omega / SPEED_OF_LIGHT_M_PER_S
    moments = np.zeros((len(current_v_per_m), 3), dtype=complex)
    moments[np.arange(len(moments)), faces.families()] = (
        1j * omega * epsilon_0 * faces.spacing_m**3 * np.asarray(current_v_per_m)
    )
    cosines, weights = np.polynomial.legendre.leggauss(8)
    total = 0.0
    for cosine, weight in zip(cosines, weights, strict=True):
        for phi in np.pi * np.arange(16) / 8:
            way = np.array([np.sqrt(1 - cosine**2) * np.cos(phi), np.sqrt(1 - cosine**2) * np.sin(phi), cosine])
            seen = np.exp(1j * k * faces.centres_m() @ way) @ moments
            across = seen - way * (way @ seen)
            total += weight * np.pi / 8 * np.sum(np.abs(across) ** 2)
    return mu_0 * SPEED_OF_LIGHT_M_PER_S * k**2 / (32 * np.pi**2) * total
