"""Strips as bundles of filaments in three dimensions."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.constants import mu_0
from scipy.optimize import brentq

from loopwright.conductors import FILAMENTS, FlatStrip, PrintedStrip, RoundWire, filament_offsets_m, filament_radii_m
from loopwright.fields import Excitation, array_sources
from loopwright.fields.wires import array_wires, solve_network, split_segments, wire_limits
from loopwright.fields.wires.bundling import piece_resistances_ohm_per_m
from loopwright.fields.wires.impedance import all_pairs
from loopwright.fields.wires.kernel_numba import fill_matrices, fill_pieces
from loopwright.fields.wires.port_network import solve_wires
from loopwright.fields.wires.spare_currents import settled
from loopwright.fields.wires.strip_lines import filament_lines_m, surface_normals
from wire_arrays import COPPER, dressed
from wire_cases import coaxial_mutual_inductance_h, equal_area_polygon, square

F = 127.7e6


def strip(width_m):
    return FlatStrip(width_m=width_m, thickness_m=35e-6, conductivity_s_per_m=COPPER)


def nodes(array):
    return sum(len(element.vertices_m) for element in array.layout.elements)


def solve(array, split, frequency_hz=F):
    """Split all segments, none, or those that are told."""
    wires = array_wires(array, split=np.broadcast_to(split, nodes(array)))
    return solve_wires(array, wires, frequency_hz, band_fraction=0.04, frequency_count=1)


def rings(*centres_m, segments=24, section=None, gaps=4):
    polygons = [equal_area_polygon(0.04, segments, centre_m=centre) for centre in centres_m]
    return dressed(polygons, section=section or strip(5e-3), gaps=gaps)


def split_of(array):
    return split_segments(array).reshape(-1, 24).sum(axis=1).tolist()


def test_segments_side_by_side_or_stacked_become_bundles():
    here, beside, over, away = (0, 0, 0), (0.0885, 0, 0), (0, 0, 4e-3), (0.3, 0, 0)
    assert split_of(rings(here, beside, away)) == [2, 2, 0]  # 8.5 mm between centre-lines of strips 5 mm wide
    assert split_of(rings(here, (0.0925, 0, 0))) == [0, 0]
    assert split_of(rings(away, here, over)) == [0, 24, 24]
    assert split_of(rings(here, (0.061, 0, 0.2e-3))) == [0, 0]  # crossing, not in line
    wire = RoundWire(diameter_m=5e-3, conductivity_s_per_m=COPPER)
    assert split_of(rings(here, over, section=wire)) == [0, 0]


def test_strip_that_folds_over_itself_at_its_bends_stays_one_wire_and_says_so():
    small = [square(0.012, 4), square(0.012, 4, centre_m=(0, 0, 2e-3))]
    array = dressed(small, section=strip(8e-3))
    assert not split_segments(array).any()
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
    wire, bundle = (solve(array, bundled).loop_impedance_ohm[0, 0] for bundled in (False, True))
    assert 100 * (wire.imag / bundle.imag - 1) == pytest.approx(percent, abs=0.2)
    # The inner edge carries more than the outer one and adds a little loss, in an independent calculation too.
    assert 1 <= bundle.real / wire.real < 1.02


def test_inner_edge_of_an_annular_strip_carries_as_much_more_as_coaxial_rings():
    """Exact rings of the same radii, by Maxwell's mutual inductances and ln(8R/a) - 2: 1.4 times the outer edge's."""
    radii_m, wire_m = 0.04 + filament_offsets_m(5e-3), filament_radii_m(5e-3)
    apart = ~np.eye(FILAMENTS, dtype=bool)
    coupled_h = np.diag(mu_0 * radii_m * (np.log(8 * radii_m / wire_m) - 2))
    first, second = np.broadcast_arrays(radii_m[:, None], radii_m)
    coupled_h[apart] = coaxial_mutual_inductance_h(first[apart], second[apart], 0.0)
    expected = np.linalg.solve(coupled_h, np.ones(FILAMENTS))
    array = rings((0, 0, 0), section=strip(5e-3))
    wires = array_wires(array, split=np.ones(24, dtype=bool))
    spare = settled(array, wires, F).spare_current.sum(axis=1)  # for one ampere at every node
    share = 1 / FILAMENTS + spare.real.reshape(24, FILAMENTS)[3]
    assert share.sum() == pytest.approx(1, abs=1e-9)
    assert share == pytest.approx(expected / expected.sum(), rel=0.01)
    assert share[0] / share[-1] == pytest.approx(1.41, abs=0.01)


@pytest.mark.parametrize(("width_m", "zero"), [(2e-3, 0.7579), (5e-3, 0.7547), (8e-3, 0.7498), (10e-3, 0.7457)])
def test_zero_coupling_of_strip_circles(width_m, zero):
    def mutual_ohm(spacing):
        array = rings((0, 0, 0), (spacing * 0.08, 0, 0.2e-3), segments=48, section=strip(width_m))
        return solve(array, True, 1e6).loop_impedance_ohm[0, 1].imag

    assert brentq(mutual_ohm, 0.74, 0.77, xtol=2e-4) == pytest.approx(zero, abs=4e-4)


@pytest.mark.parametrize(("width_m", "zero"), [(2e-3, 0.899), (5e-3, 0.884)])
def test_zero_coupling_of_strip_squares(width_m, zero):
    def mutual_ohm(spacing):
        polygons = [square(0.08, 10), square(0.08, 10, centre_m=(spacing * 0.08, 0, 0.2e-3))]
        return solve(dressed(polygons, section=strip(width_m)), True, 1e6).loop_impedance_ohm[0, 1].imag

    assert brentq(mutual_ohm, 0.86, 0.93, xtol=3e-4) == pytest.approx(zero, abs=1.5e-3)


#: Stacked strips 5 mm x 20 um of ink, 127.7 MHz, there and back: height over width, ohm per metre of each strip by the
#: two-dimensional solution of tests/conductors/cross_section_solution.py.
STACKED = ((0.2, 1.6850 + 77.010j), (0.5, 1.9570 + 153.829j), (1.0, 2.1733 + 237.619j))


@pytest.mark.parametrize(("height", "expected_ohm_per_m"), STACKED)
def test_stacked_loops_equal_the_two_dimensional_pair(height, expected_ohm_per_m):
    """Equal and opposite currents in two stacked rings: all but straight, 80 mm across and 1 to 5 mm apart."""
    array = rings((0, 0, 0), (0, 0, height * 5e-3), section=printed(5e-3))
    assert split_segments(array).all()
    z = solve_network(array, F, band_fraction=0.04, frequency_count=1).loop_impedance_ohm
    corners = equal_area_polygon(0.04, 24)
    around_m = 24 * np.linalg.norm(corners[1] - corners[0])
    found = (z[0, 0] + z[1, 1] - 2 * z[0, 1]) / 2 / around_m
    assert found.imag == pytest.approx(expected_ohm_per_m.imag, rel=0.01)
    assert found.real == pytest.approx(expected_ohm_per_m.real, rel=0.045 if height < 0.5 else 0.02)


def test_single_wires_would_make_that_inductance_negative():
    array = rings((0, 0, 0), (0, 0, 1e-3), section=printed(5e-3))
    z = solve(array, False).loop_impedance_ohm
    assert (z[0, 0] + z[1, 1] - 2 * z[0, 1]).imag < 0


def partly_bundled():
    """Two rings beside each other, split where they meet, and one that crosses the first."""
    return rings((0, 0, 0), (0.0865, 0, 1e-3), (0, 0.061, 0.5e-3), section=printed(5e-3))


def test_ports_of_bundles_are_a_passive_reciprocal_network_that_balances_its_energy():
    array = partly_bundled()
    assert split_of(array) == [2, 2, 0]
    network = solve(array, split_segments(array))
    z, current = network.impedance_ohm[0], network.node_current
    assert np.abs(z - z.T).max() <= 1e-12 * np.abs(z).max()
    assert np.linalg.eigvalsh(z.real)[0] > 0
    spent = current.conj().T @ (network.loss_matrix_ohm + network.radiation_matrix_ohm) @ current
    assert np.abs(z.real - spent.real).max() <= 1e-7 * np.abs(z.real).max()
    assert np.linalg.eigvalsh(network.loss_matrix_ohm)[0] > 0
    loops = network.loop_impedance_ohm
    assert np.abs(loops - loops.T).max() <= 1e-12 * np.abs(loops).max()


def test_loss_of_settled_currents_is_that_of_the_filaments_one_by_one():
    """Loss as resistance beyond radiation, against the sum of what every filament loses by its own current."""
    array = rings((0, 0, 0), (0, 0, 2e-3), section=printed(5e-3))
    wires = array_wires(array, split=np.ones(48, dtype=bool))
    found = settled(array, wires, F)
    opposite = np.repeat([1.0, -1.0], 24)
    in_filaments = np.repeat(opposite, FILAMENTS) / FILAMENTS + found.spare_current @ opposite
    resistance = piece_resistances_ohm_per_m(array, wires, F) * wires.pieces.lengths_m
    expected = np.sum(resistance * np.abs(in_filaments) ** 2)
    assert opposite @ found.loss_ohm @ opposite == pytest.approx(expected, rel=2e-3)


def test_bundles_where_strips_meet_serve_as_well_as_bundles_all_round():
    array = rings((0, 0, 0), (0.0855, 0, 0), section=printed(5e-3))
    single, local, whole = (
        solve(array, split).loop_impedance_ohm[0, 1].imag for split in (False, split_segments(array), True)
    )
    # All round, the annular crowding of either ring makes it appear smaller: that is not the neighbour's doing.
    assert abs(local - whole) < 0.03 * abs(whole)
    assert abs(single - whole) > abs(local - whole)


def test_array_without_close_strips_is_solved_as_single_wires():
    array = rings((0, 0, 0), (0.061, 0, 0.5e-3))
    automatic = solve_network(array, F, band_fraction=0.04, frequency_count=1)
    assert np.array_equal(automatic.impedance_ohm, solve(array, False).impedance_ohm)


def test_bundles_that_cross_keep_the_potential_matrix_positive():
    """With a sharper kernel between crossing wires than within each, charges would attract their own kind."""
    for height_m in (0.2e-3, 1e-3):
        array = rings((0, 0, 0), (0.061, 0, height_m))
        for split in (True, np.arange(48) < 24, np.arange(48) % 5 == 0):
            pieces = array_wires(array, split=np.broadcast_to(split, 48)).pieces
            _, potential = fill_pieces(pieces, all_pairs(2), wavenumber_per_m=2.7, near=pieces)
            assert np.linalg.eigvalsh(potential.real)[0] > 0


@pytest.mark.parametrize("excitation", list(Excitation))
def test_body_sees_the_whole_current_on_the_centre_line(excitation):
    """Nodes of a bundled network carry the current of the conductor; all gaps alike drive nearly one ampere round."""
    array = rings((0, 0, 0), (0, 0, 4e-3))
    network = solve_network(array, F, band_fraction=0.04, frequency_count=1)
    sources = array_sources(excitation, array, network)
    alike = np.array([1.0, 1, 1, 1, 0, 0, 0, 0])
    if excitation is Excitation.FULL_CURRENT:
        assert len(sources.mesh.vertices_m) == len(sources.node_current) == 48
    np.testing.assert_allclose(network.node_current[network.port_node], np.eye(8), atol=1e-9)
    assert (network.mean_loop_current @ alike)[0] == pytest.approx(1, abs=0.02)


def test_filaments_keep_their_currents_over_two_widths():
    """Squares of 5 mm segments: two in a row carry the same, so that finer segments do not change the coupling."""

    def zero(per_side):
        def mutual_ohm(spacing):
            polygons = [square(0.08, per_side), square(0.08, per_side, centre_m=(spacing * 0.08, 0, 1e-3))]
            return solve(dressed(polygons, section=strip(5e-3)), True, 1e6).loop_impedance_ohm[0, 1].imag

        return brentq(mutual_ohm, 0.86, 0.89, xtol=3e-4)

    array = dressed([square(0.08, 16)], section=strip(5e-3))
    assert array_wires(array, split=np.ones(64, dtype=bool)).pieces.spares == 32 * FILAMENTS
    assert zero(16) == pytest.approx(zero(8), abs=2e-3)


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


def test_evenly_shared_currents_are_the_mean_over_closed_filaments():
    """Matrices of nodes against those of eight closed wires in each ring's place, filled one by one and averaged."""
    array = rings((0, 0, 0), (0, 0, 3e-3))
    wires = array_wires(array, split=np.ones(48, dtype=bool))
    vector, potential = fill_pieces(wires.pieces, all_pairs(2), wavenumber_per_m=2.7, near=wires.pieces)
    filaments = np.concatenate(
        [
            filament_lines_m(element.vertices_m, surface_normals(element), filament_offsets_m(5e-3))
            for element in array.layout.elements
        ]
    )
    radii = np.tile(filament_radii_m(5e-3), 2)
    both = np.repeat([0, 1], FILAMENTS)
    # Rings 3 mm apart share no kernel radius in the magnetic part, and the larger of the two in the electric one.
    electric = np.where(both[:, None] == both, np.diag(radii), np.maximum(radii[:, None], radii))
    found = fill_matrices(
        filaments.reshape(-1, 3),
        np.arange(17) * 24,
        magnetic_radius_m=np.diag(radii),
        electric_radius_m=electric,
        wavenumber_per_m=2.7,
    )
    for ours, one_by_one in zip((vector[:48, :48], potential), found, strict=True):
        mean = one_by_one.reshape(2, FILAMENTS, 24, 2, FILAMENTS, 24).mean(axis=(1, 4)).reshape(48, 48)
        assert np.abs(ours - mean).max() < 1e-13 * np.abs(mean).max()
