import numpy as np
import pytest
from ready_circuits import two_traps
from scipy.optimize import root

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.array_ports import ArrayPorts
from loopwright.circuits.spread.spreads import (
    ImpedanceSpread,
    PartSpread,
    Shape,
    SharedBy,
    conductor_spread,
    drawn_circuits,
    drawn_port_change_ohm,
    standard_draws,
)
from loopwright.circuits.spread.tolerance import Limits, tolerance_study
from loopwright.circuits.states import RECEIVING
from loopwright.circuits.tuned.noise import NoiseTemperatures
from loopwright.circuits.tuned.resistances import Resistances
from loopwright.ground.progress import Silent

F0_HZ = 127.7e6
#: One 80 mm loop of four gaps, 178.8 nH in the loop mode, and 8 ohm of body; a weak neighbour.
LOOP_OHM = np.full((4, 4), 143.5j / 16 + 8.0 / 16) + np.eye(4) * 0.02
COUPLED_OHM = np.block([[LOOP_OHM, np.full((4, 4), 0.05 + 0.1j)], [np.full((4, 4), 0.05 + 0.1j), LOOP_OHM]])


def matched():
    """Two equal circuits that show 50 ohm to both receivers."""

    def miss(guess):
        tune_f, series_h = guess
        circuits = [two_traps(tune_f=tune_f * 1e-12, series_h=series_h * 1e-9)] * 2
        seen = array_state(COUPLED_OHM, circuits, [RECEIVING] * 2, frequency_hz=F0_HZ).seen_ohm[0]
        return seen.real / 50 - 1, seen.imag / 50

    found = root(miss, (29.65, 25.9))
    assert found.success
    return (two_traps(tune_f=found.x[0] * 1e-12, series_h=found.x[1] * 1e-9),) * 2


CIRCUITS = matched()
PLACE_OHM = np.zeros((1, 8, 8), dtype=complex)
PLACE_OHM[0, :4, 4:] = PLACE_OHM[0, 4:, :4] = 0.3j


def ports():
    frequencies_hz = F0_HZ * np.array([0.96, 0.98, 1.0, 1.02, 1.04])
    swept = np.stack([COUPLED_OHM.real + 1j * COUPLED_OHM.imag * f / F0_HZ for f in frequencies_hz])
    none = np.zeros((8, 8), dtype=complex)
    conductor = np.kron(np.eye(2), np.full((4, 4), 0.18 / 16)).astype(complex)
    return ArrayPorts(
        frequency_hz=F0_HZ,
        frequencies_hz=frequencies_hz,
        impedance_ohm=swept,
        port_element=np.repeat([0, 1], 4),
        resistances=Resistances(
            body_ohm=COUPLED_OHM.real - conductor,
            conductor_ohm=conductor,
            capacitor_ohm=none,
            other_ohm=none,
            radiation_ohm=none,
        ),
        temperatures=NoiseTemperatures(body_temperature_k=310, coil_temperature_k=293),
    )


def study(*causes, count=400, limits=None, seed=7):
    return tolerance_study(
        ports(),
        CIRCUITS,
        causes,
        limits=limits or Limits(noise_loss_db=0.05),
        step_hz=2e6,
        count=count,
        seed=seed,
        progress=Silent(),
    )


def capacitors(relative, **others):
    return PartSpread(
        name="capacitors", parts=("C match", "C tune 4", "C trap 2", "C trap 3"), relative=relative, **others
    )


def test_every_draw_is_the_array_solved_with_its_parts():
    causes = (
        capacitors(0.05),
        conductor_spread("ink", 0.3, ports().resistances.conductor_ohm, ports().port_element),
        ImpedanceSpread(name="places", change_ohm=PLACE_OHM),
    )
    found = study(*causes, count=20)
    draws = standard_draws(causes, CIRCUITS, count=20, generator=np.random.default_rng(7))
    change = drawn_port_change_ohm(causes, draws, ports=8)
    for draw in (0, 11, 19):
        one = drawn_circuits(CIRCUITS, causes, draws.part(slice(draw, draw + 1)))
        state = array_state(COUPLED_OHM + change[draw], one, [RECEIVING] * 2, frequency_hz=F0_HZ)
        reflection = np.abs((state.seen_ohm - 50) / (state.seen_ohm + 50))[0]
        assert found.reflection_db[draw] == pytest.approx(20 * np.log10(reflection), rel=1e-9)


def test_no_conductor_has_a_resistance_below_nought_however_far_it_strays():
    own_ohm = ports().resistances.conductor_ohm
    cause = conductor_spread("ink", 0.5, own_ohm, ports().port_element)
    draws = standard_draws((cause,), CIRCUITS, count=4000, generator=np.random.default_rng(7))
    ratio = 1 + drawn_port_change_ohm((cause,), draws, ports=8)[:, [0, 4], [0, 4]].real / own_ohm[0, 0].real
    assert ratio.min() > 0
    assert np.median(ratio) == pytest.approx(1, abs=0.03)
    assert np.log(ratio).std() == pytest.approx(0.5, rel=0.03)
    assert abs(np.corrcoef(ratio.T)[0, 1]) < 0.05


def test_the_same_seed_gives_the_same_study_and_another_does_not():
    one, two, other = study(capacitors(0.05)), study(capacitors(0.05)), study(capacitors(0.05), seed=8)
    assert np.array_equal(one.noise_loss_db, two.noise_loss_db)
    assert not np.array_equal(one.noise_loss_db, other.noise_loss_db)


def test_yield_falls_with_the_spread_and_an_array_yields_less_than_an_element():
    yields = [study(capacitors(spread)).array_yield for spread in (0.001, 0.02, 0.05, 0.1)]
    assert yields[0] == 1
    assert yields == sorted(yields, reverse=True)
    assert yields[-1] < 0.5
    wide = study(capacitors(0.05))
    assert wide.array_yield <= wide.element_yield.min()
    independent = wide.element_yield.prod()
    assert wide.array_yield == pytest.approx(independent, abs=4 * wide.array_yield_error + 0.02)


def test_one_lot_for_all_makes_elements_fail_together():
    """Parts that stray alike spoil whole arrays, or none: fewer arrays fail for as many elements."""
    apart = study(capacitors(0.04), count=2000)
    alike = study(capacitors(0.04, shared_by=SharedBy.ARRAY), count=2000)
    together = lambda found: np.corrcoef(found.noise_loss_db.T)[0, 1]  # noqa: E731
    assert together(alike) > 0.99
    assert abs(together(apart)) < 0.1


def test_shift_follows_the_capacitors_as_the_root():
    """df/f = -dC/2C for all capacitors of the loop together, diluted by the trap inductors and the match."""
    causes = (capacitors(0.01, shape=Shape.NORMAL, shared_by=SharedBy.ARRAY),)
    found = study(*causes, count=1000)
    standard = standard_draws(causes, CIRCUITS, count=1000, generator=np.random.default_rng(7)).variables[0][:, 0]
    slope_hz = np.polyfit(0.01 * standard, found.shift_hz[:, 0], 1)[0]
    assert slope_hz == pytest.approx(-F0_HZ / 2, rel=0.1)


def test_the_cause_that_strays_most_explains_most():
    causes = (capacitors(0.03), PartSpread(name="series inductors", parts=("L series",), relative=0.005))
    found = study(*causes, count=3000)
    shares = {share.name: share for share in found.causes}
    assert shares["capacitors"].shift > 0.95
    assert shares["series inductors"].shift < 0.05
    assert sum(share.shift for share in found.causes) + found.unexplained.shift == pytest.approx(1, abs=1e-9)
    assert found.causes[0].name == "capacitors"


def test_a_cause_that_moves_nothing_explains_nothing():
    found = study(capacitors(0.03), ImpedanceSpread(name="nothing", change_ohm=np.zeros((5, 8, 8), dtype=complex)))
    nothing = next(share for share in found.causes if share.name == "nothing")
    assert abs(nothing.noise_loss) < 0.02
    assert abs(nothing.shift) < 0.02


def test_a_shift_beyond_what_the_parabola_tells_is_never_within_a_limit():
    """Parts of 30 % throw the match out of the band: the shift stands at three steps, and may be any larger one."""
    wide = capacitors(0.3)
    found = study(wide, limits=Limits(shift_hz=8e6))
    lost = np.abs(found.shift_hz) == 6e6
    assert lost.mean() > 0.5
    assert not found.passed[lost].any()
    assert found.passed[~lost].all()
    assert study(wide, limits=Limits()).array_yield == 1  # nothing is asked of the shift


def test_too_few_draws_tell_no_causes_rather_than_wrong_ones():
    """60 variables that move next to nothing were told to explain three quarters of it."""
    rng = np.random.default_rng(0)
    change = 1e-9 * rng.standard_normal((60, 8, 8))
    idle = ImpedanceSpread(name="idle", change_ohm=(change + change.transpose(0, 2, 1)).astype(complex))
    assert all(np.isnan(share.noise_loss) for share in study(capacitors(0.03), idle, count=140).causes)
    shares = {share.name: share for share in study(capacitors(0.03), idle, count=300).causes}
    assert abs(shares["idle"].shift) < 0.05
    assert shares["capacitors"].shift > 0.9


@pytest.mark.parametrize("shape", list(Shape))
def test_no_part_turns_negative_however_far_it_strays(shape):
    """A normal spread of 50 per cent made one capacitor in forty negative."""
    causes = (capacitors(0.5, shape=shape),)
    draws = standard_draws(causes, CIRCUITS, count=4000, generator=np.random.default_rng(1))
    value = drawn_circuits(CIRCUITS, causes, draws)[0].part("C match").capacitance_f
    assert value.min() > 0
    assert np.median(value) == pytest.approx(CIRCUITS[0].part("C match").capacitance_f, rel=0.03)


def test_a_yield_of_all_is_still_uncertain_by_one_draw():
    found = study(capacitors(0.001), count=400)
    assert found.array_yield == 1
    assert found.array_yield_error == 1 / 400
