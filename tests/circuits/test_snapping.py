"""Values on offer in the coupled array."""

import numpy as np
import pytest
from made_ports import made_ports
from ready_circuits import two_traps
from test_synthesis import ALL_THREE, solved

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.main_values import main_value, with_values
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.values.preferred_values import Ladder, Series, allowed_values, nearest
from loopwright.circuits.values.snapping import snap
from loopwright.circuits.values.source_match import noise_figure_losses_db
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.progress import Silent

ELEMENTS = 6
PORTS = made_ports(ELEMENTS)
EXACT = solved(PORTS, [two_traps()] * ELEMENTS, ALL_THREE)
TRIMMER = {"C tune 4": (5e-12, 60e-12)}


def is_of(series, value):
    return np.isclose(allowed_values(series, least=0.9 * value, most=1.1 * value), value, rtol=1e-9).any()


def losses_of(circuits):
    state = array_state(PORTS.at_operation_ohm, circuits, [RECEIVING] * ELEMENTS, frequency_hz=PORTS.frequency_hz)
    return noise_figure_losses_db((c.receiver for c in circuits), state.seen_ohm)


def test_values_are_of_the_series_and_the_trimmer_mends_what_they_cost():
    series = {"C match": Series.E24, "L series": Series.E24}
    found = snap(PORTS, EXACT, series, trimmers=TRIMMER, progress=Silent())
    for circuit in found.circuits:
        assert is_of(Series.E24, main_value(circuit, "C match"))
        assert is_of(Series.E24, main_value(circuit, "L series"))
        assert 5e-12 <= main_value(circuit, "C tune 4") <= 60e-12
    assert found.noise_figure_loss_db == pytest.approx(losses_of(found.circuits), abs=1e-9)
    assert 0 < np.max(found.noise_figure_loss_db) < 0.02
    assert found.tried == 2 * ELEMENTS * 16


def test_search_beats_the_nearest_value_of_each_part():
    names = ALL_THREE.free
    series = dict.fromkeys(names, Series.E24)
    found = snap(PORTS, EXACT, series, trimmers={}, progress=Silent())
    rounded = [
        with_values(c, {name: float(nearest(main_value(c, name), Series.E24)[0]) for name in names})
        for c in EXACT.circuits
    ]
    assert np.sum(found.noise_figure_loss_db) < np.sum(losses_of(rounded))
    assert np.max(found.noise_figure_loss_db) < np.max(losses_of(rounded))


def test_finer_tabs_cost_less():
    def lost(step_f):
        tabs = {"C tune 4": Ladder(least=10e-12, most=60e-12, step=step_f)}
        return np.max(snap(PORTS, EXACT, tabs, trimmers={}, progress=Silent()).noise_figure_loss_db)

    coarse, fine = lost(1e-12), lost(0.05e-12)
    assert fine < coarse / 10
    assert coarse > 1e-4


def test_two_trimmers_leave_no_loss():
    trimmers = {**TRIMMER, "C match": (10e-12, 200e-12)}
    found = snap(PORTS, EXACT, {"L series": Series.E12}, trimmers=trimmers, progress=Silent())
    assert np.max(found.noise_figure_loss_db) < 1e-6


def test_trimmer_out_of_range_stays_at_its_end_and_costs():
    low_f = min(main_value(circuit, "C tune 4") for circuit in EXACT.circuits)
    found = snap(PORTS, EXACT, {"C match": Series.E24}, trimmers={"C tune 4": (1e-12, 0.9 * low_f)}, progress=Silent())
    assert [main_value(c, "C tune 4") for c in found.circuits] == pytest.approx(
        [0.9 * low_f] * ELEMENTS, rel=1e-9, abs=0
    )
    assert np.min(found.noise_figure_loss_db) > 0.05


def test_contradictions_are_refused():
    with pytest.raises(OutsideModelError, match="not both"):
        snap(PORTS, EXACT, {"C tune 4": Series.E24}, trimmers=TRIMMER, progress=Silent())
    with pytest.raises(OutsideModelError, match="no part is called C seven"):
        snap(PORTS, EXACT, {"C seven": Series.E24}, trimmers=TRIMMER, progress=Silent())
