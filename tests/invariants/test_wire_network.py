"""What any passive reciprocal array of wires obeys, for arrays drawn at random."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from loopwright.fields.wires import solve_network
from loopwright.fields.wires.impedance import lossless_impedance_ohm
from wire_arrays import dressed
from wire_cases import equal_area_polygon, mesh

F = 127.74e6
FEW = settings(max_examples=12, derandomize=True, deadline=None)
SEEDS = st.integers(0, 10**6)


def random_polygons(seed, *, elements=3):
    """Rings of different size and tilt strung along x, near but not touching."""
    rng = np.random.default_rng(seed)
    turns = Rotation.random(elements, random_state=rng)
    radii = rng.uniform(0.015, 0.05, elements)
    places = np.cumsum(np.concatenate([[0.0], radii[1:] + radii[:-1] + 0.004]))
    return [
        turn.apply(equal_area_polygon(radius, 16)) + np.array([place, 0, 0])
        for turn, radius, place in zip(turns, radii, places, strict=True)
    ]


def solve(polygons, frequency_hz=F):
    return solve_network(dressed(polygons), frequency_hz, band_fraction=0.04, frequency_count=1)


def overlapped(seed):
    """Three overlapped rings whose conductors cross 0.2 to 2 mm apart."""
    rng = np.random.default_rng(seed)
    spacing, heights = rng.uniform(0.05, 0.07), np.cumsum(rng.uniform(0.2e-3, 2e-3, 3))
    return [equal_area_polygon(0.04, 24, centre_m=(i * spacing, 0, h)) for i, h in enumerate(heights)]


@FEW
@given(seed=SEEDS, arrange=st.sampled_from([random_polygons, overlapped]))
def test_reciprocity(seed, arrange):
    network = solve(arrange(seed))
    for matrix in (network.impedance_ohm[0], network.loop_impedance_ohm, network.radiation_matrix_ohm):
        assert np.abs(matrix - matrix.T).max() <= 1e-12 * np.abs(matrix).max()


@FEW
@given(seed=SEEDS, frequency_hz=st.sampled_from([63.87e6, 127.74e6, 298.03e6]))
def test_passivity_and_energy_balance(seed, frequency_hz):
    """Power into the ports is what conductor and radiation take, and never negative."""
    for arrange in (random_polygons, overlapped):
        network = solve(arrange(seed), frequency_hz)
        z, current = network.impedance_ohm[0], network.node_current
        assert np.linalg.eigvalsh(z.real)[0] > 0
        spent = current.conj().T @ (network.loss_matrix_ohm + network.radiation_matrix_ohm) @ current
        # Resistances stand beside reactances ten thousand times as large, whose rounding they share.
        assert np.abs((z + z.conj().T) / 2 - spent).max() <= 1e-12 * np.abs(z).max()
        assert np.abs(z.real - spent.real).max() <= 1e-7 * np.abs(z.real).max()
        assert np.linalg.eigvalsh(network.loss_matrix_ohm)[0] > 0
        assert np.linalg.eigvalsh(network.loop_inductance_h)[0] > 0


@FEW
@given(seed=SEEDS)
def test_moving_and_turning_the_array_changes_nothing(seed):
    polygons = random_polygons(seed)
    turn = Rotation.random(random_state=np.random.default_rng(seed + 1))
    moved = [turn.apply(polygon) + np.array([0.3, -0.2, 0.1]) for polygon in polygons]
    z, again = solve(polygons).impedance_ohm, solve(moved).impedance_ohm
    assert np.abs(z - again).max() <= 1e-9 * np.abs(z).max()


@FEW
@given(seed=SEEDS)
def test_order_of_elements_does_not_matter(seed):
    polygons = random_polygons(seed)
    forward, backward = solve(polygons).impedance_ohm[0], solve(polygons[::-1]).impedance_ohm[0]
    order = np.arange(12).reshape(3, 4)[::-1].ravel()
    assert np.abs(forward - backward[np.ix_(order, order)]).max() <= 1e-12 * np.abs(forward).max()


def test_reversing_an_element_reverses_its_current():
    """Drawn the other way round, a ring keeps its own impedance and turns the sign of the mutual one."""
    first, second = random_polygons(7)[:2]
    there = solve([first, second]).loop_impedance_ohm
    back = solve([first, second[::-1]]).loop_impedance_ohm
    assert back[1, 1] == pytest.approx(there[1, 1], rel=1e-12)
    assert back[0, 1] == pytest.approx(-there[0, 1], rel=1e-12)


@pytest.mark.parametrize("scale", [0.5, 3.0])
def test_scaling_lengths_and_wavelength_together(scale):
    """Lossless wires: all lengths times s at frequency over s have the same radiation matrix."""
    polygons = random_polygons(11)
    z, _ = lossless_impedance_ohm(mesh(polygons, 0.5e-3), F)
    scaled, _ = lossless_impedance_ohm(mesh([scale * p for p in polygons], scale * 0.5e-3), F / scale)
    assert np.abs(scaled - z).max() <= 1e-11 * np.abs(z).max()
