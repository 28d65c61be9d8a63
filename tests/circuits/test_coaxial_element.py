from dataclasses import replace

import numpy as np
import pytest
from coaxial_cases import by_hand_terminal_ohm, cable
from scipy.constants import c, pi

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.coaxial.coaxial_element import (
    circular_coaxial_element,
    coaxial_circuit,
    cut_ends,
    line_pieces,
)
from loopwright.circuits.coaxial.coaxial_layout import coaxial_elements, dressed_coaxial
from loopwright.circuits.coaxial.coaxial_limits import coaxial_limits, least_turn_distance_m
from loopwright.circuits.coaxial.coaxial_resonance import open_terminal
from loopwright.circuits.nodal import reduced
from loopwright.circuits.parts import Capacitor, Preamplifier
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.wiring import Branch, complaints
from loopwright.conductors.coaxial_line import line_constants
from loopwright.ground.errors import OutsideModelError

F = 127.74e6
RECEIVER = Preamplifier(input_ohm=900.0 - 200.0j)


@pytest.mark.parametrize("pairs", [1, 2, 3])
def test_each_gap_sees_two_open_stubs(pairs):
    element = circular_coaxial_element(cable(), 0.08, pairs=pairs)
    gaps = reduced(coaxial_circuit(element, F, RECEIVER), F, 0.0).gap_siemens
    stub = 2 * pi * F * element.length_m / (2 * pairs * 0.695 * c)
    load = -2j * 50 / np.tan(stub)
    assert np.linalg.inv(gaps) == pytest.approx(load * np.eye(pairs), rel=1e-9, abs=1e-9)


def test_terminal_of_one_gap_is_that_of_two_lines_by_hand():
    element = circular_coaxial_element(cable(loss_db_per_m=0.5), 0.08)
    outside_ohm = 0.3 + 190j
    seen = open_terminal(element, np.array([[outside_ohm]]), F).seen_ohm[0]
    by_hand = by_hand_terminal_ohm(
        outside_ohm,
        characteristic_ohm=50,
        gamma_per_m=line_constants(element.cable, F).propagation_per_m,
        length_m=element.length_m,
    )
    assert seen == pytest.approx(by_hand, rel=1e-9)


def test_a_short_across_the_terminal_makes_the_gap_inductive():
    """Two shorted stubs: why a receiver of low impedance keeps current out."""
    element = circular_coaxial_element(cable(), 0.08)
    gap = reduced(coaxial_circuit(element, F, RECEIVER), F, 1e9).gap_siemens[0, 0]
    stub = 2 * pi * F * element.length_m / (2 * 0.695 * c)
    assert 1 / gap == pytest.approx(2j * 50 * np.tan(stub), rel=1e-6, abs=1e-6)


def test_lumped_limit_is_the_line_capacitance_over_four():
    element = circular_coaxial_element(cable(), 0.08)
    f = 1e6
    load = 1 / reduced(coaxial_circuit(element, f, RECEIVER), f, 0.0).gap_siemens[0, 0]
    line_f = line_constants(element.cable, f).capacitance_f_per_m * element.length_m
    assert -1 / (2 * pi * f * load.imag) == pytest.approx(line_f / 4, rel=1e-4)


def unequal():
    """Two gaps and one cut at places of no symmetry: a piece of line reaches from gap to gap."""
    element = circular_coaxial_element(cable(loss_db_per_m=0.6), 0.08)
    return replace(element, gap_nodes=(5, 21), cut_places=(0.83,))


def test_pieces_make_up_the_length():
    pieces = line_pieces(unequal())
    assert [name for name, _, _ in pieces] == ["line gap 1 to gap 2", "line gap 2 to cut 1", "line cut 1 to gap 1"]
    assert sum(there - here for _, here, there in pieces) == pytest.approx(1, rel=1e-12)


def test_any_placing_is_wired_rightly_reciprocal_and_passive():
    element = unequal()
    circuit = coaxial_circuit(element, F, RECEIVER)
    assert not complaints(circuit)
    rng = np.random.default_rng(2)
    loss = rng.standard_normal((4, 4))
    port_ohm = loss @ loss.T / 8 + 1j * (np.eye(4) * 90 + np.full((4, 4), 12.0))
    state = array_state(port_ohm, [circuit, circuit], [RECEIVING] * 2, frequency_hz=F)
    assert state.channel_ohm == pytest.approx(state.channel_ohm.T, rel=1e-9, abs=1e-9)
    assert np.linalg.eigvalsh((state.channel_ohm + state.channel_ohm.conj().T) / 2).min() > 0


def test_where_the_wire_is_said_to_begin_does_not_matter():
    """Turning the numbering round the loop leaves the terminal as it is: signs at gaps and cuts agree."""
    element = unequal()
    ohm = np.array([[0.4 + 100j, 0.1 + 40j], [0.1 + 40j, 0.6 + 120j]])
    turned = replace(
        element,
        vertices_m=np.roll(element.vertices_m, -10, axis=0),
        gap_nodes=(11, 43),  # the second gap comes first now
        cut_places=(0.83 - 10 / 48,),
    )
    swapped = ohm[::-1, ::-1]
    seen = open_terminal(element, ohm, F).seen_ohm[0]
    assert open_terminal(turned, swapped, F).seen_ohm[0] == pytest.approx(seen, rel=1e-9)


def test_a_capacitor_across_the_terminal_is_just_that():
    element = circular_coaxial_element(cable(), 0.06)
    ohm = np.array([[0.3 + 130j]])
    branch = Branch(name="C", part=Capacitor(capacitance_f=5e-12), between=cut_ends(1))
    bare, loaded = (open_terminal(element, ohm, F, across).seen_ohm[0] for across in ((), (branch,)))
    assert 1 / loaded - 1 / bare == pytest.approx(2j * pi * F * 5e-12, rel=1e-6)


@pytest.mark.parametrize("change", [{"cut_places": ()}, {"gap_nodes": ()}, {"cut_places": (0.0,)}])
def test_what_cannot_be_wound_is_refused(change):
    with pytest.raises(OutsideModelError):
        coaxial_circuit(replace(circular_coaxial_element(cable(), 0.08), **change), F, RECEIVER)


def test_two_cables_in_one_network_are_refused():
    with pytest.raises(OutsideModelError, match="one cable"):
        dressed_coaxial(
            [circular_coaxial_element(cable(), 0.08), circular_coaxial_element(cable(velocity_factor=0.8), 0.08)]
        )


def test_turns_that_touch_are_named():
    close, wide = (circular_coaxial_element(cable(), 0.08, turns=2, pitch_m=pitch) for pitch in (3e-3, 8e-3))
    assert least_turn_distance_m(wide) == pytest.approx(8e-3, rel=0.02)
    assert any("Turns come within 1.7" in sentence for sentence in coaxial_limits(close, F))
    assert not any("Turns" in sentence for sentence in coaxial_limits(wide, F))


def test_the_wire_of_several_turns_closes_on_itself():
    element = circular_coaxial_element(cable(), 0.08, turns=3, pitch_m=6e-3)
    way = np.linalg.norm(np.roll(element.vertices_m, -1, axis=0) - element.vertices_m, axis=1)
    assert len(way) == 144
    assert way.max() / way.min() < 1.3
    assert way.sum() == pytest.approx(element.length_m, rel=0.01)


def test_elements_of_a_layout_are_wound_as_circles_are():
    wanted = circular_coaxial_element(cable(), 0.08, pairs=2)
    laid = dressed_coaxial([wanted]).layout
    circle = replace(laid.elements[0], shape="circle")
    (found,) = coaxial_elements(replace(laid, elements=(circle,)), cable())
    assert found.length_m == pytest.approx(wanted.length_m, rel=1e-9)
    assert found.gap_nodes == wanted.gap_nodes
    assert found.cut_places == pytest.approx(wanted.cut_places, rel=1e-12)
