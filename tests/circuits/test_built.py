"""Arrays as they are built, from the brief's tolerances to a study: causes, limits, and rates of misplaced elements."""

from dataclasses import replace

import numpy as np
import pytest

from brief.base_brief import brief_with
from circuits.made_array import reply_of
from circuits.test_real_wires import ring
from loopwright.circuits import built_spread, tune, wire_up
from loopwright.circuits.spread.built import requested_causes
from loopwright.circuits.spread.spreads import ImpedanceSpread, SharedBy, drawn_port_change_ohm, standard_draws
from loopwright.circuits.tuned.noise import NoiseTemperatures
from loopwright.fields import solve_network
from loopwright.ground.progress import Silent
from wire_arrays import dressed
from wired_rings import OWN, TRAPS, wired

FREQUENCY_HZ = 127.74e6
ASIDE_M = np.array([0.06, 0.0, 0.0])
FILM = {"name": "film", "kind": "capacitors", "spread": "4 %", "shared_by": "array"}
#: Nothing strays by itself but conductors.
STILL = {"own_tolerances": "left out", "placement": "0 mm", "height": "0 mm", "conductor_resistance": "0.01 %"}


def asked(circuit=TRAPS, **keys):
    gaps = "2" if circuit == "own" else "4"
    circuit = OWN if circuit == "own" else {"wiring": circuit}
    return brief_with(circuit=circuit, array__tiling__gaps=gaps, tolerances={"draws": "200", **keys}).tolerances


def causes_of(circuit, **keys):
    outcome = wired(circuit, gaps=2 if circuit == "own" else 4)
    return requested_causes(asked(circuit, **keys), outcome.request, outcome.circuits, cut_to=outcome.bought.cut_to)


@pytest.fixture(scope="module")
def pair():
    """Two overlapping rings over a made-up body, wired."""
    parts = dressed([ring(0.04, 0.0), ring(0.04, 0.002) + ASIDE_M], gaps=4)
    network = solve_network(parts, FREQUENCY_HZ, band_fraction=0.04, frequency_count=5)
    reply = reply_of(network)
    warm = NoiseTemperatures(body_temperature_k=310.0, coil_temperature_k=293.0)
    tuned = tune(network, reply, dressed=parts, temperatures=warm)
    outcome = wire_up(
        brief_with(circuit={"wiring": "capacitive match"}).circuit, network, reply, tuned=tuned,
        other_series_resistance_ohm=0.0, progress=Silent(),
    )  # fmt: skip
    return parts, network, outcome


def built(pair, **keys):
    parts, network, outcome = pair
    return built_spread(asked("capacitive match", **keys), outcome, dressed=parts, network=network, loaded_q=40,
                        progress=Silent())  # fmt: skip


def test_every_part_of_a_ready_wiring_strays_within_the_circuits_tolerance_and_diodes_do_not():
    causes, missing = causes_of(TRAPS)
    names = {name for cause in causes for name in cause.parts}
    assert names == {"C match", "L series", "C trap 2", "L trap 2", "C trap 3", "L trap 3", "C tune 4"}
    assert {cause.relative for cause in causes} == {0.02}
    assert {cause.shared_by for cause in causes} == {SharedBy.NOTHING}
    assert missing == ()


def test_parts_of_a_wiring_of_ones_own_stray_each_within_its_own_tolerance():
    causes, _ = causes_of("own")
    assert {cause.parts[0]: cause.relative for cause in causes} == {"C1": 0.02, "lead": 0.05, "C2": 0.01, "damp": 0.01}


def test_added_causes_hold_a_kind_or_names_and_stray_on_top():
    match = {"name": "one lot", "parts": "C match", "spread": "1 %", "shape": "normal"}
    causes, missing = causes_of(TRAPS, parts=[FILM, match, {"name": "cables", "kind": "lines", "spread": "2 %"}])
    film, lot = causes[-2:]
    assert film.parts == ("C match", "C trap 2", "C trap 3", "C tune 4")
    assert film.shared_by is SharedBy.ARRAY
    assert lot.parts == ("C match",)
    assert missing == ("cables",)
    alone, _ = causes_of(TRAPS, own_tolerances="left out", parts=[FILM])
    assert [cause.name for cause in alone] == ["film"]


def test_nothing_strays_where_nothing_may_and_every_array_will_do(pair):
    found = built(pair, **STILL)
    assert found.study.array_yield == 1
    assert found.study.noise_loss_db.max() < 1e-4
    assert found.placement is None


def test_limits_of_the_brief_are_the_limits_of_the_study(pair):
    loose, strict = built(pair, noise_loss="20 dB"), built(pair, noise_loss="20 dB", reflection="-15 dB", shift="1 MHz")
    assert loose.study.array_yield == 1
    assert strict.study.passed == pytest.approx(
        (strict.study.reflection_db <= -15) & (np.abs(strict.study.shift_hz) <= 1e6)
    )
    assert strict.study.array_yield < 1


def test_rates_of_misplaced_elements_tell_what_solving_them_again_tells(pair):
    """The smaller the way, the better: first order."""
    near, far = (built(pair, placement=f"{way} mm", height=f"{way / 10} mm").placement for way in (0.02, 0.5))
    assert near.error.max() < 0.05
    assert near.error.max() < far.error.max() < 1
    assert near.told_db == pytest.approx(near.solved_db, rel=0.1, abs=1e-6)


def test_misplacing_overlapped_elements_moves_their_noise_figure(pair):
    found = built(pair, **(STILL | {"placement": "1 mm"}))
    shares = {cause.name: cause.noise_loss for cause in found.study.causes}
    assert found.study.causes[0].name == "placement"
    assert shares["placement"] > 0.5


def test_a_single_element_is_not_misplaced():
    parts = dressed([ring(0.04, 0.0)], gaps=4)
    network = solve_network(parts, FREQUENCY_HZ, band_fraction=0.04, frequency_count=5)
    reply = reply_of(network)
    warm = NoiseTemperatures(body_temperature_k=310.0, coil_temperature_k=293.0)
    outcome = wire_up(
        brief_with(circuit={"wiring": "capacitive match"}).circuit, network, reply,
        tuned=tune(network, reply, dressed=parts, temperatures=warm), other_series_resistance_ohm=0.0,
        progress=Silent(),
    )  # fmt: skip
    found = built((parts, network, outcome))
    assert found.placement is None
    assert "placement" not in {cause.name for cause in found.study.causes}


def test_a_change_that_knows_frequencies_is_taken_at_each(pair):
    _, _, outcome = pair
    rng = np.random.default_rng(5)
    change = rng.standard_normal((3, 2, 8, 8)) + 1j * rng.standard_normal((3, 2, 8, 8))
    cause = ImpedanceSpread(name="moves", change_ohm=change)
    draws = standard_draws([cause], outcome.circuits, count=4, generator=rng)
    found = drawn_port_change_ohm([cause], draws, ports=8)
    assert found == pytest.approx(np.einsum("dv,fvpq->fdpq", draws.variables[0], change))
    plain = drawn_port_change_ohm([replace(cause, change_ohm=change[1])], draws, ports=8)
    assert plain == pytest.approx(found[1])
