"""The hottest spots are found with few solutions, and none is missed."""

import dataclasses
import itertools
import math

import numpy as np
import pytest

from loopwright.ground.part_sizes import part_sizes
from loopwright.heating.hot_spots import Spot, SpotKind, hottest_spots, part_of, places_to_probe, rise_bound_k_per_w
from loopwright.heating.local import HeatShares, LocalResponse, PlaceRise
from loopwright.heating.probes import probe_plan
from loopwright.heating.spot import Part, Place, Stretch
from loopwright.heating.spot_mesh import spot_planes
from loopwright.heating.spot_solution import spot_modes
from loopwright.heating.spot_system import spot_system
from warm_spots import CAPACITOR, TRACE, WORN, bare_trace

STATES = ("actively detuned", "E02: PIN diode open")
SMALL = dataclasses.replace(CAPACITOR, length_m=2e-3, width_m=1.25e-3, height_m=1e-3, gap_m=1e-3)
KINDS = [SpotKind(heat=heat, trace=TRACE, stack=WORN) for heat in (CAPACITOR, SMALL, Stretch(length_m=20e-3))]


def answer(kind):
    """An answer that falls with the distance; a fixed share of the bound, so that nothing need be solved."""
    distance = np.linspace(0, 0.1, 11)
    rise = 0.4 * rise_bound_k_per_w(kind) * np.exp(-distance / 0.02)
    place = PlaceRise(
        points_m=np.stack([distance, 0 * distance, 0 * distance], axis=1),
        base_c=np.full(11, 33.0),
        steady_k_per_w=rise,
        modes_k_per_w=rise[:, np.newaxis],
        rates_per_s=np.array([0.01]),
    )
    coarse = dataclasses.replace(place, steady_k_per_w=0.9 * rise)
    return LocalResponse(
        fine=dict.fromkeys(Place, place),
        coarse=dict.fromkeys(Place, coarse),
        shared=dict.fromkeys(Place, np.arange(11)),
        shares=HeatShares(air=1.0, blood=0.0, core=0.0),
    )


def spots(powers, kinds=KINDS):
    return [
        Spot(
            name=f"C{number}",
            element=f"E{number % 4:02}",
            position_m=(0.03 * number, 0.0, 0.0),
            kind=kinds[number % len(kinds)],
            powers_w={STATES[0]: power / 3, STATES[1]: power},
        )
        for number, power in enumerate(powers)
    ]


def test_the_hottest_are_those_of_solving_all():
    generator = np.random.default_rng(5)
    for count in (1, 3, 6):
        every = spots(generator.uniform(0, 1, 12))
        found = hottest_spots(every, count=count, respond=answer)
        alone = sorted(every, key=lambda spot: -spot.most_w * answer(spot.kind).rise_k_per_w(Place.APPLIED_SURFACE))
        assert list(found.chosen) == alone[:count]
        assert len(found.others) == 12 - count


def test_a_kind_is_solved_once_and_only_if_it_can_be_hot():
    calls = []

    def counted(kind):
        calls.append(kind)
        return answer(kind)

    hottest_spots(spots([1.0, 1e-4, 1e-4, 1.0, 1e-4, 1e-4]), count=2, respond=counted)
    assert calls == [KINDS[0]]


def test_rises_are_told_for_every_state():
    found = hottest_spots(spots([0.6, 0.5, 0.4]), count=1, respond=answer)
    spot = found.chosen[0]
    assert spot.worst_state == STATES[1]
    assert found.own_rise_k(spot, STATES[1]) == pytest.approx(3 * found.own_rise_k(spot, STATES[0]))
    assert found.uncertainty_k(spot, STATES[1]) == pytest.approx(0.1 * found.own_rise_k(spot, STATES[1]))


def test_neighbours_of_solved_kinds_add_what_reaches_the_spot():
    found = hottest_spots(spots([0.6, 0.5], kinds=KINDS[:1]), count=1, respond=answer)
    per_watt = 0.4 * rise_bound_k_per_w(KINDS[0])
    expected = 0.5 * per_watt * math.exp(-0.03 / 0.02)
    assert found.neighbours_rise_k(found.chosen[0], STATES[1]) == pytest.approx(expected)


def test_neighbours_of_kinds_that_were_not_solved_count_as_the_worst_solved_one():
    every = spots([0.6, 1e-3, 1e-3])
    found = hottest_spots(every, count=1, respond=answer)
    assert set(found.responses) == {KINDS[0]}
    per_watt = 0.4 * rise_bound_k_per_w(KINDS[0])
    expected = 1e-3 * per_watt * (math.exp(-0.03 / 0.02) + math.exp(-0.06 / 0.02))
    assert found.neighbours_rise_k(found.chosen[0], STATES[1]) == pytest.approx(expected)


def test_hottest_spots_become_a_plan_of_probes():
    found = hottest_spots(spots([0.6, 0.5, 0.4]), count=3, respond=answer)
    places = places_to_probe(found)
    top = found.chosen[0]
    told = places[0].expected[STATES[1]]
    half = found.neighbours_rise_k(top, STATES[1]) / 2
    assert told.temperature_c == pytest.approx(33.0 + found.own_rise_k(top, STATES[1]) + half)
    assert told.uncertainty_k == pytest.approx(found.uncertainty_k(top, STATES[1]) + half)
    plan = probe_plan(places, count=3, apart_m=10e-3)
    assert len(plan.probes) == 2
    assert any(probe.place.position_m == top.position_m for probe in plan.probes)
    assert {place.part for place in places} == {"part", "trace"}


@pytest.mark.parametrize("size", [*part_sizes(), "stretch"])
def test_the_bound_lies_above_what_is_solved(size):
    """But not so far that it would make every kind be solved."""
    heat = Stretch(length_m=15e-3) if size == "stretch" else part_of(part_sizes()[size])
    kind = SpotKind(heat=heat, trace=TRACE, stack=WORN)
    system = spot_system(heat, TRACE, WORN, spot_planes(heat, TRACE, WORN, fineness=1))
    solved = spot_modes(system, []).steady_k_per_w.max()
    assert solved < rise_bound_k_per_w(kind) < 5 * solved


def test_the_bound_of_a_short_trace_lies_higher():
    kind = KINDS[2]
    short = dataclasses.replace(TRACE, length_m=21e-3)
    system = spot_system(kind.heat, short, WORN, spot_planes(kind.heat, short, WORN, fineness=1))
    solved = spot_modes(system, []).steady_k_per_w.max()
    assert max(solved, 2 * rise_bound_k_per_w(kind)) < rise_bound_k_per_w(dataclasses.replace(kind, trace=short))


def test_without_metal_there_is_no_bound():
    insulated = dataclasses.replace(bare_trace(5e-3), conductivity_w_per_m_k=0.0)
    assert rise_bound_k_per_w(dataclasses.replace(KINDS[0], trace=insulated)) == math.inf


def test_sizes_of_parts_can_be_built():
    for size in part_sizes().values():
        assert 0 < size.gap_m < size.length_m
        assert 0.4e-3 <= min(size.width_m, size.height_m) <= max(size.length_m, size.height_m) <= 10e-3
        assert 1e6 < size.density_kg_per_m3 * size.heat_capacity_j_per_kg_k * 2 < 8e6
        assert isinstance(part_of(size), Part)
    assert all(a != b for a, b in itertools.combinations(part_sizes(), 2))
