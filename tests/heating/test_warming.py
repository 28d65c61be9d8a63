"""How stacks warm, against textbook solutions in time; order of convergence; balance of energy."""

import numpy as np
import pytest
from scipy.special import erfc

from loopwright.ground.errors import OutsideModelError
from loopwright.heating import Heat, Outside, Stack, face_response, steady_state, warming
from slab_solutions import HELD, INSULATED, layer, slab_cooled_by_air, slab_under_flux

NOTHING = Heat()
K, DENSITY, CAPACITY = 0.5, 1000.0, 3500.0
DIFFUSIVITY = K / (DENSITY * CAPACITY)
ON = Heat(sheets_w_per_m2=((0, 100.0),))
TIMES = np.array([1.0, 3.0, 10.0, 30.0, 100.0, 300.0, 1000.0])


def rise_at_first_face(stack, heat, times_s, **options):
    found = warming(stack, NOTHING, heat, times_s, **options)
    return found.faces_c[:, 0, 0] - found.before.faces_c[0, 0]


def test_surface_of_a_half_space_under_constant_flux():
    """T = 2 q sqrt(a t / pi) / k [carslaw1959], section 2.9; the far face is ten lengths of diffusion away."""
    stack = Stack(layers=(layer(0.15),), first=INSULATED, last=HELD)
    exact = 2 * 100 * np.sqrt(DIFFUSIVITY * TIMES / np.pi) / K
    assert rise_at_first_face(stack, ON, TIMES) == pytest.approx(exact, rel=1e-3)


def test_interface_of_two_half_spaces_shares_the_flux_by_their_effusivities():
    """A sheet between two half-spaces: 2 q sqrt(t / pi) / (e1 + e2), e = sqrt(k rho c)."""
    stack = Stack(layers=(layer(0.15), layer(0.1, 0.2, 900.0, 2000.0)), first=HELD, last=HELD)
    found = warming(stack, NOTHING, Heat(sheets_w_per_m2=((1, 100.0),)), TIMES)
    exact = 2 * 100 * np.sqrt(TIMES / np.pi) / (np.sqrt(K * DENSITY * CAPACITY) + np.sqrt(0.2 * 900 * 2000))
    assert found.faces_c[:, 0, 1] == pytest.approx(exact, rel=1e-3)
    assert found.faces_c[:, 1, 0] == pytest.approx(found.faces_c[:, 0, 1], rel=1e-14)


def test_layer_on_a_half_space_reflects_by_their_effusivities():
    """Flux on a plate of thickness d on a half-space: images of ierfc, each weaker by (e1 - e2) / (e1 + e2)."""
    d, a = 0.003, DIFFUSIVITY
    stack = Stack(layers=(layer(d), layer(0.1, 0.2, 900.0, 2000.0)), first=INSULATED, last=HELD)
    e1, e2 = np.sqrt(K * DENSITY * CAPACITY), np.sqrt(0.2 * 900 * 2000)
    mirror = (e1 - e2) / (e1 + e2)
    n = np.arange(1, 60)[:, None]
    z = n * d / np.sqrt(a * TIMES)
    ierfc = np.exp(-(z**2)) / np.sqrt(np.pi) - z * erfc(z)
    exact = 2 * 100 * np.sqrt(a * TIMES) / K * (1 / np.sqrt(np.pi) + 2 * (mirror**n * ierfc).sum(axis=0))
    assert rise_at_first_face(stack, ON, TIMES) == pytest.approx(exact, rel=1e-3)


@pytest.mark.parametrize("perfusion", [0.0, 2600.0, 20000.0])
def test_slab_under_flux_follows_its_series(perfusion):
    length = 0.02
    stack = Stack(layers=(layer(length, perfusion_w_per_m3_k=perfusion),), first=INSULATED, last=HELD)
    exact = slab_under_flux(0.0, TIMES, length, K, DIFFUSIVITY, perfusion, 100.0)
    assert rise_at_first_face(stack, ON, TIMES) == pytest.approx(exact, rel=1e-3)


def test_uniform_heat_in_a_slab_cooled_by_air_follows_its_series():
    length, transfer = 0.01, 12.0
    stack = Stack(
        layers=(layer(length),), first=INSULATED, last=Outside(temperature_c=0.0, transfer_w_per_m2_k=transfer)
    )
    found = warming(stack, NOTHING, Heat(volumes_w_per_m3=((0, 1e4),)), TIMES)
    for side, x in enumerate((0.0, length)):
        exact = slab_cooled_by_air(x, TIMES, length, K, DIFFUSIVITY, transfer, 1e4)
        assert found.faces_c[:, 0, side] == pytest.approx(exact, rel=1e-3)


def test_time_constants_of_a_slab():
    """(2 L / ((2 n + 1) pi))^2 / a of a slab insulated on one side, each faster by its perfusion."""
    length, w = 0.02, 2600.0
    stack = Stack(layers=(layer(length, perfusion_w_per_m3_k=w),), first=INSULATED, last=HELD)
    found = warming(stack, NOTHING, ON, [1.0]).time_constants_s[:3]
    b = (np.arange(3) + 0.5) * np.pi / length
    assert found == pytest.approx(1 / (DIFFUSIVITY * b**2 + w / (DENSITY * CAPACITY)), rel=3e-3)


def test_errors_fall_with_the_square_of_the_fineness():
    length, w, t = 0.02, 2600.0, [3.0, 30.0]
    stack = Stack(layers=(layer(length, perfusion_w_per_m3_k=w),), first=INSULATED, last=HELD)
    exact = slab_under_flux(0.0, t, length, K, DIFFUSIVITY, w, 100.0)
    errors = [np.abs(rise_at_first_face(stack, ON, t, fineness=f) / exact - 1).max() for f in (0.5, 1, 2, 4)]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert orders == pytest.approx(2.0, abs=0.25)


def worn():
    return Stack(
        layers=(
            layer(0.001, 0.2, 1100.0, 1300.0),
            layer(35e-6, 400.0, 8900.0, 385.0),
            layer(50e-6, 0.12, 1420.0, 1090.0),
            layer(0.01, 0.04, 30.0, 1400.0),
            layer(0.0015, 0.37, 1109.0, 3391.0, perfusion_w_per_m3_k=7400.0, metabolic_w_per_m3=370.0),
            layer(0.03, 0.49, 1090.0, 3421.0, perfusion_w_per_m3_k=2600.0, metabolic_w_per_m3=680.0),
        ),
        first=Outside(temperature_c=22.0, transfer_w_per_m2_k=9.0),
        last=Outside(temperature_c=37.0, transfer_w_per_m2_k=np.inf),
        contacts_k_m2_per_w=(0.0, 0.0, 1e-3, 1e-3, 0.0),
    )


BEFORE = Heat(sheets_w_per_m2=((1, 20.0),), volumes_w_per_m3=((5, 100.0),))
DURING = Heat(sheets_w_per_m2=((1, 400.0),), volumes_w_per_m3=((4, 2000.0), (5, 1000.0)))


def test_energy_is_stored_or_leaves():
    found = warming(worn(), BEFORE, DURING, TIMES)
    kept = found.stored_j_per_m2 + found.left_j_per_m2.sum(axis=1) + found.perfusion_j_per_m2
    assert kept == pytest.approx(found.given_j_per_m2, rel=1e-7)
    assert found.given_j_per_m2 == pytest.approx((380 + 2000 * 0.0015 + 900 * 0.03) * TIMES, rel=1e-13)


def test_flows_over_time_are_those_of_the_steady_states_in_the_end():
    """The gain of heat flows from 1e5 s to 2e5 s, against the exact steady flows: an account of its own."""
    found = warming(worn(), BEFORE, DURING, [1e5, 2e5])
    for at, side in ((0, 0), (1, 1)):
        gained = np.diff(found.left_j_per_m2[:, side])[0] / 1e5
        assert gained == pytest.approx(found.final.left_w_per_m2[at] - found.before.left_w_per_m2[at], rel=1e-6)
    bled = np.diff(found.perfusion_j_per_m2)[0] / 1e5
    assert bled == pytest.approx(found.final.perfusion_w_per_m2 - found.before.perfusion_w_per_m2, rel=1e-6)
    assert found.faces_c[-1] == pytest.approx(found.final.faces_c, abs=1e-5)


def test_nothing_moves_where_the_heat_stays_the_same():
    found = warming(worn(), DURING, DURING, TIMES)
    assert found.faces_c == pytest.approx(np.broadcast_to(found.before.faces_c, found.faces_c.shape), abs=1e-12)


def test_thin_good_conductors_do_not_spoil_the_slow_modes():
    """A copper trace in the stack spans ten decades of rates; twice the cells change the temperatures by 1e-3 K."""
    coarse, fine = (warming(worn(), BEFORE, DURING, TIMES, fineness=f) for f in (1, 3))
    assert np.abs(coarse.faces_c - fine.faces_c).max() < 2e-3 * (fine.final.faces_c - fine.before.faces_c).max()


def test_response_of_faces_is_the_warming():
    heat = Heat(sheets_w_per_m2=((1, 380.0),), volumes_w_per_m3=((4, 2000.0), (5, 900.0)))
    response = face_response(worn(), heat, resolved_s=1.0)
    found = warming(worn(), BEFORE, DURING, TIMES)
    rise = (found.faces_c - found.before.faces_c).reshape(TIMES.size, -1).T
    assert response.rise_k(TIMES) == pytest.approx(rise, rel=1e-9)
    final = steady_state(worn(), DURING).faces_c - steady_state(worn(), BEFORE).faces_c
    assert response.final_rise_k() == pytest.approx(final.ravel(), rel=1e-5, abs=1e-9)


def test_times_before_the_change_are_refused():
    with pytest.raises(OutsideModelError, match="times"):
        warming(worn(), BEFORE, DURING, [-1.0])
    with pytest.raises(OutsideModelError, match="positive"):
        warming(worn(), BEFORE, DURING, [0.0])
    with pytest.raises(OutsideModelError, match="faces"):
        warming(worn(), BEFORE, Heat(sheets_w_per_m2=((7, 1.0),)), [1.0])
