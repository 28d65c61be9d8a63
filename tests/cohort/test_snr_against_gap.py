"""A stiff shell worn at a gap: its SNR is the one that exact multipoles give at that distance, and falls with it.

The patient is a sphere of triangles; the shell was formed on a larger sphere, so all of its elements are off by the
difference of the radii.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from exact.loops import Polygon
from exact.spheres import LayeredSphere, noise_resistance_ohm
from exact.ultimate import optimum_snr, reception_of_loops
from loopwright import bodies, conductors, fields, job
from loopwright.bodies.solids import layered_surface
from loopwright.bodies.voxels import voxelise
from loopwright.brief import read_brief
from loopwright.cohort import put_on
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent
from triangle_cases import ball

RADIUS_M, VOXEL_M = 0.060, 0.005
GAPS_M = (0.0, 0.005, 0.010, 0.020)
BRIEF = """\
title: A shell round a ball
scanner: {{proton_frequency: 123.2 MHz}}
body:
  shape: sphere
  radius: {radius_mm} mm
  voxel: 5 mm
  material: {{name: saline, permittivity: 60, conductivity: 0.6 S/m}}
array:
  tiling: {{pattern: hexagonal, shape: circle, count: 6, size: 70 mm, span: whole, stand_off: 6 mm, gaps: 4}}
conductor: {{kind: flat strip, width: 4 mm, thickness: 35 um}}
imaging: {{voxel_volume: 8 mm^3}}
"""


@cache
def worn(gap_m):
    """Optimum sensitivity found and exact, at voxels deeper than two, and their depths."""
    brief = read_brief(BRIEF.format(radius_mm=1e3 * (RADIUS_M + gap_m)), "shell.yaml")
    means = Means(progress=Silent(), store=Forgetful())
    frequency_hz = brief.scanner.frequency_hz
    shell = bodies.place(brief.body, frequency_hz=frequency_hz)
    patient = voxelise(
        layered_surface(ball(RADIUS_M, 4), tissue_names=["ball"]),
        spacing_m=VOXEL_M,
        tissues=bodies.tissues_of(brief.body, frequency_hz=frequency_hz),
        frequency_hz=frequency_hz,
    )
    dressed = job.dressed_array(brief, shell, shell, means)
    on = put_on(dressed.layout, laid_on=shell.solid, patient=patient.solid, rest="centre", give_m=0.5e-3)
    dressed = replace(dressed, layout=on.layout)
    driven = job.driven_array(brief, dressed, fields.Excitation.LOOP_MODE)
    found = job.answers_on(brief, patient, driven, means)
    points = patient.grid.centre_points_m()
    depth = RADIUS_M - np.linalg.norm(points, axis=-1)
    deep = depth > 2 * VOXEL_M
    return (
        on,
        depth[deep],
        found.quality.sensitivity_t_per_a_sqrt_ohm[deep],
        exact_sensitivity(dressed, found.array, points[deep], brief),
    )


def exact_sensitivity(dressed, array, points_m, brief):
    """Multipoles of the elements as polygons, with conductor, capacitors and joints at their temperature."""
    frequency_hz = brief.scanner.frequency_hz
    sphere = LayeredSphere.uniform(RADIUS_M, 60.0, 0.6)
    loops = [Polygon(vertices_m=element.vertices_m) for element in dressed.layout.elements]
    omega = 2 * np.pi * frequency_hz
    per_metre = conductors.resistance_ohm_per_m(dressed.cross_section, frequency_hz)
    length = [np.linalg.norm(np.roll(one.vertices_m, -1, axis=0) - one.vertices_m, axis=1).sum() for one in
              dressed.layout.elements]  # fmt: skip
    capacitors = omega * np.array([element.inductance_h for element in array.elements]) / dressed.capacitor_q
    losses = per_metre * np.array(length) + capacitors + dressed.other_series_resistance_ohm
    warmth = array.temperatures.coil_temperature_k / array.temperatures.body_temperature_k
    noise = noise_resistance_ohm(loops, sphere, frequency_hz) + warmth * np.diag(losses)
    return optimum_snr(reception_of_loops(loops, sphere, frequency_hz, points_m, sense=1), noise)


@pytest.mark.parametrize("gap_m", GAPS_M)
def test_the_shell_stands_off_by_its_gap(gap_m):
    on = worn(gap_m)[0]
    assert np.median(on.gap_m) == pytest.approx(gap_m, abs=0.1e-3)


@pytest.mark.parametrize("gap_m", GAPS_M)
def test_snr_at_a_gap_is_that_of_exact_multipoles(gap_m):
    _, _, found, exact = worn(gap_m)
    assert np.max(np.abs(found / exact - 1)) < 0.004


@pytest.mark.parametrize("depth_m", [0.015, 0.030, RADIUS_M])
def test_snr_falls_with_the_gap(depth_m):
    """Near the skin, half-way, centre: means of the voxels within a voxel of each depth."""
    at = []
    for gap_m in GAPS_M:
        _, depth, found, exact = worn(gap_m)
        there = np.abs(depth - depth_m) < VOXEL_M
        at.append((found[there].mean(), exact[there].mean()))
    found, exact = np.array(at).T
    assert np.all(np.diff(found) < 0)
    assert found / found[0] == pytest.approx(exact / exact[0], abs=0.002)
