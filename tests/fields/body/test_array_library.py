"""Batches, as a GPU solves them, against the processor's row by row; and what is said where there is no GPU."""

import sys
from dataclasses import replace

import numpy as np
import pytest

from body_cases import gel
from loopwright.bodies import layered_sphere, voxelise
from loopwright.fields.body.array_library import array_library, plain_library, processor_library
from loopwright.fields.body.excitation import impressed_field_of_loops_v_per_m
from loopwright.fields.body.reply import faces_of
from loopwright.fields.body.solver import (
    reply_currents,
    reply_magnetic_field_in_t,
    reply_magnetic_field_t,
    volume_problem,
)
from loopwright.ground.device import Device
from loopwright.ground.errors import DeviceError
from wire_cases import equal_area_polygon

ROWS = 3


@pytest.fixture(scope="module")
def case():
    solid = layered_sphere(0.05, tissue_names=("gel",), thicknesses_m=())
    faces = faces_of(voxelise(solid, spacing_m=1e-2, tissues=(gel(60, 0.6),), frequency_hz=123.2e6))
    loops = [equal_area_polygon(0.03, 12, centre_m=(0.01 * i, 0, 0.065)) for i in range(ROWS)]
    return faces, impressed_field_of_loops_v_per_m(faces, loops)


def solved(case, library):
    faces, impressed = case
    problem = volume_problem(faces, library)
    found = reply_currents(problem, impressed, relative_residual=1e-3, on_product=lambda _count: None)
    return problem, found


@pytest.mark.parametrize("memory_b", [2**34, 1], ids=["all at once", "one at a time"])
def test_batches_give_the_currents_of_single_rows(case, memory_b):
    plain = plain_library(np, memory_b=memory_b)
    row_by_row = replace(processor_library(), nearly_solved=plain.nearly_solved, stop_at=plain.stop_at)
    _, alone = solved(case, row_by_row)
    problem, together = solved(case, plain)
    assert (problem.rows_together >= ROWS) == (memory_b > 1)
    assert np.linalg.norm(together.solutions - alone.solutions) < 1e-4 * np.linalg.norm(alone.solutions)
    assert np.max(np.abs(together.products - alone.products)) <= 1


def crowded(rows_held):
    """Library whose memory is said to hold everything, and holds so many rows."""
    library = plain_library(np, memory_b=2**40)

    def reply(lines, factors, columns):
        if lines[0].shape[1] > rows_held:
            raise MemoryError
        return library.reply(lines, factors, columns)

    return replace(library, reply=reply)


def test_a_batch_beyond_the_memory_is_solved_in_parts(case):
    _, whole = solved(case, plain_library(np, memory_b=2**40))
    _, parts = solved(case, crowded(1))
    assert np.linalg.norm(parts.solutions - whole.solutions) < 1e-4 * np.linalg.norm(whole.solutions)


def test_says_that_one_row_is_too_much(case):
    with pytest.raises(DeviceError, match="larger voxels"):
        solved(case, crowded(0))


def test_no_batch_has_more_places_than_32_bits_count(case):
    faces, _ = case
    problem = volume_problem(faces, plain_library(np, memory_b=2**60))
    places = 3 * problem.rows_together * int(np.prod(problem.kernel.padded_shape))
    assert 2**30 < places < 2**31


def test_batches_give_the_magnetic_fields_of_single_rows(case):
    here, found = solved(case, processor_library())
    there = volume_problem(case[0], plain_library(np, memory_b=2**34))
    expected = reply_magnetic_field_t(here, found.solutions)
    assert np.allclose(
        reply_magnetic_field_t(there, found.solutions), expected, rtol=0, atol=2e-6 * np.abs(expected).max()
    )


@pytest.mark.parametrize("memory_b", [2**34, 1], ids=["all at once", "one at a time"])
def test_magnetic_fields_of_some_voxels_are_those_of_the_whole_grid(case, memory_b):
    problem, found = solved(case, plain_library(np, memory_b=memory_b))
    whole = reply_magnetic_field_t(problem, found.solutions)
    some = np.random.default_rng(2).random(whole.shape[2:]) < 0.3
    assert np.array_equal(reply_magnetic_field_in_t(problem, found.solutions, some), whole[..., some])


def test_a_long_sum_keeps_its_digits():
    """Ones of 400 000 terms: single precision, one term after the other, is off in the fourth digit."""
    vector = np.full((1, 400_000), 0.1, dtype=np.complex64)
    found = processor_library().overlaps(vector[:, None], vector)[0, 0]
    assert found == pytest.approx(vector.size * float(np.float32(0.1)) ** 2, rel=1e-6)


def test_without_cupy_the_remedy_is_told(monkeypatch):
    monkeypatch.setitem(sys.modules, "cupy", None)
    with pytest.raises(DeviceError, match=r"needs CuPy.*Remedy: .*--device cpu"):
        array_library(Device.GPU)
