"""GMRES against a direct solution, row by row."""

import numpy as np
import pytest

from loopwright.fields.body.array_library import processor_library
from loopwright.fields.body.krylov import gmres


@pytest.fixture(scope="module")
def system():
    rng = np.random.default_rng(11)
    n, rows = 120, 3
    matrix = np.eye(n) + 0.4 * (rng.normal(size=(n, n)) + 1j * rng.normal(size=(n, n))) / np.sqrt(n)
    return matrix.astype(np.complex64), (rng.normal(size=(rows, n)) + 0j).astype(np.complex64)


def solve(system, tolerance, most=100):
    matrix, right = system
    told = []
    found = gmres(
        lambda rows: rows @ matrix.T,
        right,
        relative_residual=tolerance,
        most_products=most,
        on_product=told.append,
        library=processor_library(),
    )
    return found, told


def test_solves_every_row(system):
    matrix, right = system
    found, told = solve(system, 1e-5)
    exact = np.linalg.solve(matrix.astype(np.complex128), right.T).T
    assert np.linalg.norm(found.solutions - exact) < 3e-5 * np.linalg.norm(exact)
    assert sum(told) == found.products.sum()


def test_reports_the_true_residual(system):
    matrix, right = system
    found, _ = solve(system, 1e-3)
    true = np.linalg.norm(right - found.solutions @ matrix.T, axis=1) / np.linalg.norm(right, axis=1)
    assert found.relative_residuals == pytest.approx(true, rel=1e-2)
    assert np.all(found.relative_residuals <= 1e-3)


def test_stops_at_the_limit_and_says_so(system):
    found, _ = solve(system, 1e-6, most=3)
    assert found.steps == 3
    assert np.all(found.relative_residuals > 1e-6)


def test_a_row_does_not_depend_on_its_company(system):
    matrix, right = system
    together, _ = solve(system, 1e-4)
    alone, _ = solve((matrix, right[1:2]), 1e-4)
    assert alone.products[0] == together.products[1]
    assert np.allclose(alone.solutions[0], together.solutions[1], rtol=0, atol=1e-5)


def test_a_field_of_zero_has_no_current(system):
    matrix, right = system
    found, _ = solve((matrix, 0 * right), 1e-4)
    assert not found.solutions.any()
