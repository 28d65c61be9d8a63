import dataclasses

import numpy as np
import pytest
from helix_filaments import closed_helix_inductance_h
from scipy.constants import mu_0, pi

from loopwright.conductors import (
    Helix,
    RoundWire,
    Thread,
    direct_resistance_ohm_per_m,
    equivalent_radius_m,
    helix_inductance_h_per_m,
    helix_length_ratio,
    inner_reactance_ohm_per_m,
    limits,
    outline_width_m,
    resistance_ohm_per_m,
    thickness_over_depth,
)
from loopwright.fields.wires import LoopCoupling, solve_network
from loopwright.ground.errors import OutsideModelError
from wire_arrays import dressed

HELIX = Helix(diameter_m=1.2e-3, pitch_m=2e-3, thread_diameter_m=0.3e-3)
SPRUNG = Thread(outer_diameter_m=1.5e-3, thread_ohm_per_m=8.0, length_ratio=HELIX.length_ratio, helix=HELIX)
F = 123.2e6


def test_a_straight_thread_is_its_own_resistance():
    thread = Thread(outer_diameter_m=0.5e-3, thread_ohm_per_m=20.0)
    assert resistance_ohm_per_m(thread, F) == 20.0
    assert (equivalent_radius_m(thread), outline_width_m(thread)) == (0.25e-3, 0.5e-3)
    assert inner_reactance_ohm_per_m(thread, F) == 0.0
    assert (direct_resistance_ohm_per_m(thread), thickness_over_depth(thread, F)) == (None, None)


def test_a_helix_holds_the_hypotenuse_of_its_unrolled_turn():
    """Three pitches of unrolled circumference four: five metres of thread for three."""
    assert helix_length_ratio(diameter_m=4 / pi, pitch_m=3.0) == pytest.approx(5 / 3, rel=1e-15)
    assert resistance_ohm_per_m(SPRUNG, F) == pytest.approx(8.0 * np.hypot(1.2 * pi, 2) / 2)
    assert (equivalent_radius_m(SPRUNG), outline_width_m(SPRUNG)) == (0.6e-3, 1.5e-3)


@pytest.mark.parametrize("turns", [10, 20, 40, 63, 100, 125])  # pitch over diameter from 6.3 down to 0.5
@pytest.mark.parametrize("thread_radius_m", [0.1, 0.3])
def test_turns_add_what_summed_filaments_say(turns, thread_radius_m):
    """A helix of radius 1 closed on a circle of radius 20; the smooth ring is mu0 R (ln 8R/a - 2)."""
    R, a, pitch_m = 20.0, 1.0, 2 * pi * 20.0 / turns
    helix = Helix(diameter_m=2 * a, pitch_m=pitch_m, thread_diameter_m=2 * thread_radius_m)
    pieces = int(4 * pitch_m * helix.length_ratio / thread_radius_m)
    summed = closed_helix_inductance_h(
        circle_radius_m=R, helix_radius_m=a, turns=turns, thread_radius_m=thread_radius_m, pieces=pieces
    )
    ring = mu_0 * R * (np.log(8 * R / a) - 2)
    assert ring + 2 * pi * R * helix_inductance_h_per_m(helix) == pytest.approx(summed, rel=0.015)


def test_an_endless_pitch_turns_the_tube_back_into_the_thread():
    """What is added to the outer inductance at radius a is then mu0/(2 pi) ln(a/rho)."""
    straight = Helix(diameter_m=2e-3, pitch_m=10.0, thread_diameter_m=0.2e-3)
    assert helix_inductance_h_per_m(straight) == pytest.approx(mu_0 / (2 * pi) * np.log(10), rel=1e-5)


def test_turns_stand_in_the_network():
    """Loop-mode inductance grows by the turns times the length, resistance is that of the thread."""
    angle = 2 * pi * np.arange(24) / 24
    ring = np.stack([0.04 * np.cos(angle), 0.04 * np.sin(angle), 0 * angle], axis=1)
    length_m = 24 * 2 * 0.04 * np.sin(pi / 24)
    smooth = RoundWire(diameter_m=HELIX.diameter_m, conductivity_s_per_m=5.8e7)
    networks = [
        solve_network(dressed([ring], section=section), F, band_fraction=0.04, frequency_count=3)
        for section in (SPRUNG, smooth)
    ]
    sprung, plain = (float(network.loop_inductance_h[0, 0]) for network in networks)
    assert sprung - plain == pytest.approx(helix_inductance_h_per_m(HELIX) * length_m, rel=1e-9)
    found = networks[0].loop_impedance_ohm[0, 0].real - networks[1].loop_impedance_ohm[0, 0].real
    expected = (resistance_ohm_per_m(SPRUNG, F) - resistance_ohm_per_m(smooth, F)) * length_m
    assert found == pytest.approx(expected, rel=1e-9)


def test_turns_stand_at_the_port():
    """One gap, 5 MHz, so that the current is even: what the gap shows grows by the same inductance."""
    angle = 2 * pi * np.arange(24) / 24
    ring = np.stack([0.04 * np.cos(angle), 0.04 * np.sin(angle), 0 * angle], axis=1)
    length_m = 24 * 2 * 0.04 * np.sin(pi / 24)
    smooth = RoundWire(diameter_m=HELIX.diameter_m, conductivity_s_per_m=5.8e7)
    sprung, plain = (
        solve_network(dressed([ring], section=section, gaps=1), 5e6, band_fraction=0.04, frequency_count=3)
        for section in (SPRUNG, smooth)
    )
    added_h = (sprung.impedance_ohm[1, 0, 0] - plain.impedance_ohm[1, 0, 0]).imag / (2 * pi * 5e6)
    assert added_h == pytest.approx(helix_inductance_h_per_m(HELIX) * length_m, rel=5e-3)


def test_turns_count_where_neighbours_are_searched_for():
    """Coefficients of the search are those of the network, turns included; they lower the coupling."""
    angle = 2 * pi * np.arange(24) / 24
    rings = [np.stack([x + 0.04 * np.cos(angle), 0.04 * np.sin(angle), 0 * angle], axis=1) for x in (0.0, 0.09)]
    network = solve_network(dressed(rings, section=SPRUNG), F, band_fraction=0.04, frequency_count=3)
    L = network.loop_inductance_h
    coupling = LoopCoupling(
        conductor_radius_m=equivalent_radius_m(SPRUNG),
        frequency_hz=F,
        inner_reactance_ohm_per_m=inner_reactance_ohm_per_m(SPRUNG, F),
    )
    ask = {"pairs": np.array([[0, 1]]), "elements": np.array([0, 1])}
    (found,) = coupling(rings, **ask)
    assert found == pytest.approx(L[0, 1] / L[0, 0], rel=1e-9)
    (smooth,) = dataclasses.replace(coupling, inner_reactance_ohm_per_m=0.0)(rings, **ask)
    assert abs(found) < 0.7 * abs(smooth)


def test_turns_neither_radiate_nor_heat():
    """The added reactance leaves radiation and loss as they are at every port."""
    angle = 2 * pi * np.arange(24) / 24
    ring = np.stack([0.04 * np.cos(angle), 0.04 * np.sin(angle), 0 * angle], axis=1)
    network = solve_network(dressed([ring], section=SPRUNG), F, band_fraction=0.04, frequency_count=3)
    current = network.node_current
    lost = current.conj().T @ (network.loss_matrix_ohm + network.radiation_matrix_ohm) @ current
    middle = network.impedance_ohm[1]
    assert np.abs(lost - middle.real).max() < 1e-9 * np.abs(middle).max()


@pytest.mark.parametrize(
    ("thread", "words"),
    [
        (Thread(outer_diameter_m=1e-3, thread_ohm_per_m=20.0), ("measure the thread as laid",)),
        (Thread(outer_diameter_m=1e-3, thread_ohm_per_m=20.0, length_ratio=1.2), ("as laid", "zigzag")),
        (SPRUNG, ("as laid",)),
    ],
)
def test_limits_of_threads(thread, words):
    found = limits(thread, F)
    assert len(found) == len(words)
    assert all(word in sentence for word, sentence in zip(words, found, strict=True))


@pytest.mark.parametrize(("pitch_m", "words"), [(8e-3, "was checked up to 6"), (0.5e-3, "crowd each other's current")])
def test_limits_of_turns(pitch_m, words):
    helix = Helix(diameter_m=1.2e-3, pitch_m=pitch_m, thread_diameter_m=0.3e-3)
    thread = Thread(outer_diameter_m=1.5e-3, thread_ohm_per_m=8.0, length_ratio=helix.length_ratio, helix=helix)
    assert words in limits(thread, F)[-1]


@pytest.mark.parametrize(
    ("kind", "shape"),
    [
        (Helix, {"diameter_m": 1e-3, "pitch_m": 0.2e-3, "thread_diameter_m": 0.3e-3}),
        (Helix, {"diameter_m": 0.2e-3, "pitch_m": 1e-3, "thread_diameter_m": 0.3e-3}),
        (Thread, {"outer_diameter_m": 1e-3, "thread_ohm_per_m": 20.0, "length_ratio": 0.9}),
        (Thread, {"outer_diameter_m": 1e-3, "thread_ohm_per_m": 20.0, "measured_ohm_per_m": 0.0}),
    ],
)
def test_impossible_threads_are_refused(kind, shape):
    with pytest.raises(OutsideModelError):
        kind(**shape)
