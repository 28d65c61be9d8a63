"""The array as it is worn: its states are what they are called, and the family tells what the direct engines tell."""

from dataclasses import replace

import numpy as np
import pytest

from brief.base_brief import brief_with
from circuits.made_array import reply_of
from circuits.test_real_wires import ring
from loopwright.circuits import tune, wire_up, with_joints, worn_family
from loopwright.circuits.array_ports import array_ports
from loopwright.circuits.spread.loop_resonance import loop_resonances_hz
from loopwright.circuits.spread.worn import AS_LAID, worn_states
from loopwright.circuits.tuned.noise import NoiseTemperatures
from loopwright.conductors import equivalent_radius_m, resistance_ratio
from loopwright.fields import flexed_frequencies_hz, solve_network
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.progress import Silent
from loopwright.layouts import Bend, Girth, flexed
from wire_arrays import dressed

FREQUENCY_HZ = 127.74e6
ASIDE_M = np.array([0.06, 0.0, 0.0])
WARM = NoiseTemperatures(body_temperature_k=310.0, coil_temperature_k=293.0)
CIRCUIT = {"wiring": "capacitive match"}
X = ["1", "0", "0"]
ALL = ["C match", "C tune 2", "L series"]


def facing_up(parts):
    return replace(parts, other_series_resistance_ohm=0.1)


def family(**keys):
    return brief_with(circuit=CIRCUIT, family=keys).family


@pytest.fixture(scope="module")
def array():
    """Two overlapping rings over a made-up body, wired, and what they were made of."""
    parts = facing_up(dressed([ring(0.04, 0.0), ring(0.04, 0.002) + ASIDE_M], gaps=4))
    network = solve_network(parts, FREQUENCY_HZ, band_fraction=0.04, frequency_count=5)
    reply = reply_of(network)
    tuned = tune(network, reply, dressed=parts, temperatures=WARM)
    outcome = wire_up(
        brief_with(circuit=CIRCUIT).circuit, network, reply, tuned=tuned, other_series_resistance_ohm=0.1,
        progress=Silent(),
    )  # fmt: skip
    return parts, network, outcome


def worn(array, **keys):
    parts, network, outcome = array
    return worn_family(family(**keys), outcome, dressed=parts, network=network, progress=Silent())


def states(array, **keys):
    parts, network, outcome = array
    found = worn_states(family(**keys), outcome.ports, dressed=parts, network=network, progress=Silent())
    return {state.name: state for state in found}


def test_the_first_state_is_the_array_itself_and_costs_nothing(array):
    found = worn(array, loads=["0.5", "2"])
    assert found.penalty.names == ("as laid, load 1", "as laid, load 0.5", "as laid, load 2")
    assert found.states[0].port_ohm == pytest.approx(array[2].ports.impedance_ohm, rel=1e-12)
    assert found.penalty.penalty_db[0] == pytest.approx(np.zeros(2), abs=1e-6)
    assert found.penalty.penalty_db[1:].min() > 1e-3
    assert found.shift_hz[0] == pytest.approx(np.zeros(2), abs=0)


def test_a_load_multiplies_the_body_and_neither_wires_nor_joints(array):
    _, network, _ = array
    found = states(array, loads=["2"])
    one, two = (found[f"as laid, load {load}"].member.port_ohm for load in (1, 2))
    joints = 0.1 / 4 * np.eye(8)
    assert two - one == pytest.approx(one - network.impedance_ohm[2] - joints, rel=1e-9, abs=1e-12)


def test_elements_alone_keep_their_own_gaps_only(array):
    found = states(array, neighbours="away too")["each element alone"].member.port_ohm
    whole = array[2].ports.at_operation_ohm
    assert np.array_equal(found[:4, :4], whole[:4, :4])
    assert not found[:4, 4:].any()


def test_warmth_raises_the_conductors_resistance_alone(array):
    parts, _, outcome = array
    found = states(array, coil_temperatures=["60 degC"])
    rise = 0.0039 * (333.15 - 293.0)
    more = resistance_ratio(parts.cross_section, FREQUENCY_HZ, resistivity_ratio=1 + rise) - 1
    change = found["conductors at 60 °C"].member.port_ohm - found["as laid, load 1"].member.port_ohm
    own = outcome.ports.resistances.conductor_ohm - 0.1 / 4 * np.eye(8)
    assert change == pytest.approx(more * own, rel=1e-9, abs=1e-12)
    assert 0.4 * rise < more < 0.6 * rise  # a wire far thicker than the skin


@pytest.mark.parametrize(
    ("keys", "flex"),
    [
        ({"stretches": ["10 %"], "axis": ["1", "0", "0"]}, Girth(around=0.0, along=0.1, axis=(1, 0, 0),
                                                                fixed_m=(0, 0, 0))),
        ({"bends": ["40 mm"], "axis": ["0", "1", "0"]}, Bend(radius_m=0.04, axis=(0, 1, 0), touching_m=(0, 0, 0),
                                                            normal=(0, 0, 1))),
    ],
    ids=["stretched", "bent"],
)  # fmt: skip
def test_the_shift_of_a_flexed_element_is_that_of_its_loop_within_one_per_cent(keys, flex):
    """Fixed capacitors, no body: the family against f0 sqrt(L0 / L1) of one uniform current."""
    parts = facing_up(dressed([ring(0.04, 0.0)], gaps=4))
    network = solve_network(parts, FREQUENCY_HZ, band_fraction=0.04, frequency_count=5)
    reply = reply_of(network, reaction=0.0)
    tuned = tune(network, reply, dressed=parts, temperatures=WARM)
    capacitance_f = tuned.elements[0].capacitance_f
    wiring = {"wiring": "own", "receiver": ["gap 1", "return 1"], "parts": [
        {"name": f"C{gap}", "part": "capacitor", "between": [f"gap {gap}", f"return {gap}"],
         "value": f"{1e12 * capacitance_f:.6f} pF"} for gap in (1, 2, 3, 4)]}  # fmt: skip
    asked = brief_with(circuit=wiring, family={"loads": ["1"], **keys})
    outcome = wire_up(asked.circuit, network, reply, tuned=tuned, other_series_resistance_ohm=0.1, progress=Silent())
    told = worn_family(asked.family, outcome, dressed=parts, network=network, progress=Silent())
    (direct_hz,) = flexed_frequencies_hz(
        parts.layout.elements,
        flexed(parts.layout.elements, flex),
        conductor_radius_m=equivalent_radius_m(parts.cross_section),
        frequency_hz=float(told.resonance_hz[0, 0]),
    )
    direct_shift_hz = direct_hz - told.resonance_hz[0, 0]
    assert abs(direct_shift_hz) > 1e6
    assert told.shift_hz[1, 0] == pytest.approx(direct_shift_hz, rel=0.01)


def test_a_resonance_outside_the_band_is_not_known(array):
    _, network, outcome = array
    half = [circuit.with_part("C tune 2", replace(circuit.part("C tune 2"), capacitance_f=3e-12))
            for circuit in outcome.circuits]  # fmt: skip
    found = loop_resonances_hz(
        network.frequencies_hz, network.impedance_ohm, half, port_element=network.port_element, near_hz=FREQUENCY_HZ
    )
    assert np.isnan(found).all()


def test_a_robust_network_has_a_better_worst_state_and_says_what_decoupling_becomes(array):
    found = worn(
        array, loads=["1"], stretches=["6 %"], axis=X, robust="yes", robust_parts=["C match", "C tune 2", "L series"]
    )
    assert found.robust.before.penalty_db == pytest.approx(found.penalty.penalty_db)
    assert found.robust.after.worst_db.max() < 0.8 * found.penalty.worst_db.max()
    assert found.decoupling_db[1] != pytest.approx(found.decoupling_db[0], rel=1e-3)


@pytest.mark.parametrize("named", [{}, {"robust_parts": "C tune 2"}], ids=["left out", "named"])
def test_match_and_series_inductor_stay_unless_they_are_named_and_decoupling_with_them(array, named):
    found = worn(array, loads=["1"], stretches=["6 %"], axis=X, robust="yes", **named)
    assert found.free == ("C tune 2",)
    all_moved = worn(array, loads=["1"], stretches=["6 %"], axis=X, robust="yes", robust_parts=ALL)
    assert (found.decoupling_db[1] > 0.85 * found.decoupling_db[0]).all()
    assert (all_moved.decoupling_db[1] < found.decoupling_db[1]).all()
    for before, after in zip(found.robust.nominal, found.robust.circuits, strict=True):
        assert before.part("C match") == after.part("C match")
    assert found.robust.after.worst_db.max() < found.penalty.worst_db.max()


def test_an_array_all_round_is_not_bent(array):
    parts, network, outcome = array
    one, other = parts.layout.elements
    round_it = replace(parts, layout=replace(parts.layout, elements=(one, replace(other, normal=(0.0, 0.0, -1.0)))))
    with pytest.raises(OutsideModelError, match="girths"):
        worn_family(family(bends=["60 mm"]), outcome, dressed=round_it, network=network, progress=Silent())


def test_shapes_are_combined_with_loads(array):
    names = list(states(array, loads=["0.5", "1"], girths=["0 %", "5 %"]))
    assert names == [f"{AS_LAID}, load 1", f"{AS_LAID}, load 0.5", "5 % round, load 1", "5 % round, load 0.5"]


def test_joints_are_those_of_the_ports(array):
    parts, network, _ = array
    bare = with_joints(array_ports(network, None, WARM), parts.other_series_resistance_ohm)
    alone = worn_states(family(loads=["3"]), bare, dressed=parts, network=network, progress=Silent())
    assert alone[1].port_ohm == pytest.approx(alone[0].port_ohm, rel=1e-12)  # no body: no load
