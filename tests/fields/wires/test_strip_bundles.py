"""Strips as bundles of filaments in three dimensions."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.constants import c, mu_0, pi
from scipy.optimize import brentq

from loopwright.conductors import FILAMENTS, FlatStrip, PrintedStrip, RoundWire, filament_offsets_m, filament_radii_m
from loopwright.fields import Excitation, array_sources
from loopwright.fields.body.sources import incident_magnetic_field_t
from loopwright.fields.wires import array_wires, bundled_elements, solve_network, wire_limits
from loopwright.fields.wires.kernel_numba import fill_matrices
from loopwright.fields.wires.port_network import solve_wires
from loopwright.fields.wires.strip_lines import filament_lines_m, surface_normals
from wire_arrays import COPPER, dressed
from wire_cases import coaxial_mutual_inductance_h, equal_area_polygon, square

F = 127.7e6


def strip(width_m):
    return FlatStrip(width_m=width_m, thickness_m=35e-6, conductivity_s_per_m=COPPER)


def all_bundled(array):
    return range(len(array.layout.elements))


def solve(array, bundled, frequency_hz=F):
    wires = array_wires(array, bundled=bundled)
    return solve_wires(array, wires, frequency_hz, band_fraction=0.04, frequency_count=1)


def rings(*centres_m, segments=24, section=None, gaps=4):
    polygons = [equal_area_polygon(0.04, segments, centre_m=centre) for centre in centres_m]
    return dressed(polygons, section=section or strip(5e-3), gaps=gaps)


def test_strips_side_by_side_or_stacked_become_bundles():
    apart, close, over, away = (0, 0, 0), (0.0858, 0, 0), (0, 0, 4e-3), (0.3, 0, 0)
    assert bundled_elements(rings(apart, close, away)) == (0, 1)  # 6 mm apart where nearest, within 10 mm for 24 mm
    assert bundled_elements(rings(apart, (0.0885, 0, 0))) == ()  # 8.5 mm, within 10 mm for 15 mm
    assert bundled_elements(rings(apart, (0, 0, 9e-3))) == (0, 1)  # within 10 mm all along
    assert bundled_elements(rings(apart, (0, 0, 11e-3))) == ()
    assert bundled_elements(rings(away, apart, over)) == (1, 2)
    assert bundled_elements(rings(apart, (0.061, 0, 0.2e-3))) == ()  # crossing, not in line
    wire = RoundWire(diameter_m=5e-3, conductivity_s_per_m=COPPER)
    assert bundled_elements(rings(apart, over, section=wire)) == ()


def test_strip_that_folds_over_itself_at_its_bends_stays_one_wire_and_says_so():
    small = [square(0.012, 4), square(0.012, 4, centre_m=(0, 0, 2e-3))]
    array = dressed(small, section=strip(8e-3))
    assert bundled_elements(array) == ()
    assert any("one thin wire each" in sentence for sentence in wire_limits(array, F))


def test_limits_tell_which_elements_are_bundles():
    (told,) = wire_limits(rings((0, 0, 0), (0.2, 0, 0), (0, 0, 4e-3), section=printed(5e-3)), F)
    assert told.startswith("E01 and E03 run beside or over")
    tight = wire_limits(rings((0, 0, 0), (0, 0, 0.2e-3), section=printed(5e-3)), F)
    assert any("less than a tenth of their width apart" in sentence for sentence in tight)


def printed(width_m):
    return PrintedStrip(width_m=width_m, thickness_m=20e-6, conductivity_s_per_m=COPPER / 7)


#: Annular strips 80 mm across: by how much one wire of a quarter of the width has too much inductance. [%]
ANNULAR = ((2e-3, 0.08), (5e-3, 0.37), (8e-3, 0.91), (10e-3, 1.4))


@pytest.mark.parametrize(("width_m", "percent"), ANNULAR)
def test_lone_annular_strip_as_a_bundle(width_m, percent):
    array = rings((0, 0, 0), section=strip(width_m))
    wire, bundle = (solve(array, bundled).loop_impedance_ohm[0, 0] for bundled in ((), (0,)))
    assert 100 * (wire.imag / bundle.imag - 1) == pytest.approx(percent, abs=0.2)
    # The inner edge carries more than the outer one and adds a little loss; the prototype's shares were the same.
    assert 1 <= bundle.real / wire.real < 1.02


def test_inner_edge_of_an_annular_strip_carries_as_much_more_as_coaxial_rings():
    """Exact rings of the same radii, by Maxwell's mutual inductances and ln(8R/a) - 2: 1.4 times the outer edge's."""
    radii_m, wire_m = 0.04 + filament_offsets_m(5e-3), filament_radii_m(5e-3)
    apart = ~np.eye(FILAMENTS, dtype=bool)
    coupled_h = np.diag(mu_0 * radii_m * (np.log(8 * radii_m / wire_m) - 2))
    first, second = np.broadcast_arrays(radii_m[:, None], radii_m)
    coupled_h[apart] = coaxial_mutual_inductance_h(first[apart], second[apart], 0.0)
    expected = np.linalg.solve(coupled_h, np.ones(FILAMENTS))
    network = solve(rings((0, 0, 0), section=strip(5e-3)), (0,))
    share = (network.node_current @ np.ones(4)).reshape(FILAMENTS, 24)[:, 3].real
    assert share.sum() == pytest.approx(1, abs=0.02)
    assert share / share.sum() == pytest.approx(expected / expected.sum(), rel=0.01)
    assert share[0] / share[-1] == pytest.approx(1.41, abs=0.01)


@pytest.mark.parametrize(("width_m", "zero"), [(2e-3, 0.7579), (5e-3, 0.7547), (8e-3, 0.7498), (10e-3, 0.7457)])
def test_zero_coupling_of_strip_circles(width_m, zero):
    def mutual_ohm(spacing):
        array = rings((0, 0, 0), (spacing * 0.08, 0, 0.2e-3), segments=48, section=strip(width_m))
        return solve(array, (0, 1), 1e6).loop_impedance_ohm[0, 1].imag

    assert brentq(mutual_ohm, 0.74, 0.77, xtol=2e-4) == pytest.approx(zero, abs=4e-4)


@pytest.mark.parametrize(("width_m", "zero"), [(2e-3, 0.899), (5e-3, 0.884)])
def test_zero_coupling_of_strip_squares(width_m, zero):
    def mutual_ohm(spacing):
        polygons = [square(0.08, 10), square(0.08, 10, centre_m=(spacing * 0.08, 0, 0.2e-3))]
        return solve(dressed(polygons, section=strip(width_m)), (0, 1), 1e6).loop_impedance_ohm[0, 1].imag

    assert brentq(mutual_ohm, 0.86, 0.93, xtol=3e-4) == pytest.approx(zero, abs=1.5e-3)


#: Stacked strips 5 mm x 20 um of ink, 127.7 MHz, there and back: height over width, ohm per metre of each strip by the
#: two-dimensional solution of tests/conductors/cross_section_solution.py.
STACKED = ((0.2, 1.6850 + 77.010j), (0.5, 1.9570 + 153.829j), (1.0, 2.1733 + 237.619j))


@pytest.mark.parametrize(("height", "expected_ohm_per_m"), STACKED)
def test_stacked_loops_equal_the_two_dimensional_pair(height, expected_ohm_per_m):
    """Equal and opposite currents in two stacked rings: all but straight, 80 mm across and 1 to 5 mm apart."""
    array = rings((0, 0, 0), (0, 0, height * 5e-3), section=printed(5e-3))
    assert bundled_elements(array) == (0, 1)
    z = solve_network(array, F, band_fraction=0.04, frequency_count=1).loop_impedance_ohm
    corners = equal_area_polygon(0.04, 24)
    around_m = 24 * np.linalg.norm(corners[1] - corners[0])
    found = (z[0, 0] + z[1, 1] - 2 * z[0, 1]) / 2 / around_m
    assert found.imag == pytest.approx(expected_ohm_per_m.imag, rel=0.01)
    assert found.real == pytest.approx(expected_ohm_per_m.real, rel=0.045 if height < 0.5 else 0.02)


def test_single_wires_would_make_that_inductance_negative():
    array = rings((0, 0, 0), (0, 0, 1e-3), section=printed(5e-3))
    z = solve(array, ()).loop_impedance_ohm
    assert (z[0, 0] + z[1, 1] - 2 * z[0, 1]).imag < 0


def test_ports_of_bundles_are_a_passive_reciprocal_network_that_balances_its_energy():
    array = rings((0, 0, 0), (0.061, 0, 0.5e-3), (0.2, 0, 0), section=printed(5e-3))
    network = solve(array, (0, 1))
    z, current = network.impedance_ohm[0], network.node_current
    assert np.abs(z - z.T).max() <= 1e-12 * np.abs(z).max()
    assert np.linalg.eigvalsh(z.real)[0] > 0
    spent = current.conj().T @ (network.loss_matrix_ohm + network.radiation_matrix_ohm) @ current
    assert np.abs(z.real - spent.real).max() <= 1e-7 * np.abs(z.real).max()
    loops = network.loop_impedance_ohm
    assert np.abs(loops - loops.T).max() <= 1e-11 * np.abs(loops).max()
    assert network.mean_loop_current.shape == (3, 12)


def test_currents_of_a_gap_add_up_over_its_filaments():
    array = rings((0, 0, 0), (0.061, 0, 0.5e-3))
    wires = array_wires(array, bundled=(1,))
    network = solve(array, (1,))
    gaps = [(e, node) for e, element in enumerate(array.layout.elements) for node in element.gap_nodes]
    through = np.stack([network.node_current[wires.gap_nodes(e, node)].sum(axis=0) for e, node in gaps])
    np.testing.assert_allclose(through, np.eye(8), atol=1e-9)
    assert network.port_node.tolist() == [0, 6, 12, 18, 24, 30, 36, 42]
    assert network.node_element.tolist() == 24 * [0] + 24 * FILAMENTS * [1]
    # All gaps alike drive nearly the uniform current round both.
    assert network.mean_loop_current[1, 4:].sum() == pytest.approx(1, abs=0.03)


def test_bundles_that_cross_keep_the_potential_matrix_positive():
    """With a sharper kernel between crossing wires than within each, charges would attract their own kind."""
    for height_m in (0.2e-3, 1e-3):
        array = rings((0, 0, 0), (0.061, 0, height_m))
        for bundled in ((0, 1), (0,)):
            mesh = array_wires(array, bundled=bundled).mesh
            _, potential = fill_matrices(
                mesh.vertices_m,
                mesh.first_node,
                magnetic_radius_m=mesh.magnetic_radius_m,
                electric_radius_m=mesh.electric_radius_m,
                wavenumber_per_m=2 * pi * F / c,
            )
            assert np.linalg.eigvalsh(potential.real)[0] > 0


@pytest.mark.parametrize("excitation", list(Excitation))
def test_bundle_shines_into_the_body_like_its_loop(excitation):
    """30 mm below the ring, where one cannot tell eight filaments from one wire but by 1 %."""
    array = rings((0, 0, 0), (0, 0, 4e-3))
    points = np.array([[0.0, 0.0, -0.03], [0.02, 0.01, -0.04], [0.05, 0.0, -0.05]])
    alike = np.array([1.0, 1, 1, 1, 0, 0, 0, 0])
    fields = []
    for bundled in ((), (0, 1)):
        network = solve(array, bundled)
        sources = array_sources(excitation, array, network)
        if excitation is Excitation.FULL_CURRENT:
            sources = replace(sources, mesh=array_wires(array, bundled=bundled).mesh)
        per_port = incident_magnetic_field_t(points, sources, F)
        fields.append(np.einsum("sxp,sk,k->xp", per_port, sources.source_per_port_current, alike))
    wire, bundle = fields
    assert np.abs(bundle - wire).max() < 0.02 * np.abs(wire).max()
    on_axis = mu_0 * 0.04**2 / 2 / (0.04**2 + 0.03**2) ** 1.5
    assert abs(bundle[2, 0]) == pytest.approx(on_axis, rel=0.03)


def test_full_current_of_an_automatic_bundle_finds_its_own_nodes():
    array = rings((0, 0, 0), (0, 0, 4e-3))
    network = solve_network(array, F, band_fraction=0.04, frequency_count=1)
    sources = array_sources(Excitation.FULL_CURRENT, array, network)
    assert sources.node_current.shape == (2 * 24 * FILAMENTS, 8)
    assert len(sources.mesh.vertices_m) == 2 * 24 * FILAMENTS


def test_filaments_of_a_square_are_mitred_squares():
    corners = square(0.08, 4)
    (element,) = dressed([corners]).layout.elements
    lines = filament_lines_m(corners, surface_normals(element), np.array([-1e-3, 0.0, 2e-3]))
    reach = np.abs(lines).max(axis=(1, 2))
    assert reach == pytest.approx([0.039, 0.04, 0.042])  # positive to the right of the way: outwards
    np.testing.assert_allclose(lines[1], corners)


def test_filaments_of_a_bent_ring_lie_on_the_cylinder():
    """An 80 mm ring wrapped round a cylinder of 100 mm radius: half a strip of 5 mm strays by less than 0.1 mm."""
    radius_m, flat = 0.1, equal_area_polygon(0.04, 24)
    angle = flat[:, 0] / radius_m
    bent = np.stack([radius_m * np.sin(angle), flat[:, 1], radius_m * np.cos(angle)], axis=1)
    (element,) = dressed([bent]).layout.elements
    element = replace(element, centre_m=(0.0, 0.0, radius_m))
    normals = surface_normals(element)
    exact = np.stack([np.sin(angle), 0 * angle, np.cos(angle)], axis=1)
    assert np.sum(normals * exact, axis=1).min() > np.cos(np.radians(1.5))
    lines = filament_lines_m(bent, normals, filament_offsets_m(5e-3))
    assert np.abs(np.hypot(lines[..., 0], lines[..., 2]) - radius_m).max() < 0.1e-3
