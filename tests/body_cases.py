"""Bodies, loops and errors that several tests of the body solver share."""

from dataclasses import dataclass

import numpy as np
from scipy.constants import epsilon_0, mu_0

from exact.loops import Circle
from exact.spheres import LayeredSphere, absorbed_power_w, fields_inside
from loopwright.bodies import Body, Tissue, layered_elliptic_cylinder, layered_sphere, voxelise
from loopwright.fields.body.excitation import impressed_field_of_loops_v_per_m
from loopwright.fields.body.reply import faces_of
from loopwright.fields.body.solver import (
    electric_field_v_per_m,
    noise_resistance_ohm,
    reply_currents,
    reply_magnetic_field_t,
    volume_problem,
)
from loopwright.fields.wires import magnetic_field_t_per_a
from loopwright.ground.constants import SPEED_OF_LIGHT_M_PER_S
from wire_cases import equal_area_polygon


def gel(eps_r, sigma_s_per_m, name="gel"):
    return Tissue(name=name, eps_r=eps_r, sigma_s_per_m=sigma_s_per_m, note="test")


def voxel_sphere(sphere: LayeredSphere, *, voxel_m: float, frequency_hz: float) -> Body:
    """Our body for an exact sphere: names and layers run from the outside in."""
    names = tuple(f"layer {i}" for i in range(len(sphere.radii_m)))
    solid = layered_sphere(
        sphere.radii_m[-1], tissue_names=names, thicknesses_m=tuple(-np.diff(sphere.radii_m[::-1]).round(12))
    )
    values = zip(sphere.eps_r[::-1], sphere.sigma_s_per_m[::-1], names, strict=True)
    return voxelise(
        solid,
        spacing_m=voxel_m,
        tissues=tuple(gel(eps_r, sigma, name) for eps_r, sigma, name in values),
        frequency_hz=frequency_hz,
    )


def column(radius_m: float, height_m: float, *, voxel_m: float, tissue: Tissue, frequency_hz: float) -> Body:
    solid = layered_elliptic_cylinder((radius_m, radius_m), height_m, tissue_names=(tissue.name,), thicknesses_m=())
    return voxelise(solid, spacing_m=voxel_m, tissues=(tissue,), frequency_hz=frequency_hz)


def polygon_of(loop: Circle, segments: int = 48):
    """Equal-area polygon on the exact circle."""
    n = np.asarray(loop.normal, dtype=float) / np.linalg.norm(loop.normal)
    u = np.cross(n, np.eye(3)[np.argmin(np.abs(n))])
    u /= np.linalg.norm(u)
    flat = equal_area_polygon(loop.radius_m, segments)
    return np.asarray(loop.centre_m) + flat[:, :1] * u + flat[:, 1:2] * np.cross(n, u)


def solved(body: Body, impressed, *, relative_residual=1e-3):
    """Problem and currents for rows of impressed fields on the body's current faces."""
    problem = volume_problem(faces_of(body))
    solution = reply_currents(
        problem,
        np.atleast_2d(impressed).astype(np.complex64),
        relative_residual=relative_residual,
        on_product=lambda _count: None,
    )
    return problem, solution


def uniform_field_on_faces(body: Body, direction: int):
    """E = -j w B x r / 2 per tesla on the current faces, B along one axis."""
    faces = faces_of(body)
    field = -1j * np.pi * body.frequency_hz * np.cross(np.eye(3)[direction], faces.centres_m())
    return field[np.arange(len(field)), faces.families()]


@dataclass(frozen=True)
class SphereErrors:
    """Relative errors against the exact series: power signed, E at the faces of the core, B at the voxel centres."""

    power: float
    electric: float
    magnetic: float
    products: int


def sphere_errors(loop: Circle, sphere: LayeredSphere, *, voxel_m: float, frequency_hz: float) -> SphereErrors:
    body = voxel_sphere(sphere, voxel_m=voxel_m, frequency_hz=frequency_hz)
    vertices = polygon_of(loop)
    problem, solution = solved(body, impressed_field_of_loops_v_per_m(faces_of(body), [vertices]))
    currents = solution.solutions
    power = noise_resistance_ohm(problem, currents.astype(complex))[0, 0].real / 2
    return SphereErrors(
        power=power / absorbed_power_w(loop, sphere, frequency_hz) - 1,
        electric=_electric_error(problem, currents, loop, sphere),
        magnetic=_magnetic_error(problem, currents, body, vertices, loop, sphere),
        products=solution.steps,
    )


def _electric_error(problem, currents, loop, sphere):
    faces = problem.faces
    centres = faces.centres_m()
    core = np.linalg.norm(centres, axis=1) < sphere.radius_m - faces.spacing_m
    exact, _ = fields_inside(loop, sphere, faces.frequency_hz, centres[core])
    exact = exact[np.arange(len(exact)), faces.families()[core]]
    found = electric_field_v_per_m(problem, currents)[0][core]
    return np.linalg.norm(found - exact) / np.linalg.norm(exact)


def _magnetic_error(problem, currents, body, vertices, loop, sphere):
    centres = body.grid.centre_points_m()
    inside = np.linalg.norm(centres, axis=-1) < sphere.radius_m
    _, exact = fields_inside(loop, sphere, body.frequency_hz, centres[inside])
    wavenumber = 2 * np.pi * body.frequency_hz / SPEED_OF_LIGHT_M_PER_S
    reply = np.moveaxis(reply_magnetic_field_t(problem, currents)[0], 0, -1)[inside]
    found = reply + magnetic_field_t_per_a(centres[inside], vertices, wavenumber)
    return np.linalg.norm(found - exact) / np.linalg.norm(exact)


def _far_field(wavenumber_per_m, directions, positions_m, moments):
    """Sum of current moments (n, 3) [A m] as seen from far away in each direction, across it, (directions, 3)."""
    phase = np.exp(1j * wavenumber_per_m * directions @ positions_m.T)
    seen = phase @ moments
    return seen - np.sum(seen * directions, axis=1)[:, None] * directions


def change_of_radiation_ohm(problem, loop, currents) -> float:
    """Radiation resistance of loop and body together less that of the loop alone, by the far field of the currents."""
    faces = problem.faces
    omega = 2 * np.pi * faces.frequency_hz
    k = omega / SPEED_OF_LIGHT_M_PER_S
    cosines, weights = np.polynomial.legendre.leggauss(10)
    phi = np.pi * np.arange(20) / 10
    sine = np.sqrt(1 - cosines**2)[:, None]
    directions = np.stack(
        [sine * np.cos(phi), sine * np.sin(phi), np.broadcast_to(cosines[:, None], (10, 20))], axis=-1
    ).reshape(-1, 3)
    solid_angle = np.repeat(weights * 2 * np.pi / 20, 20)
    moments = np.zeros((len(currents), 3), dtype=complex)
    moments[np.arange(len(currents)), faces.families()] = currents * 1j * omega * epsilon_0 * faces.spacing_m**3
    alone = _far_field(k, directions, *loop.quadrature(720))
    together = alone + _far_field(k, directions, faces.centres_m(), moments)
    # power into a direction: eta k^2 |moment|^2 / (32 pi^2); resistance is twice the power per ampere squared
    scale = mu_0 * SPEED_OF_LIGHT_M_PER_S * k**2 / (16 * np.pi**2)
    return scale * float(np.sum(solid_angle[:, None] * (np.abs(together) ** 2 - np.abs(alone) ** 2)))
