from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from scipy.constants import c, pi
from scipy.integrate import dblquad

import wire_kernel_reference
from loopwright.fields.wires.closeness import conductor_distances_m, kernel_radii_m
from loopwright.fields.wires.impedance import WireMesh
from loopwright.fields.wires.kernel_numba import fill_matrices
from wire_cases import equal_area_polygon, first_nodes, inductances_h, mesh, square

K_298_MHZ = 2 * pi * 298.03e6 / c


def fill(wires: WireMesh, k):
    return fill_matrices(
        wires.vertices_m,
        wires.first_node,
        magnetic_radius_m=wires.magnetic_radius_m,
        electric_radius_m=wires.electric_radius_m,
        wavenumber_per_m=k,
    )


def crossing_rings(segments, radius_m, gap_m=0.2e-3):
    """Two overlapped 80 mm rings under the rule of the package."""
    polygons = [equal_area_polygon(0.04, segments), equal_area_polygon(0.04, segments, centre_m=(0.0607, 0, gap_m))]
    found = mesh(polygons, radius_m)
    distance = conductor_distances_m(found.vertices_m, found.steps_m, found.first_node)
    magnetic, electric = kernel_radii_m(np.full(2, radius_m), distance)
    return WireMesh(
        vertices_m=found.vertices_m,
        first_node=found.first_node,
        magnetic_radius_m=magnetic,
        electric_radius_m=electric,
    )


@pytest.mark.parametrize("k", [0.0, K_298_MHZ])
def test_compiled_fill_equals_the_numpy_reference(k):
    tilt = np.linalg.qr(np.random.default_rng(3).normal(size=(3, 3)))[0]
    polygons = [
        equal_area_polygon(0.04, 12),
        equal_area_polygon(0.04, 9, centre_m=(0.0607, 0, 0.4e-3)),
        square(0.05, 3, centre_m=(0.02, 0.01, 0.02)) @ tilt,
    ]
    magnetic = np.diag([1e-3, 1e-3, 0.5e-3])
    electric = magnetic + 1e-3 * np.array([[0, 1, 0], [1, 0, 0], [0, 0, 0]])
    found = fill_matrices(
        np.concatenate(polygons),
        first_nodes(polygons),
        magnetic_radius_m=magnetic,
        electric_radius_m=electric,
        wavenumber_per_m=k,
    )
    for ours, reference in zip(found, wire_kernel_reference.matrices(polygons, magnetic, electric, k), strict=True):
        assert np.abs(ours - reference).max() <= 1e-12 * np.abs(reference).max()


def test_crossing_pair_by_brute_force():
    """Mean of 1/(4 pi R) over two segments that cross 0.2 mm apart, where 12 Gauss points are 10 % wrong."""
    polygons = [
        np.array([[-3e-3, 0, 0], [3e-3, 0, 0], [0, 30e-3, 0]]),
        np.array([[1e-3, -2e-3, 0.2e-3], [-0.5e-3, 4e-3, 0.2e-3], [40e-3, 0, 10e-3]]),
    ]
    _, potential = fill(mesh(polygons, 0.5e-3), 0.0)
    (a, p), (b, q) = (((v := polygons[i])[0], v[1] - v[0]) for i in range(2))

    def integrand(s, t):
        return 1 / (4 * pi * np.linalg.norm(a + s * p - b - t * q))

    # Where they cross: split there, so that the adaptive rule sees the peak.
    expected = sum(
        dblquad(integrand, *ts, *ss, epsabs=0, epsrel=1e-6)[0]
        for ts in ((0, 1 / 3), (1 / 3, 1))
        for ss in ((0, 7 / 12), (7 / 12, 1))
    )
    assert potential[0, 3].real == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize("segments", [24, 48, 96])
@pytest.mark.parametrize("radius_m", [0.5e-3, 1.25e-3])
def test_potential_matrix_is_positive_definite_at_crossings(segments, radius_m):
    _, potential = fill(crossing_rings(segments, radius_m), 0.0)
    values = np.linalg.eigvalsh(potential.real)
    assert values[0] > 1e-3 * values[-1]


def test_sharper_mutual_kernel_would_make_the_potential_matrix_indefinite():
    """Why close pairs share the radius in the electric part: without, this eigenvalue is negative."""
    wires = crossing_rings(96, 1.25e-3)
    bare = mesh(np.split(wires.vertices_m, 2), 1.25e-3, shared_radius_m=0.2e-3)
    _, potential = fill(bare, 0.0)
    values = np.linalg.eigvalsh(potential.real)
    assert values[0] < -0.01 * values[-1]


def test_matrices_are_symmetric():
    for matrix in fill(crossing_rings(24, 1.25e-3), K_298_MHZ):
        assert np.abs(matrix - matrix.T).max() <= 1e-15 * np.abs(matrix).max()


def test_fill_repeats_itself_bit_by_bit_from_several_threads():
    rings = mesh([equal_area_polygon(0.04, 24, centre_m=(0.061 * i, 0, 0)) for i in range(6)], 1e-3)
    once = fill(rings, K_298_MHZ)
    with ThreadPoolExecutor(3) as pool:
        for again in pool.map(lambda _: fill(rings, K_298_MHZ), range(6)):
            assert all(np.array_equal(x, y) for x, y in zip(once, again, strict=True))


@pytest.mark.parametrize("gap_m", [20e-3, 5e-3, 2e-3])
def test_mutual_kernel_without_radius_is_that_of_filaments(gap_m):
    """Thick or thin wire, the mutual inductance of separate rings is the same; a shared radius would move it by 1 %."""
    rings = [equal_area_polygon(0.04, 48), equal_area_polygon(0.04, 48, centre_m=(0, 0, gap_m))]
    assert inductances_h(rings, 1e-3)[0, 1] == pytest.approx(inductances_h(rings, 0.1e-3)[0, 1], rel=1e-14)
