"""Hot spots against exact solutions of conduction and of the bioheat equation."""

import math

import numpy as np
import pytest
from scipy.integrate import dblquad, quad
from scipy.special import erfc

from loopwright.heating.layers import Outside
from loopwright.heating.spot import SpotStack, Stretch, around_conductor
from loopwright.heating.spot_mesh import SpotPlanes, spot_planes
from loopwright.heating.spot_solution import base_temperature_c, rates_for, spot_modes
from loopwright.heating.spot_system import spot_system
from loopwright.heating.stack import Heat
from loopwright.heating.warming import warming
from loopwright.heating.worn import worn_stack
from warm_spots import AIR, CORE, FILM, FOAM, NO_AIR, TISSUE, bare_trace, layer

HALF = 1e-3  # half the edge of the square source that spreads no heat by itself
SQUARE, SQUARE_TRACE = Stretch(length_m=2 * HALF), bare_trace(2 * HALF)


def over_the_square(radial_integral):
    """Integral over the square of a function of the distance from its middle, given its integral along a ray."""
    return 8 * quad(lambda angle: radial_integral(HALF / math.cos(angle)), 0, math.pi / 4)[0]


def system_of(stack, fineness):
    return spot_system(SQUARE, SQUARE_TRACE, stack, spot_planes(SQUARE, SQUARE_TRACE, stack, fineness=fineness))


def middle_k_per_w(stack, fineness):
    return spot_modes(system_of(stack, fineness), []).steady_k_per_w.max()


K, M = 0.5, 200.0  # conductivity of a medium, and what perfusion makes of it: exp(-M r)


@pytest.fixture(scope="module")
def perfused():
    """A square in a perfused medium without end."""
    medium = (layer("medium", 0.04, K, perfusion=K * M**2),)
    return SpotStack(outer=medium, inner=(), between=(), tissue=medium, air=NO_AIR, core=CORE)


def test_the_middle_of_a_square_in_a_perfused_medium(perfused):
    """T = q/(4 pi k) times the integral of exp(-m r)/r over the square: Pennes; error falls with the square."""
    exact = over_the_square(lambda r: (1 - math.exp(-M * r)) / M) / (4 * math.pi * K * 4 * HALF**2)
    coarse, fine = (middle_k_per_w(perfused, fineness) for fineness in (1, 2))
    assert fine == pytest.approx(exact, rel=0.015)
    assert math.log2((exact - coarse) / (exact - fine)) == pytest.approx(2, abs=0.2)
    assert abs(fine - exact) < abs(fine - coarse), "the change between two grids covers the error"


def test_far_from_a_square_in_a_perfused_medium(perfused):
    """The field of a point, exp(-m r)/(4 pi k r), spread over the square; straight above and beside it."""
    system = system_of(perfused, 2)
    rise = spot_modes(system, []).steady_k_per_w
    x, y, z = system.points_m.T
    for axis, off in ((x, (y, z)), (z, (x, y))):
        beyond = (np.abs(off[0]) < 1e-9) & (np.abs(off[1]) < 1e-9) & (axis > 4e-3) & (axis < 12e-3)
        assert beyond.sum() >= 3
        for node in np.flatnonzero(beyond):

            def kernel(v, u, node=node):
                r = math.hypot(x[node] - u, y[node] - v, z[node])
                return math.exp(-M * r) / (4 * math.pi * K * r) / (4 * HALF**2)

            exact = dblquad(kernel, -HALF, HALF, -HALF, HALF, epsrel=1e-6)[0]
            assert rise[node] == pytest.approx(exact, rel=0.02)


def test_a_square_on_a_half_space():
    """T = q/(2 pi k) times the integral of 1/r over the square: 8 a asinh(1); nothing leaves on the other side."""
    stack = SpotStack(outer=(), inner=(), between=(), tissue=(layer("medium", 0.3, K),), air=NO_AIR, core=CORE)
    exact = 8 * HALF * math.asinh(1) / (2 * math.pi * K * 4 * HALF**2)
    coarse, fine = (middle_k_per_w(stack, fineness) for fineness in (1, 2))
    assert fine == pytest.approx(exact, rel=0.015)
    assert abs(fine - exact) < abs(fine - coarse)


def test_a_square_in_a_medium_after_any_time():
    """T(t) = q/(4 pi k) times the integral of erfc(r/sqrt(4 a t))/r over the square."""
    medium = (layer("medium", 0.08, K, 1000, 2000),)
    stack = SpotStack(outer=medium, inner=(), between=(), tissue=medium, air=NO_AIR, core=CORE)
    grids = [spot_modes(system_of(stack, f), rates_for(earliest_s=1.0, latest_s=200.0)) for f in (1, 2)]
    for time_s in (1.0, 4.0, 20.0, 100.0):
        reach = math.sqrt(4 * K / (1000 * 2000) * time_s)
        exact = over_the_square(lambda r, reach=reach: quad(lambda s: erfc(s / reach), 0, r)[0])
        exact /= 4 * math.pi * K * 4 * HALF**2
        coarse, fine = (
            (modes.steady_k_per_w - modes.modes_k_per_w @ np.exp(-modes.rates_per_s * time_s)).max() for modes in grids
        )
        assert fine == pytest.approx(exact, rel=0.025)
        assert (exact - coarse) / (exact - fine) == pytest.approx(4, abs=1.0), "second order"


def wide(stack, fineness=2):
    """Equations of a source so wide that heat flows through the layers only, and its area."""
    planes = spot_planes(SQUARE, SQUARE_TRACE, stack, fineness=fineness)
    column = SpotPlanes(x_m=np.linspace(0, 1e-3, 3), y_m=np.linspace(0, 1e-3, 3), z_m=planes.z_m)
    return spot_system(Stretch(length_m=1.0), bare_trace(1.0), stack, column), 4 * 1e-3**2


def test_a_wide_source_heats_layers_in_series():
    """Air through foam and film on one side, perfused tissue on the other, each layer by its hyperbolic line."""
    stack = SpotStack(outer=(FILM, FOAM), inner=(FILM,), between=(), tissue=TISSUE, air=AIR, core=CORE)
    outwards = 1 / (1 / 8.0 + 6e-3 / 0.04 + 50e-6 / 0.2)
    inwards = math.inf
    for tissue in reversed(TISSUE):
        own = math.sqrt(tissue.conductivity_w_per_m_k * tissue.perfusion_w_per_m3_k)
        tanh = math.tanh(tissue.thickness_m * own / tissue.conductivity_w_per_m_k)
        inwards = own / tanh if math.isinf(inwards) else own * (inwards + own * tanh) / (own + inwards * tanh)
    inwards = 1 / (1 / inwards + 50e-6 / 0.2)
    system, area_m2 = wide(stack)
    rise = spot_modes(system, []).steady_k_per_w
    assert rise.max() == pytest.approx(1 / (area_m2 * (outwards + inwards)), rel=2e-3)


def test_a_wide_source_heats_two_deep_media_by_their_effusivities():
    """T(t) = 2 q sqrt(t/pi) / (e1 + e2), e = sqrt(k rho c), until the warmth reaches the ends."""
    one, two = layer("one", 0.05, 0.5, 1000, 2000), layer("two", 0.05, 0.2, 900, 1500)
    stack = SpotStack(outer=(one,), inner=(), between=(), tissue=(two,), air=NO_AIR, core=CORE)
    system, area_m2 = wide(stack, fineness=6)
    modes = spot_modes(system, rates_for(earliest_s=1.0, latest_s=1e4))
    source = np.abs(system.points_m[:, 2]) < 1e-9
    effusivity = math.sqrt(0.5 * 1000 * 2000) + math.sqrt(0.2 * 900 * 1500)
    for time_s in (2.0, 10.0, 60.0, 200.0):
        rise = modes.steady_k_per_w - modes.modes_k_per_w @ np.exp(-modes.rates_per_s * time_s)
        assert rise[source] == pytest.approx(2 * math.sqrt(time_s / math.pi) / effusivity / area_m2, rel=0.01)


def test_a_wide_source_is_the_slab():
    """The same usual stack by the exact solution for layers: base, rise and warming at every face."""
    air = Outside(temperature_c=24.0, transfer_w_per_m2_k=8.0)
    slab = worn_stack(air, {}, {})
    stack = around_conductor(slab, conductor="film", applied="fabric", skin="Skin (Dry)")
    system, area_m2 = wide(stack, fineness=6)
    modes = spot_modes(system, rates_for(earliest_s=1.0, latest_s=1e4))
    base = base_temperature_c(system, core_c=37.0)
    times_s = np.array([30.0, 300.0, 3000.0])
    heat = Heat(sheets_w_per_m2=((slab.place_of("film"), 1 / area_m2),))
    exact = warming(slab, Heat(), heat, times_s)
    for name, depth_m in (("film", 0.0), ("air gap", stack.applied_m), ("Skin (Dry)", stack.skin_m)):
        node = np.flatnonzero(np.isclose(system.points_m[:, 2], -depth_m, atol=1e-9))[0]
        assert base[node] == pytest.approx(exact.before.before(name), abs=0.02)
        rise = exact.final.before(name) - exact.before.before(name)
        assert modes.steady_k_per_w[node] == pytest.approx(rise, rel=2e-3)
        told = (
            base[node]
            + modes.steady_k_per_w[node]
            - modes.modes_k_per_w[node] @ np.exp(-np.outer(modes.rates_per_s, times_s))
        )
        assert told - base[node] == pytest.approx(
            exact.faces_c[:, slab.place_of(name), 0] - exact.before.before(name), abs=5e-3 * rise
        )


def test_skin_without_any_power():
    """One perfused layer that makes heat, below a film, in air: the bioheat equation in one dimension."""
    k, perfusion, made, depth = 0.4, 2000.0, 700.0, 0.02
    stack = SpotStack(
        outer=(FOAM,),
        inner=(),
        between=(),
        tissue=(layer("tissue", depth, k, perfusion=perfusion, metabolic=made),),
        air=AIR,
        core=CORE,
    )
    system, _ = wide(stack)
    base = base_temperature_c(system, core_c=37.0)
    out = 1 / (1 / 8.0 + 6e-3 / 0.04)
    m, above = math.sqrt(perfusion / k), made / perfusion
    # T = 37 + above + a cosh(m s) + b sinh(m s), s the depth: heat leaves at s = 0, T = 37 at the core
    rows = np.array([[-out, k * m], [math.cosh(m * depth), math.sinh(m * depth)]])
    a, _b = np.linalg.solve(rows, [out * (37 + above - 24.0), -above])
    skin = np.abs(system.points_m[:, 2]) < 1e-9
    assert base[skin] - 37.0 == pytest.approx(above + a, rel=5e-3)
