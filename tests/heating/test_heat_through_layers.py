"""Steady temperatures of stacks against exact solutions, to round-off."""

import numpy as np
import pytest

from loopwright.ground.errors import OutsideModelError
from loopwright.heating import Heat, Outside, Stack, steady_state, temperature_at_c
from slab_solutions import HELD, INSULATED, layer

AIR = Outside(temperature_c=22.0, transfer_w_per_m2_k=9.0)
CORE = Outside(temperature_c=37.0, transfer_w_per_m2_k=np.inf)


def test_resistances_in_series():
    """A sheet between two paths splits as their conductances, with a contact resistance in one of them."""
    stack = Stack(
        layers=(layer(0.002, 0.2), layer(0.01, 0.04), layer(0.005, 0.4)),
        first=AIR,
        last=Outside(temperature_c=30.0, transfer_w_per_m2_k=25.0),
        contacts_k_m2_per_w=(0.0, 0.003),
    )
    up = 1 / 9.0 + 0.002 / 0.2
    down = 0.01 / 0.04 + 0.003 + 0.005 / 0.4 + 1 / 25.0
    face_c = (200 + 22 / up + 30 / down) / (1 / up + 1 / down)
    found = steady_state(stack, Heat(sheets_w_per_m2=((1, 200.0),)))
    assert found.faces_c[0, 1] == found.faces_c[1, 0] == pytest.approx(face_c, rel=1e-13)
    flow = (face_c - 30) / down
    assert found.faces_c[1, 1] - found.faces_c[2, 0] == pytest.approx(0.003 * flow, rel=1e-11)
    assert found.left_w_per_m2 == pytest.approx(((face_c - 22) / up, flow), rel=1e-12)


def test_uniform_heat_between_held_faces_is_a_parabola():
    stack = Stack(layers=(layer(0.02, 0.5),), first=HELD, last=HELD)
    found = steady_state(stack, Heat(volumes_w_per_m3=((0, 1e4),)))
    x = np.linspace(0, 0.02, 9)
    assert temperature_at_c(found, x) == pytest.approx(1e4 / (2 * 0.5) * x * (0.02 - x), abs=1e-13)
    assert found.left_w_per_m2 == pytest.approx((100.0, 100.0), rel=1e-13)


def test_flux_into_deep_tissue_decays_exponentially():
    """Excess q / sqrt(k w) exp(-x sqrt(w/k)) over the blood: 20 lengths of decay deep, the far face tells nothing."""
    k, w = 0.5, 5000.0
    tissue = layer(0.2, k, perfusion_w_per_m3_k=w)
    found = steady_state(Stack(layers=(tissue,), first=INSULATED, last=CORE), Heat(sheets_w_per_m2=((0, 100.0),)))
    x = np.array([0.0, 0.003, 0.01, 0.03])
    exact = 37 + 100 / np.sqrt(k * w) * np.exp(-x * np.sqrt(w / k))
    assert temperature_at_c(found, x) == pytest.approx(exact, rel=1e-14)


def test_perfused_slab_between_held_faces_follows_the_hyperbolic_cosine():
    """Metabolism q over blood: excess q/w (1 - cosh(m (x - L/2)) / cosh(m L/2))."""
    k, w, q, length = 0.4, 8000.0, 700.0, 0.03
    tissue = layer(length, k, perfusion_w_per_m3_k=w, metabolic_w_per_m3=q)
    found = steady_state(Stack(layers=(tissue,), first=CORE, last=CORE), Heat())
    x, m = np.linspace(0, length, 11), np.sqrt(w / k)
    exact = 37 + q / w * (1 - np.cosh(m * (x - length / 2)) / np.cosh(m * length / 2))
    assert temperature_at_c(found, x) == pytest.approx(exact, rel=1e-14)
    assert found.perfusion_w_per_m2 == pytest.approx(q * length - sum(found.left_w_per_m2), rel=1e-12)


def test_two_perfused_layers_joined_by_hand():
    """Fat over muscle: two unknown constants a layer, matched at the faces in a system of its own."""
    fat = layer(0.008, 0.21, perfusion_w_per_m3_k=1500.0, metabolic_w_per_m3=60.0, name="fat")
    muscle = layer(0.03, 0.49, perfusion_w_per_m3_k=2500.0, metabolic_w_per_m3=680.0, name="muscle")
    found = steady_state(Stack(layers=(fat, muscle), first=AIR, last=CORE), Heat(sheets_w_per_m2=((1, 40.0),)))
    m1, m2 = np.sqrt(1500 / 0.21), np.sqrt(2500 / 0.49)
    p1, p2 = 37 + 60 / 1500, 37 + 680 / 2500
    e, c, s = np.exp, np.cosh, np.sinh
    # T1 = p1 + A cosh m1 x + B sinh m1 x; T2 = p2 + C e^(-m2 y) + D e^(m2 y)
    system = [
        [9.0, -0.21 * m1, 0, 0],
        [c(m1 * 0.008), s(m1 * 0.008), -1, -1],
        [-0.21 * m1 * s(m1 * 0.008), -0.21 * m1 * c(m1 * 0.008), -0.49 * m2, 0.49 * m2],
        [0, 0, e(-m2 * 0.03), e(m2 * 0.03)],
    ]
    a, b, c2, d2 = np.linalg.solve(system, [9.0 * (22 - p1), p2 - p1, -40.0, 37 - p2])
    x = np.linspace(0, 0.0079, 5)
    assert temperature_at_c(found, x) == pytest.approx(p1 + a * c(m1 * x) + b * s(m1 * x), rel=1e-12)
    y = np.linspace(0, 0.03, 5)
    assert temperature_at_c(found, 0.008 + y) == pytest.approx(p2 + c2 * e(-m2 * y) + d2 * e(m2 * y), rel=1e-12)
    assert (found.before("fat"), found.behind("fat")) == pytest.approx((p1 + a, found.before("muscle")), rel=1e-12)


@pytest.mark.parametrize("last", [CORE, AIR, INSULATED])
def test_what_goes_in_comes_out(last):
    stack = Stack(
        layers=(
            layer(35e-6, 400.0),
            layer(0.01, 0.04),
            layer(0.0015, 0.37, perfusion_w_per_m3_k=7400.0, metabolic_w_per_m3=370.0),
            layer(0.03, 0.49, perfusion_w_per_m3_k=2600.0, metabolic_w_per_m3=680.0),
        ),
        first=AIR,
        last=last,
        contacts_k_m2_per_w=(1e-4, 0.0, 1e-5),
    )
    found = steady_state(stack, Heat(sheets_w_per_m2=((0, 5.0), (1, 700.0), (4, 3.0)), volumes_w_per_m3=((2, 9e3),)))
    assert found.given_w_per_m2 == pytest.approx(708 + 9e3 * 0.0015, rel=1e-14)
    gone = sum(found.left_w_per_m2) + found.perfusion_w_per_m2
    assert gone == pytest.approx(found.given_w_per_m2 + found.metabolic_w_per_m2, rel=1e-10)


def test_one_layer_cut_in_two_is_the_same_layer():
    whole = layer(0.02, 0.5, perfusion_w_per_m3_k=4000.0, metabolic_w_per_m3=500.0)
    parts = tuple(layer(d, 0.5, perfusion_w_per_m3_k=4000.0, metabolic_w_per_m3=500.0) for d in (0.0003, 0.0197))
    heats = (Heat(volumes_w_per_m3=((0, 2e4),)), Heat(volumes_w_per_m3=((0, 2e4), (1, 2e4))))
    x = np.linspace(0, 0.02, 7)
    one, two = (
        temperature_at_c(steady_state(Stack(layers=layers, first=AIR, last=CORE), heat), x)
        for layers, heat in zip(((whole,), parts), heats, strict=True)
    )
    assert two == pytest.approx(one, rel=1e-13)


def test_very_thick_tissue_does_not_overflow():
    tissue = layer(50.0, 0.5, perfusion_w_per_m3_k=5000.0)
    found = steady_state(Stack(layers=(tissue,), first=AIR, last=CORE), Heat())
    surface = (9 * 22 + np.sqrt(0.5 * 5000) * 37) / (9 + np.sqrt(0.5 * 5000))
    assert found.faces_c[0, 0] == pytest.approx(surface, rel=1e-13)
    assert temperature_at_c(found, [25.0]) == pytest.approx([37.0])


def test_what_is_no_stack_is_refused():
    plain = layer(0.01)
    with pytest.raises(OutsideModelError, match="no heat leaves"):
        Stack(layers=(plain,), first=INSULATED, last=INSULATED)
    with pytest.raises(OutsideModelError, match="1 contacts"):
        Stack(layers=(plain, plain), first=AIR, last=AIR, contacts_k_m2_per_w=(0.1, 0.1))
    with pytest.raises(OutsideModelError, match="positive"):
        Stack(layers=(layer(0.0),), first=AIR, last=AIR)
    stack = Stack(layers=(plain,), first=AIR, last=AIR)
    with pytest.raises(OutsideModelError, match="faces"):
        steady_state(stack, Heat(sheets_w_per_m2=((2, 1.0),)))
    with pytest.raises(OutsideModelError, match="layers of this stack"):
        steady_state(stack, Heat(volumes_w_per_m3=((1, 1.0),)))
    with pytest.raises(OutsideModelError, match="reaches"):
        temperature_at_c(steady_state(stack, Heat()), [0.02])
    with pytest.raises(OutsideModelError, match="no layer 'skin'"):
        stack.place_of("skin")
