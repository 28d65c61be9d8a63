"""Which part to turn: put one off, and it is named first."""

import numpy as np
import pytest
from made_ports import made_ports
from ready_circuits import two_traps
from test_sensitivities import changed
from test_synthesis import ALL_THREE, solved

from loopwright.circuits.main_values import main_value
from loopwright.circuits.spread.sensitivities import figures_now, receiving
from loopwright.circuits.spread.turn_list import turn_list

PORTS = made_ports(3)
RIGHT = solved(PORTS, [two_traps()] * 3, ALL_THREE).circuits


def turns(circuits):
    found = turn_list(PORTS, circuits, 50, adjustable=ALL_THREE.free)
    return [[turn for turn in found if turn.element == e] for e in range(3)]


@pytest.mark.parametrize(
    ("part", "factor"), [("C tune 4", 1.04), ("C tune 4", 0.93), ("C match", 1.2), ("L series", 0.7)]
)
def test_the_part_that_is_off_is_named_first_with_way_and_amount(part, factor):
    off = changed(1, part, factor, RIGHT)
    first, second, third = turns(off)[1]
    assert first.part == part
    assert first.factor == pytest.approx(1 / factor, rel=1e-3)
    assert first.after.reflection_db < min(-40, second.after.reflection_db, third.after.reflection_db)
    assert first.before.reflection_db > -35
    assert first.instruction.startswith(f"{'lower' if factor > 1 else 'raise'} {part} by ")
    assert ("pF" in first.instruction) == part.startswith("C")
    assert first.after.dip_hz == pytest.approx(PORTS.frequency_hz, rel=1e-4)
    assert first.after.noise_figure_loss_db < 1e-3 < first.before.noise_figure_loss_db


def test_figures_are_those_of_the_whole_array_solved_again():
    off = changed(1, "C tune 4", 1.04, RIGHT)
    turn = turns(off)[1][1]  # not the best of them
    mended = changed(1, turn.part, turn.factor, off)
    response = receiving(PORTS, mended, 50, frequency_hz=PORTS.frequency_hz)
    reflected, decoupled, lost = figures_now(response, mended)
    assert turn.after.reflection_db == pytest.approx(20 * np.log10(reflected[1]), abs=1e-6)
    assert turn.after.decoupling_db == pytest.approx(decoupled[1], abs=1e-6)
    assert turn.after.noise_figure_loss_db == pytest.approx(lost[1], abs=1e-9)
    assert turn.value_before == main_value(off[1], turn.part)


def test_a_right_array_has_nothing_to_turn():
    for element in turns(RIGHT):
        assert all(turn.instruction == f"leave {turn.part} as it is" for turn in element)


def test_no_turn_makes_it_worse():
    off = changed(0, "C match", 1.5, changed(1, "C tune 4", 1.05, RIGHT))
    for element in turns(off):
        for turn in element:
            assert turn.after.reflection_db <= turn.before.reflection_db + 1e-6
