"""The static solution against a direct solution of the same sparse equations, and what it spares GMRES."""

from dataclasses import replace

import numpy as np
import pytest
import scipy.sparse
import scipy.sparse.linalg

from body_cases import gel
from loopwright.bodies import layered_sphere, place, voxelise
from loopwright.brief.records import HeadRequest, TrunkRequest
from loopwright.fields.body.array_library import plain_library, processor_library
from loopwright.fields.body.excitation import impressed_field_of_loops_v_per_m
from loopwright.fields.body.reply import faces_of
from loopwright.fields.body.solver import noise_resistance_ohm, reply_currents, volume_problem
from loopwright.fields.body.static_solution import static_solution
from loopwright.ground.errors import NotConvergedError
from wire_cases import equal_area_polygon

LAYERS = (gel(65, 0.5, "skin"), gel(5.9, 0.036, "fat"), gel(64, 0.72, "muscle"))


@pytest.fixture(scope="module")
def faces():
    solid = layered_sphere(0.06, tissue_names=("skin", "fat", "muscle"), thicknesses_m=(0.002, 0.008))
    return faces_of(voxelise(solid, spacing_m=6e-3, tissues=LAYERS, frequency_hz=123.2e6))


def rows_of(faces, count):
    rng = np.random.default_rng(5)
    shape = (count, len(faces.index))
    return (rng.standard_normal(shape) + 1j * rng.standard_normal(shape)).astype(np.complex64)


def directly(faces, row):
    """J = eps b - (eps - 1) G phi with (G^T eps G + air) phi = G^T eps b, by elimination."""
    low, high = (
        np.ravel_multi_index((part + 1).T, tuple(n + 2 for n in faces.face_shape)) for part in faces.voxels_beside()
    )
    voxels, place = np.unique(np.concatenate([low, high]), return_inverse=True)
    number = np.arange(len(low))
    signs = np.repeat([-1.0, 1.0], len(low))
    gradient = scipy.sparse.csr_array((signs, (np.tile(number, 2), place)), (len(low), len(voxels)))
    eps = faces.permittivity
    air = 6 - np.bincount(place)
    matrix = gradient.T @ scipy.sparse.diags_array(eps) @ gradient + scipy.sparse.diags_array(1.0 * air)
    potential = scipy.sparse.linalg.spsolve(matrix.tocsc(), gradient.T @ (eps * row))
    return eps * row - (eps - 1) * (gradient @ potential)


def test_nearly_solves_the_static_equation(faces):
    row = rows_of(faces, 1)
    exact = directly(faces, row[0].astype(complex))
    found = static_solution(faces)(row)[0]
    # The potential is good to 1/eps, so the currents, which are small beside eps b, to a part of themselves.
    assert np.linalg.norm(found - exact) < 0.05 * np.linalg.norm(exact)


def test_is_linear(faces):
    solution = static_solution(faces)
    rows = rows_of(faces, 2)
    together = solution(rows[:1] + 2j * rows[1:])
    apart = solution(rows)
    assert np.linalg.norm(together - apart[:1] - 2j * apart[1:]) < 1e-5 * np.linalg.norm(together)


def loop_over_the_sphere(faces):
    return impressed_field_of_loops_v_per_m(faces, [equal_area_polygon(0.03, 12, centre_m=(0.01, 0, 0.075))])


def without_help():
    return replace(processor_library(), nearly_solved=plain_library(np, memory_b=1).nearly_solved, stop_at=1.0)


def solved(faces, library, impressed):
    problem = volume_problem(faces, library)
    return problem, reply_currents(problem, impressed, relative_residual=1e-4, on_product=lambda _count: None)


def test_same_currents_for_a_fraction_of_the_products(faces):
    impressed = loop_over_the_sphere(faces)
    helped, alone = (solved(faces, library, impressed)[1] for library in (processor_library(), without_help()))
    assert np.linalg.norm(helped.solutions - alone.solutions) < 2e-4 * np.linalg.norm(alone.solutions)
    assert helped.steps < alone.steps / 3
    assert helped.solutions.dtype == np.complex64  # a graphics processor takes nothing else


@pytest.mark.filterwarnings("ignore::RuntimeWarning")
@pytest.mark.parametrize(
    "garbage",
    [
        lambda rows: np.where(np.arange(rows.shape[1]) % 3, rows, 0),  # a third of the faces never carries current
        lambda rows: rows * np.complex64("nan"),
    ],
)
def test_rows_that_do_not_converge_are_solved_without_it(faces, garbage):
    impressed = loop_over_the_sphere(faces)
    broken = replace(processor_library(), nearly_solved=lambda _faces: garbage)
    found = solved(faces, broken, impressed)[1]
    alone = solved(faces, without_help(), impressed)[1]
    assert np.all(found.relative_residuals <= 1e-4)
    assert np.linalg.norm(found.solutions - alone.solutions) < 1e-6 * np.linalg.norm(alone.solutions)
    assert np.all(found.products > alone.products)  # what was in vain is counted


@pytest.mark.filterwarnings("ignore::RuntimeWarning")
def test_what_is_not_a_number_never_passes_for_solved(faces):
    nowhere = np.full((1, len(faces.index)), np.nan, dtype=np.complex64)
    with pytest.raises(NotConvergedError):
        solved(faces, processor_library(), nowhere)


BODIES = {
    "head, scalp, skull and fluid": HeadRequest(age="1 year", voxel_m=12e-3),
    "trunk with lungs": TrunkRequest(age="5 years", voxel_m=16e-3),
}


@pytest.mark.parametrize("request_of_body", BODIES.values(), ids=BODIES.keys())
def test_helps_in_stylised_bodies_and_changes_no_resistance(request_of_body):
    body = place(request_of_body, frequency_hz=123.2e6)
    faces = faces_of(body)
    beside = body.grid.centre_points_m()[body.voxel_cover() > 0].max(axis=0)[0] + 0.02
    loops = [equal_area_polygon(0.04, 12)[:, [2, 0, 1]] + (beside, 0, along) for along in (0.0, 0.03)]
    impressed = impressed_field_of_loops_v_per_m(faces, loops)
    (problem, helped), (_, alone) = (
        solved(faces, library, impressed) for library in (processor_library(), without_help())
    )
    ours, plain = (noise_resistance_ohm(problem, one.solutions).real for one in (helped, alone))
    assert np.all(np.abs(ours - plain) < 1e-3 * np.diag(plain).min())
    assert helped.steps < alone.steps / 2
