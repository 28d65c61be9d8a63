"""The body solver against the exact multipole series of uniform and layered spheres.

The table is that of six prototype schemes measured before the solver was written (uniform sphere of 0.1 m, eps_r 60,
0.6 S/m; loop of 40 mm radius, nearest wire 10 mm off the surface): the best scheme's rows are to be reproduced or
beaten. It is printed to a tenth of a per cent, so half of that is what a row may miss by.
"""

import numpy as np
import pytest

from body_cases import change_of_radiation_ohm, polygon_of, solved, sphere_errors, voxel_sphere
from exact.cases import layered_case, uniform_case
from exact.loops import coax_loop, side_loop
from exact.spheres import noise_resistance_ohm as exact_noise_resistance_ohm
from exact.spheres import radiation_resistance_ohm
from loopwright.fields.body.excitation import impressed_field_of_loops_v_per_m
from loopwright.fields.body.reply import faces_of
from loopwright.fields.body.solver import noise_resistance_ohm, reaction_impedance_ohm

LOOPS = {"coax": coax_loop(), "side": side_loop()}
PRINTED = 5e-4

#: loop, MHz, voxel in mm: power, E in the core, B (per cent)
ROWS = [
    ("coax", 64, 10, 2.7, 0.5, 0.4),
    ("coax", 64, 5, 0.3, 0.2, 0.2),
    ("side", 64, 10, 1.2, 1.0, 0.4),
    ("side", 64, 5, 0.3, 0.4, 0.2),
    ("coax", 128, 5, 0.2, 0.2, 0.3),
    ("side", 128, 5, 0.4, 0.5, 0.4),
    ("coax", 298, 10, 2.2, 1.6, 3.2),
    ("coax", 298, 5, 0.3, 0.3, 1.0),
    ("side", 298, 10, 2.8, 2.8, 3.1),
    ("side", 298, 5, 1.1, 1.3, 1.3),
]


@pytest.mark.parametrize(("loop", "megahertz", "voxel_mm", "power", "electric", "magnetic"), ROWS)
def test_uniform_sphere(loop, megahertz, voxel_mm, power, electric, magnetic):
    found = sphere_errors(LOOPS[loop], uniform_case(), voxel_m=voxel_mm / 1e3, frequency_hz=megahertz * 1e6)
    assert abs(found.power) <= power / 100 + PRINTED
    assert found.electric <= electric / 100 + PRINTED
    assert found.magnetic <= magnetic / 100 + PRINTED


@pytest.mark.parametrize("loop", ["coax", "side"])
@pytest.mark.parametrize("layers", ["mf", "sfm"])
def test_layered_sphere(layers, loop):
    """10 mm of fat over muscle; 2 mm of skin, 8 mm of fat, muscle: within 1 % in power and in B."""
    found = sphere_errors(LOOPS[loop], layered_case(layers, 128), voxel_m=5e-3, frequency_hz=127.74e6)
    assert abs(found.power) < 0.01
    assert found.magnetic < 0.01


@pytest.fixture(scope="module", params=[64e6, 298e6], ids=["64 MHz", "298 MHz"])
def four_loops(request):
    """Four loops in different places beside the sphere: exact loops, problem, impressed fields, currents."""
    frequency_hz = request.param
    loops = [coax_loop(), side_loop(), coax_loop(axis=(1, 0.3, -0.2)), coax_loop(axis=(-0.4, -1, 0.5), gap_m=0.02)]
    body = voxel_sphere(uniform_case(), voxel_m=5e-3, frequency_hz=frequency_hz)
    faces = faces_of(body)
    impressed = impressed_field_of_loops_v_per_m(faces, [polygon_of(loop) for loop in loops])
    problem, solution = solved(body, impressed, relative_residual=1e-4)
    return loops, problem, impressed.astype(complex), solution.solutions.astype(complex)


def test_impedance_is_reciprocal_as_it_comes(four_loops):
    _, problem, impressed, currents = four_loops
    z = reaction_impedance_ohm(problem, impressed, currents)
    size = np.sqrt(np.abs(np.diag(z)))
    assert np.max(np.abs(z - z.T) / np.outer(size, size)) <= 1e-4


def test_absorbed_power_is_the_reaction_less_the_change_of_radiation(four_loops):
    """Radiation with and without the sphere, from the far field of the very same currents.

    On edge at 298 MHz the change is more than a third of the absorbed power.
    """
    loops, problem, impressed, currents = four_loops
    reaction = np.diag(reaction_impedance_ohm(problem, impressed, currents)).real
    absorbed = np.diag(noise_resistance_ohm(problem, currents)).real
    change = [change_of_radiation_ohm(problem, *pair) for pair in zip(loops, currents, strict=True)]
    assert reaction - change == pytest.approx(absorbed, rel=2e-3)


def test_radiation_with_the_sphere(four_loops):
    """The same far field against the exact series."""
    loops, problem, _, currents = four_loops
    with_body, without = radiation_resistance_ohm(loops, uniform_case(), problem.faces.frequency_hz)
    change = [change_of_radiation_ohm(problem, *pair) for pair in zip(loops, currents, strict=True)]
    scale = np.diag(with_body).real
    assert np.max(np.abs(change - np.diag(with_body - without).real) / scale) < 0.03


def test_noise_resistance_matrix(four_loops):
    loops, problem, _, currents = four_loops
    exact = exact_noise_resistance_ohm(loops, uniform_case(), problem.faces.frequency_hz)
    found = noise_resistance_ohm(problem, currents)
    size = np.sqrt(np.diag(exact).real)
    assert np.max(np.abs(found - exact) / np.outer(size, size)) < 0.015
    assert np.max(np.abs(found - found.conj().T)) < 1e-6 * np.max(np.abs(found))
