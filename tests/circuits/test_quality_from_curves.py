"""Quality factor off a curve, and two coupled resonators."""

from dataclasses import replace

import numpy as np
import pytest
from made_ports import lumped_ports
from ready_circuits import KIT, two_traps

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.loop_response import loop_response
from loopwright.circuits.parts import Capacitor, Preamplifier
from loopwright.circuits.readings.quality_from_curves import quality_by_three_methods
from loopwright.circuits.states import UNPLUGGED
from loopwright.circuits.wiring import Branch, ElementCircuit
from loopwright.ground.errors import OutsideModelError

F = 123.2e6
LOOP_H = 150e-9


def resonant(*, quality=np.inf):
    """One gap, one capacitor: resonant with the loop alone."""
    capacitor = Capacitor(capacitance_f=1 / ((2 * np.pi * F) ** 2 * LOOP_H), quality_factor=quality)
    return ElementCircuit(
        gap_count=1,
        branches=(Branch(name="C", part=capacitor, between=("gap 1", "return 1")),),
        channel=("gap 1", "return 1"),
        receiver=Preamplifier(input_ohm=50 + 0j),
    )


def loop_current(ports, circuits, frequencies_hz):
    """Current of the first loop per volt round it: what a loosely coupled double probe shows."""
    states = [UNPLUGGED] * len(circuits)
    return np.array(
        [
            loop_response(array_state(ports.at(f), circuits, states, frequency_hz=f), 50).loop_siemens[0]
            for f in frequencies_hz.tolist()
        ]
    )


@pytest.mark.parametrize("quality", [15, 80, 250])
def test_three_methods_agree_on_a_swept_element(quality):
    """Reactance over resistance, within 2 per cent."""
    ports = lumped_ports(inductance_h=LOOP_H, resistance_ohm=2 * np.pi * F * LOOP_H / quality, gaps=1, band=0.12)
    width = F / quality
    f = np.linspace(F - 1.5 * width, F + 1.5 * width, 401)
    found = quality_by_three_methods(f, loop_current(ports, [resonant()], f))
    assert found.resonance_hz == pytest.approx(F, rel=2e-3)
    for value in (found.by_three_decibels, found.by_phase_slope, found.by_forty_five_degrees):
        assert value == pytest.approx(quality, rel=0.02)
    assert found.spread < 0.02


def test_losses_of_parts_count():
    ports = lumped_ports(inductance_h=LOOP_H, resistance_ohm=2 * np.pi * F * LOOP_H / 100, gaps=1)
    f = np.linspace(0.97 * F, 1.03 * F, 401)
    found = quality_by_three_methods(f, loop_current(ports, [resonant(quality=300)], f))
    assert found.by_three_decibels == pytest.approx(1 / (1 / 100 + 1 / 300), rel=0.02)


@pytest.mark.parametrize(("sample_ohm", "solved"), [(0.0, 206.0), (1.0, 84.7), (8.0, 16.5)])
def test_a_loop_with_traps_has_the_quality_of_the_same_loop_as_wires(sample_ohm, solved):
    """80 mm, four gaps, two traps that block nothing: figures computed elsewhere with the loop as 48 wires.

    The crossed diodes there left 0.08 ohm in the loop, which 20 kilohm through the inductor does: (41.5 ohm)^2 / 20 k.
    """
    centre_hz = 127.7e6
    ports = lumped_ports(
        inductance_h=178.8e-9, resistance_ohm=0.178 + sample_ohm, gaps=4, frequency_hz=centre_hz, band=0.15
    )
    f = centre_hz * (1 + np.linspace(-0.12, 0.12, 1601))
    circuit = two_traps().with_part("D trap 2", replace(KIT.crossed_diodes, blocking_resistance_ohm=20e3))
    found = quality_by_three_methods(f, loop_current(ports, [circuit], f))
    for value in (found.by_three_decibels, found.by_phase_slope, found.by_forty_five_degrees):
        assert value == pytest.approx(solved, rel=0.04)
    assert found.spread < 0.02


def test_exact_curve_and_any_constant_phase():
    f = np.linspace(0.9, 1.1, 2001)
    for phase in (0.0, 2.9):
        found = quality_by_three_methods(f, np.exp(1j * phase) / (1 + 2j * 40 * (f - 1)))
        assert found.resonance_hz == pytest.approx(1, abs=1e-9)
        assert found.by_three_decibels == pytest.approx(40, rel=1e-4)
        assert found.by_phase_slope == pytest.approx(40, rel=1e-3)
        assert found.by_forty_five_degrees == pytest.approx(40, rel=1e-4)


def test_a_band_without_the_peak_or_its_flanks_is_refused():
    f = np.linspace(1.01, 1.1, 200)
    with pytest.raises(OutsideModelError, match="peak"):
        quality_by_three_methods(f, 1 / (1 + 2j * 40 * (f - 1)))
    f = np.linspace(0.995, 1.005, 200)
    with pytest.raises(OutsideModelError, match="3 dB on both sides"):
        quality_by_three_methods(f, 1 / (1 + 2j * 40 * (f - 1)))


@pytest.mark.parametrize("coupling", [0.02, -0.03])
def test_two_equal_coupled_resonators_split_by_their_coupling(coupling):
    """f = f0 / sqrt(1 +- k) (textbook)."""
    ports = lumped_ports(
        inductance_h=LOOP_H, resistance_ohm=0.02, coupling_h=coupling * LOOP_H, elements=2, gaps=1, band=0.04
    )
    expected = np.sort(F / np.sqrt([1 + coupling, 1 - coupling]))
    for peak in expected:
        f = np.linspace(peak - 20e3, peak + 20e3, 801)
        size = np.abs(loop_current(ports, [resonant()] * 2, f))
        assert f[np.argmax(size)] == pytest.approx(peak, abs=100)
        assert 0 < np.argmax(size) < len(f) - 1


@pytest.mark.parametrize(("times", "peaks"), [(0.8, 1), (1.25, 2)])
def test_split_shows_once_coupling_exceeds_one_over_the_quality(times, peaks):
    """The other loop's current has two peaks if k Q > 1 and one below (textbook)."""
    quality = 40
    ports = lumped_ports(
        inductance_h=LOOP_H,
        resistance_ohm=2 * np.pi * F * LOOP_H / quality,
        coupling_h=times / quality * LOOP_H,
        elements=2,
        gaps=1,
    )
    f = np.linspace(0.965 * F, 1.035 * F, 701)
    size = []
    for one in f.tolist():
        state = array_state(ports.at(one), [resonant()] * 2, [UNPLUGGED] * 2, frequency_hz=one)
        size.append(abs(state.channel_ohm[1, 0]))
    inner = np.array(size)
    tops = np.flatnonzero((inner[1:-1] > inner[:-2]) & (inner[1:-1] > inner[2:]))
    assert len(tops) == peaks


@pytest.mark.parametrize("beside", [0.0, 0.3, 0.5])
def test_a_curve_that_is_sampled_too_thinly_is_refused_before_it_misleads(beside):
    """161 points over 8 per cent, as a run sweeps: from Q 500 on the phase was 4 % low, from 3000 on all was fancy."""
    f = np.linspace(0.96 * F, 1.04 * F, 161)
    centre_hz = F + beside * (f[1] - f[0])
    curve = lambda quality: 1 / (1 + 1j * quality * (f / centre_hz - centre_hz / f))  # noqa: E731
    sharp = quality_by_three_methods(f, curve(300.0))
    assert sharp.spread < 0.02
    assert sharp.by_three_decibels == pytest.approx(300, rel=0.02)
    for quality in (500.0, 3000.0):
        with pytest.raises(OutsideModelError, match="at least 6 samples within its width"):
            quality_by_three_methods(f, curve(quality))
