"""The answer of a hot spot to a watt: balance, convergence, width of the grid, places, time."""

import dataclasses
import math

import numpy as np
import pytest
from scipy.sparse import diags_array
from scipy.sparse.linalg import splu

from loopwright.ground.errors import OutsideModelError
from loopwright.heating.local import local_response
from loopwright.heating.sequences import PowerStep, rise_under_k
from loopwright.heating.spot import Place, Side, SpotStack, Stretch, around_conductor
from loopwright.heating.spot_mesh import graded_m, spot_planes
from loopwright.heating.spot_solution import rates_for, spot_modes
from loopwright.heating.spot_system import spot_system
from loopwright.heating.stack import Stack
from warm_spots import AIR, CAPACITOR, CORE, FABRIC, FILM, FOAM, GAP, NO_AIR, TISSUE, TRACE, WORN, bare_trace, layer

STRETCH = Stretch(length_m=20e-3)


@pytest.fixture(scope="module")
def capacitor():
    """A capacitor on a trace in padding on the skin."""
    return local_response(CAPACITOR, TRACE, WORN)


def coarse_system(heat, trace=TRACE, stack=WORN, **wider):
    return spot_system(heat, trace, stack, spot_planes(heat, trace, stack, fineness=1, **wider))


def test_planes_hold_their_breaks_and_nest():
    coarse, fine = (
        graded_m([0, 1e-3, 7e-3, 50e-3], sharp_m=(1e-3,), least_m=3e-4, largest_m=1e-2, fineness=f) for f in (1, 2)
    )
    assert set(np.round(coarse, 12)) <= set(np.round(fine, 12))
    assert {0, 1e-3, 7e-3, 50e-3} <= set(np.round(coarse, 12))
    assert np.all(np.diff(fine) > 0)


def test_half_a_watt_in_a_part_converges(capacitor):
    """Rise and time constant of the part and of both surfaces, with what the grid leaves open."""
    for place, share in (
        (Place.PART, 0.04),
        (Place.OUTER_SURFACE, 0.02),
        (Place.APPLIED_SURFACE, 0.02),
        (Place.SKIN, 0.02),
        (Place.BELOW_SKIN, 0.05),
    ):
        rise = 0.5 * capacitor.rise_k_per_w(place)
        assert 0.5 * capacitor.uncertainty_k_per_w(place) < share * rise
        assert capacitor.time_constant_uncertainty_s(place) < 0.06 * capacitor.time_constant_s(place)
    rises = [capacitor.rise_k_per_w(place) for place in Place]
    assert rises[0] > rises[1] > rises[2] > rises[3] > rises[4] > 0


@pytest.mark.long
def test_a_finer_grid_moves_by_less_than_the_uncertainty(capacitor):
    planes = spot_planes(CAPACITOR, TRACE, WORN, fineness=3)
    system = spot_system(CAPACITOR, TRACE, WORN, planes)
    finer = spot_modes(system, []).steady_k_per_w.max()
    assert abs(finer - capacitor.rise_k_per_w(Place.PART)) < capacitor.uncertainty_k_per_w(Place.PART)


def test_all_heat_arrives(capacitor):
    shares = capacitor.shares
    assert shares.air + shares.blood + shares.core == shares.total == pytest.approx(1, abs=1e-6)
    assert min(shares.air, shares.blood, shares.core) > 0.05


def test_heat_is_stored_or_leaves_at_any_time():
    system = coarse_system(CAPACITOR)
    modes = spot_modes(system, rates_for(earliest_s=1.0, latest_s=1e4))
    leaving = system.convected_w_per_k + system.perfused_w_per_k - system.conduction[system.fixed].sum(axis=0)
    for time_s in (1.0, 10.0, 100.0, 1000.0):
        decay = np.exp(-modes.rates_per_s * time_s)
        rise = modes.steady_k_per_w - modes.modes_k_per_w @ decay
        kelvin_seconds = modes.steady_k_per_w * time_s - modes.modes_k_per_w @ ((1 - decay) / modes.rates_per_s)
        assert 4 * (system.capacity_j_per_k @ rise + leaving @ kelvin_seconds) == pytest.approx(time_s, rel=5e-3)


def test_layers_part_and_metal_store_what_they_weigh():
    system = coarse_system(CAPACITOR)
    x_m, y_m = system.points_m[:, 0].max(), system.points_m[:, 1].max()
    layers = (*WORN.outer, *WORN.below)
    kept = x_m * y_m * sum(a.thickness_m * a.density_kg_per_m3 * a.heat_capacity_j_per_kg_k for a in layers)
    quarter_m2 = 1.4e-3 * 1.4e-3
    kept += quarter_m2 * 2.6e-3 * 4000.0 * 600.0
    kept -= quarter_m2 * (50e-6 * 1400 * 1100 + 2.55e-3 * 60 * 1400)
    kept += 35e-6 * 2.5e-3 * (min(x_m, 0.125) - 0.7e-3) * 8960.0 * 385.0
    assert system.capacity_j_per_k.sum() == pytest.approx(kept, rel=1e-9)


def test_the_modes_follow_small_implicit_steps():
    """Two-stage steps of second order that damp what is fast, on the same equations."""
    system = coarse_system(STRETCH)
    modes = spot_modes(system, rates_for(earliest_s=1.0, latest_s=1e4))
    free = ~system.fixed
    K, c, f = system.conduction[free][:, free], system.capacity_j_per_k[free], system.heat[free]
    gamma, step = 1 - math.sqrt(0.5), 0.1
    solve = splu((diags_array(c) + gamma * step * K).tocsc()).solve
    rise = np.zeros(c.size)
    for number in range(1, 201):
        one = solve(f - K @ rise)
        two = solve(f - K @ (rise + (1 - gamma) * step * one))
        rise = rise + step * ((1 - gamma) * one + gamma * two)
        if number in {10, 50, 200}:
            told = modes.steady_k_per_w - modes.modes_k_per_w @ np.exp(-modes.rates_per_s * step * number)
            assert np.abs(told[free] - rise).max() < 3e-3 * rise.max()


def test_a_wider_grid_changes_nothing():
    for heat in (CAPACITOR, STRETCH):
        usual, wider = (spot_modes(coarse_system(heat, extent_factor=f), []).steady_k_per_w.max() for f in (1.0, 1.7))
        assert usual == pytest.approx(wider, rel=2e-3)


def test_the_trace_spreads_as_a_layer_of_the_same_metal():
    """A sheet without thickness against bricks of copper; both cover the whole width."""
    copper = layer("copper", 35e-6, 400.0, 8960.0, 385.0)
    sheet = dataclasses.replace(TRACE, width_m=0.6, length_m=0.6)
    around = {"outer": (FILM, FOAM), "between": (), "tissue": TISSUE, "air": AIR, "core": CORE}
    rises = []
    for trace, inner in ((sheet, (FOAM,)), (bare_trace(0.6), (copper, FOAM))):
        stack = SpotStack(inner=inner, **around)
        planes = spot_planes(CAPACITOR_ON_ALL, sheet, stack, fineness=1)
        rises.append(spot_modes(spot_system(CAPACITOR_ON_ALL, trace, stack, planes), []).steady_k_per_w)
    assert rises[0].max() == pytest.approx(rises[1].max(), rel=0.03)


CAPACITOR_ON_ALL = dataclasses.replace(CAPACITOR, gap_m=0.0)


def test_without_metal_a_part_gets_much_hotter():
    bare = spot_modes(coarse_system(CAPACITOR, trace=bare_trace(5e-3)), []).steady_k_per_w.max()
    assert bare > 3 * spot_modes(coarse_system(CAPACITOR), []).steady_k_per_w.max()


def test_a_part_that_stands_out_of_its_cover_has_its_sides_in_air():
    stack = dataclasses.replace(WORN, outer=(FILM,))
    system = coarse_system(CAPACITOR, stack=stack)
    x, y = system.points_m[:, 0].max(), system.points_m[:, 1].max()
    walls = (1.4e-3 + 1.4e-3) * (2.6e-3 - 50e-6)
    assert system.convected_w_per_k.sum() == pytest.approx(8.0 * (x * y + walls), rel=1e-9)
    rise = spot_modes(system, []).steady_k_per_w
    assert rise[system.exposed].max() > 0.9 * rise.max()


def test_a_part_on_the_side_of_the_skin_warms_the_skin_more():
    turned = dataclasses.replace(CAPACITOR, side=Side.SKIN)
    rises = []
    for heat in (CAPACITOR, turned):
        system = coarse_system(heat)
        skin = np.isclose(system.points_m[:, 2], -WORN.skin_m, atol=1e-9)
        rises.append(spot_modes(system, []).steady_k_per_w[skin].max())
    assert rises[1] > 1.1 * rises[0]
    with pytest.raises(OutsideModelError, match="turn the part round"):
        local_response(turned, TRACE, dataclasses.replace(WORN, inner=(FILM,)))


def test_temperatures_of_any_power_start_at_the_base(capacitor):
    """Linear in power; without any, the skin under the padding lies between air and core."""
    base = capacitor.temperature_c(Place.SKIN, 0.0)
    assert 33 < base < 37
    assert capacitor.temperature_c(Place.SKIN, 3.0, 0.0) == pytest.approx(base, abs=1e-6)
    risen = [capacitor.temperature_c(Place.SKIN, power_w) - base for power_w in (1.0, 2.0)]
    assert risen[1] == pytest.approx(2 * risen[0], rel=1e-2)
    assert risen[0] == pytest.approx(capacitor.rise_k_per_w(Place.SKIN), rel=1e-2)


def test_the_time_constant_is_that_of_the_rise(capacitor):
    time_s = capacitor.time_constant_s(Place.APPLIED_SURFACE)
    place = capacitor.fine[Place.APPLIED_SURFACE]
    hottest = place.steady_k_per_w.argmax()
    share = place.rises_k_per_w(time_s)[hottest] / place.steady_k_per_w[hottest]
    assert share == pytest.approx(1 - math.exp(-1), rel=1e-6)
    assert capacitor.time_constant_s(Place.SKIN) > time_s > capacitor.time_constant_s(Place.PART)


def test_scans_and_pauses_follow_from_the_answer(capacitor):
    """Ten minutes of full power after an endless pause are the rise after ten minutes."""
    place = capacitor.fine[Place.PART]
    response = place.step_response()
    assert response.rise_k(600.0)[:, 0] == pytest.approx(place.rises_k_per_w(600.0), rel=1e-6, abs=1e-9)
    played = (PowerStep(share=0.0, duration_s=100.0), PowerStep(share=1.0, duration_s=600.0))
    hottest = int(place.steady_k_per_w.argmax())
    risen = rise_under_k(response.at(hottest), played, [700.0])[0, 0]
    assert risen == pytest.approx(place.rises_k_per_w(600.0)[hottest], rel=1e-6)


def test_layers_lie_on_both_sides_of_the_conductor():
    slab = Stack(layers=(FABRIC, FOAM, FILM, GAP, *TISSUE), first=AIR, last=CORE)
    found = around_conductor(slab, conductor="film", applied="film", skin="skin", without=("fabric",))
    assert (found.outer, found.inner, found.between, found.tissue) == ((FOAM,), (FILM,), (GAP,), TISSUE)
    with pytest.raises(OutsideModelError, match="follow one another"):
        around_conductor(slab, conductor="film", applied="foam", skin="skin")
    touching = Stack(layers=(FOAM, FILM), first=AIR, last=AIR, contacts_k_m2_per_w=(1e-3,))
    with pytest.raises(OutsideModelError, match="contact"):
        around_conductor(touching, conductor="film", applied="film", skin="")


def test_a_neighbour_gets_less_the_further_it_is(capacitor):
    place = capacitor.fine[Place.APPLIED_SURFACE]
    rises = [place.beside_k_per_w(distance_m) for distance_m in (0.0, 10e-3, 30e-3, 1.0)]
    assert rises[0] == place.hottest_k_per_w()
    assert rises[0] > rises[1] > rises[2] > rises[3] == 0


def test_an_array_on_nothing_has_no_skin():
    stack = dataclasses.replace(WORN, between=(), tissue=(), core=AIR)
    response = local_response(STRETCH, TRACE, stack)
    assert set(response.fine) == {Place.PART, Place.OUTER_SURFACE, Place.APPLIED_SURFACE}
    assert response.shares.air == pytest.approx(response.shares.core, rel=1e-3)


def test_heat_that_cannot_leave_is_refused():
    stack = SpotStack(outer=(FOAM,), inner=(FOAM,), between=(), tissue=(), air=NO_AIR, core=NO_AIR)
    with pytest.raises(OutsideModelError, match="no heat can leave"):
        local_response(STRETCH, TRACE, stack)
