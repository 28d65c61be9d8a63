"""The gradient of the port impedances against solving again, and what any gradient obeys."""

from dataclasses import replace

import numba
import numpy as np
import pytest

from loopwright.conductors import Helix, PrintedStrip, Thread
from loopwright.fields import impedance_gradient_ohm, impedance_gradients_ohm, linearisation_error, solve_network
from loopwright.fields.wires import kernel_numba, split_segments
from loopwright.fields.wires.pieces import closed_wires
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import Bend, Stretch, flex_displacement_m, moved_elements, placement_moves
from wire_arrays import COPPER, dressed
from wire_cases import equal_area_polygon

F = 127.7e6
INK = PrintedStrip(width_m=5e-3, thickness_m=20e-6, conductivity_s_per_m=COPPER / 7)


def rings(centres_m, section=None):
    return dressed([equal_area_polygon(0.04, 24, centre_m=centre) for centre in centres_m], section=section)


OVERLAPPED = rings([(0, 0, 0), (0.061, 0, 0.5e-3), (0.03, 0.055, 1e-3)])
BUNDLED = rings([(0, 0, 0), (0.0855, 0, 1.5e-3), (0, 0.2, 0)], INK)


def solve(array):
    return solve_network(array, F, band_fraction=0.04, frequency_count=1)


def moved(array, way_m):
    elements = moved_elements(array.layout.elements, way_m)
    return replace(array, layout=replace(array.layout, elements=elements))


def by_solving_again(array, way_m, step_m):
    scale = step_m / np.linalg.norm(way_m, axis=1).max()
    there, back = (solve(moved(array, sign * scale * way_m)).impedance_ohm[0] for sign in (1, -1))
    return (there - back) / 2 / scale


def test_a_small_fill_takes_one_thread_and_gives_the_others_back(monkeypatch):
    """On a busy machine two threads took five times as long as one over the many small fills of a gradient."""
    seen, before = [], numba.get_num_threads()
    monkeypatch.setattr(kernel_numba, "_fill", lambda *_: seen.append(numba.get_num_threads()))
    few, many = (
        closed_wires(
            np.zeros((2 * corners, 3)) + np.arange(2 * corners)[:, None],
            np.array([0, corners, 2 * corners]),
            magnetic_radius_m=np.eye(2),
            electric_radius_m=np.eye(2),
        )
        for corners in (24, 240)
    )
    for wires in (few, many):
        kernel_numba.fill_pieces(wires, np.array([[0, 0], [0, 1], [1, 1]]), wavenumber_per_m=1.0, near=wires)
    assert seen == [1, before]
    assert numba.get_num_threads() == before


@pytest.mark.parametrize(("array", "step_m"), [(OVERLAPPED, 10e-6), (BUNDLED, 40e-6)])
def test_gradient_equals_solving_again(array, step_m):
    """Solving again may serve a pair by another rule on either side, which shows as 1e-8 of it over the step."""
    ways = placement_moves(array.layout.elements).displacement_m[:4]
    found = impedance_gradient_ohm(array, solve(array), ways)
    for way, gradient in zip(ways, found, strict=True):
        expected = by_solving_again(array, way, step_m)
        assert np.abs(gradient - expected).max() < 3e-4 * np.abs(expected).max()


@pytest.mark.parametrize(
    "flex",
    [
        Stretch(along=1.0, across=0.5, direction=(1, 0, 0), fixed_m=(0, 0, 0), normal=(0, 0, 1)),
        Bend(radius_m=0.2, axis=(0, 1, 0), touching_m=(0.03, 0, 0), normal=(0, 0, 1)),
    ],
)
def test_gradient_of_a_flex_equals_solving_again(flex):
    way = flex_displacement_m(OVERLAPPED.layout.elements, flex)
    (found,) = impedance_gradient_ohm(OVERLAPPED, solve(OVERLAPPED), way[None])
    expected = by_solving_again(OVERLAPPED, way, 5e-6)
    assert np.abs(found - expected).max() < 3e-4 * np.abs(expected).max()


def test_conductor_loss_is_in_the_gradient():
    """One lone ring made larger: its resistance grows as its perimeter, its radiation as the fourth power of size."""
    (array,) = (rings([(0, 0, 0)], INK),)
    network = solve(array)
    (found,) = impedance_gradient_ohm(array, network, array.layout.elements[0].vertices_m[None])
    alike = np.full(4, 0.25)
    conductor, radiation = (
        np.real(alike @ network.node_current.conj().T @ matrix @ network.node_current @ alike)
        for matrix in (network.loss_matrix_ohm, network.radiation_matrix_ohm)
    )
    assert (alike @ found @ alike).real * 16 == pytest.approx(16 * (conductor + 4 * radiation), rel=0.02)


def test_turns_of_a_sprung_thread_grow_with_its_line():
    helix = Helix(diameter_m=1e-3, pitch_m=1.5e-3, thread_diameter_m=0.2e-3)
    sprung = Thread(outer_diameter_m=1.2e-3, thread_ohm_per_m=8.0, length_ratio=helix.length_ratio, helix=helix)
    array = rings([(0, 0, 0)], sprung)
    way = array.layout.elements[0].vertices_m
    (found,) = impedance_gradient_ohm(array, solve(array), way[None])
    expected = by_solving_again(array, way, 10e-6)
    assert np.abs(found - expected).max() < 1e-5 * np.abs(expected).max()


@pytest.mark.parametrize("array", [OVERLAPPED, BUNDLED])
def test_moving_and_turning_all_together_changes_nothing(array):
    corners = np.concatenate([element.vertices_m for element in array.layout.elements])
    shift, turn = np.broadcast_to([1.0, -2.0, 0.5], corners.shape), np.cross([0.3, 0.5, 0.8], corners)
    for gradient in impedance_gradient_ohm(array, solve(array), np.stack([shift, turn])):
        assert np.abs(gradient).max() < 1e-5  # where one element alone makes 1e3 to 1e5


@pytest.mark.parametrize("array", [OVERLAPPED, BUNDLED])
def test_gradient_is_symmetric_and_adds_up(array):
    moves = placement_moves(array.layout.elements).displacement_m
    ways = np.stack([moves[0], moves[9], moves[0] + 2 * moves[9]])
    first, second, both = impedance_gradient_ohm(array, solve(array), ways)
    for gradient in (first, second, both):
        assert np.abs(gradient - gradient.T).max() < 1e-9 * np.abs(gradient).max()
    assert np.abs(both - first - 2 * second).max() < 1e-5 * np.abs(both).max()


def test_no_move_is_no_change():
    still = np.zeros((1, 72, 3))
    assert np.all(impedance_gradient_ohm(OVERLAPPED, solve(OVERLAPPED), still) == 0)


def test_error_of_linearisation_falls_with_the_move():
    network = solve(OVERLAPPED)
    way = placement_moves(OVERLAPPED.layout.elements).displacement_m[0]
    (gradient,) = impedance_gradient_ohm(OVERLAPPED, network, way[None])
    errors = [
        linearisation_error(network, solve(moved(OVERLAPPED, amount_m * way)), amount_m * gradient)
        for amount_m in (1e-3, 0.25e-3)
    ]
    assert errors[0] < 0.2  # open gaps, crossings 0.5 mm apart
    assert errors[1] == pytest.approx(errors[0] / 4, rel=0.15)


def test_bundled_array_is_one():
    assert 2 < split_segments(BUNDLED).sum() < 12
    assert not split_segments(OVERLAPPED).any()


def test_network_of_another_array_is_refused():
    with pytest.raises(OutsideModelError, match="not solved from these elements"):
        impedance_gradient_ohm(rings([(0, 0, 0)]), solve(OVERLAPPED), np.zeros((1, 24, 3)))


@pytest.mark.parametrize("array", [OVERLAPPED, BUNDLED])
def test_gradients_over_the_band_equal_those_of_networks_solved_there(array):
    moves = placement_moves(array.layout.elements).displacement_m[:3]
    told = impedance_gradients_ohm(array, solve(array), moves, frequencies_hz=[0.98 * F, F, 1.02 * F])
    np.testing.assert_array_equal(told[1], impedance_gradient_ohm(array, solve(array), moves))
    for factor, found in ((0.98, told[0]), (1.02, told[2])):
        network = solve_network(array, factor * F, band_fraction=0.04, frequency_count=1)
        expected = impedance_gradient_ohm(array, network, moves)
        for gradient, there in zip(found, expected, strict=True):
            assert np.abs(gradient - there).max() < 2e-3 * np.abs(there).max()
            # Driven through all its gaps alike an element leaves little charge: 1 % of a rate that is mostly magnetic.
            alike = np.kron(np.eye(3), np.ones((4, 1)))
            assert np.abs(alike.T @ (gradient - there) @ alike).max() < 0.01 * np.abs(alike.T @ there @ alike).max()
