"""Loop currents, and slopes by reciprocity against central differences on mixed random arrays."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_ports import lumped_ports, made_ports
from ready_circuits import random_ports_ohm, two_traps
from test_array_circuit import mixed_array

from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.loop_response import frequency_slopes, loop_response, part_slopes
from loopwright.circuits.spread.sensitivities import port_slope_ohm
from loopwright.circuits.states import RECEIVING, PartOff

F = 127.7e6
STEP = 1e-5
WANTED = 40 + 12j
arrays = settings(max_examples=15, deadline=None)


def figures(response):
    return response.state.seen_ohm, response.loop_siemens, response.matched_siemens


def difference(at):
    """Slope of what ``at`` tells at 0, of fourth order: near a sharp resonance the second order is too coarse."""
    one, two = ([(more - less) / (2 * k) for more, less in zip(at(k), at(-k), strict=True)] for k in (STEP, 2 * STEP))
    return [(4 * near - far) / 3 for near, far in zip(one, two, strict=True)]


def relative(found, expected, scale):
    """Of the larger of slope and figure: near a resonance the one, at a part that does nothing the other."""
    return np.max(np.abs(found - expected) / np.maximum(np.abs(expected), np.abs(scale)))


@arrays
@given(seed=st.integers(0, 2**32), count=st.integers(1, 4))
def test_slopes_of_every_part_are_the_differences(seed, count):
    circuits, states, port_ohm = mixed_array(np.random.default_rng(seed), count)

    def at(states):
        return loop_response(array_state(port_ohm, circuits, states, frequency_hz=F), WANTED)

    response = at(states)
    for group, name, slopes in part_slopes(response):
        for place, e in enumerate(group.elements):
            if name.startswith("D"):
                continue  # a diode's main value is its resistance on, whatever the state

            def moved(k, e=e, name=name):
                off = PartOff(part=name, factor=1 + k)
                return figures(at([s.with_faults(off) if n == e else s for n, s in enumerate(states)]))

            found = (slopes.seen_ohm, slopes.loop_siemens, slopes.matched_siemens)
            for mine, expected, now in zip(found, difference(moved), figures(response), strict=True):
                assert relative(mine[place], expected, now) < 1e-5


@arrays
@given(seed=st.integers(0, 2**32), count=st.integers(1, 4))
def test_slopes_by_frequency_are_the_differences(seed, count):
    rng = np.random.default_rng(seed)
    circuits, states, port_ohm = mixed_array(rng, count)
    slope = random_ports_ohm(rng, len(port_ohm)) * 3

    def at(factor):
        moved = port_ohm + slope * np.log(factor)
        return loop_response(array_state(moved, circuits, states, frequency_hz=F * factor), WANTED)

    slopes = frequency_slopes(at(1.0), slope)
    found = (slopes.seen_ohm, slopes.loop_siemens, slopes.matched_siemens)
    expected = difference(lambda k: figures(at(1 + k)))
    for mine, theirs, now in zip(found, expected, figures(at(1.0)), strict=True):
        assert relative(mine, theirs, now) < 1e-5


def test_draws_in_front_go_side_by_side():
    tune_f = np.array([24e-12, 29e-12, 35e-12])
    port_ohm = random_ports_ohm(np.random.default_rng(8), 8)

    def at(value):
        return loop_response(
            array_state(port_ohm, [two_traps(tune_f=value), two_traps()], [RECEIVING] * 2, frequency_hz=F), WANTED
        )

    together = at(tune_f)
    for draw, value in enumerate(tune_f):
        for ours, alone in zip(figures(together), figures(at(value)), strict=True):
            assert ours[draw] == pytest.approx(alone, rel=1e-11)
        both = zip(part_slopes(together), part_slopes(at(value)), strict=True)
        for (_, name, ours), (_, other, alone) in both:
            assert name == other
            assert ours.seen_ohm[draw] == pytest.approx(alone.seen_ohm, rel=1e-10)


@arrays
@given(seed=st.integers(0, 2**32), count=st.integers(1, 4))
def test_loop_current_is_that_of_the_gaps_and_a_matched_receiver_is_put_in_exactly(seed, count):
    circuits, states, port_ohm = mixed_array(np.random.default_rng(seed), count)
    state = array_state(port_ohm, circuits, states, frequency_hz=F)
    response = loop_response(state, WANTED)
    first = np.cumsum([0, *[circuit.gap_count for circuit in circuits]])
    for e in range(count):
        own = slice(first[e], first[e + 1])
        emf = np.zeros(len(port_ohm))
        emf[own] = 1 / circuits[e].gap_count
        # The current is counted into the conductor, against the voltage induced in the gap.
        assert response.loop_siemens[e] == pytest.approx(-gap_currents_a(state, emf)[own].mean(), rel=1e-9)
        loads = state.receiver_siemens.copy()
        loads[e] = 1 / np.conj(WANTED)
        other = array_state(port_ohm, circuits, states, frequency_hz=F, receiver_siemens=loads)
        assert response.matched_siemens[e] == pytest.approx(-gap_currents_a(other, emf)[own].mean(), rel=1e-8)


def test_slope_of_the_gaps_is_that_of_their_polynomial():
    ports = made_ports(2)
    for f in (ports.frequency_hz, 1.017 * ports.frequency_hz):
        step = 1e-5
        expected = (ports.at(f * (1 + step)) - ports.at(f * (1 - step))) / (2 * step)
        np.testing.assert_allclose(port_slope_ohm(ports, f), expected, rtol=1e-6, atol=1e-6)


def test_made_ports_are_one_loop():
    ports = lumped_ports(inductance_h=150e-9, resistance_ohm=4.0)
    assert np.sum(ports.at_operation_ohm) == pytest.approx(4 + 2j * np.pi * ports.frequency_hz * 150e-9, rel=1e-9)
