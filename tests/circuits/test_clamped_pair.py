"""Crossed diodes among their harmonics, against the two limits that have closed forms and against a finer balance."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad

from loopwright.circuits.bias import clamped_pair
from loopwright.circuits.bias.clamped_pair import HARMONICS, clamped_pairs
from loopwright.circuits.bias.crossed_diodes import GENERIC_CROSSED_DIODES, junction_admittance_s

F = 127.7e6
W = 2 * np.pi * F
REAL = GENERIC_CROSSED_DIODES
BARE = replace(REAL, junction_capacitance_f=0.0, series_resistance_ohm=0.0)
H = len(HARMONICS) - 1
WAVES_V = np.array([1e-3, 0.3, 0.8, 3.0, 100.0, 5000.0])


def told(law, harmonic_ohm, waves_v=WAVES_V):
    """Voltage and current at each wave, one pair."""
    curves = clamped_pairs((law,), np.broadcast_to(harmonic_ohm, (H, 1)), frequency_hz=F)
    shares = np.array([curves.shares([wave])[0][:, 0] for wave in waves_v])
    return shares[:, 0] * waves_v, shares[:, 1] * waves_v / curves.behind_ohm


def test_where_harmonics_see_a_short_the_voltage_is_sinusoidal():
    voltage, current = told(BARE, 1e-9)
    expected = junction_admittance_s(np.abs(voltage), diodes=BARE, frequency_hz=F)
    np.testing.assert_allclose(current / voltage, expected, rtol=2e-5)


def test_where_harmonics_see_nothing_the_current_is_sinusoidal():
    """Fundamental of the inverse law; at hundreds of milliamperes that is a square wave with sharp edges."""
    voltage, current = told(BARE, 1e5, WAVES_V[3:])
    for v, i in zip(voltage, current, strict=True):
        inside = abs(i) / (2 * BARE.saturation_current_a)
        edges = [np.pi / 2 - d for d in (1e-9, 1e-6, 1e-3, 0.1)]
        integral, _ = quad(lambda a, n=inside: np.arcsinh(n * np.cos(a)) * np.cos(a), 0, np.pi / 2, points=edges,
                           limit=200)  # fmt: skip
        assert abs(v) == pytest.approx(4 / np.pi * BARE.scale_v * integral, rel=3e-3)


def test_twice_as_many_times_change_little(monkeypatch):
    """Behind the inductor of a trap, beside its capacitor."""

    def trap_ohm(harmonics):
        return (0.3 + 1j * W * harmonics * 51.8e-9 + 1 / (1j * W * harmonics * 30e-12))[:, None]

    coarse = np.array(told(REAL, trap_ohm(HARMONICS[1:])))
    monkeypatch.setattr(clamped_pair, "_TIMES", 64)
    monkeypatch.setattr(clamped_pair, "HARMONICS", np.arange(1, 64, 2))
    curves = clamped_pairs((REAL,), trap_ohm(np.arange(3, 64, 2)), frequency_hz=F)
    fine = np.array([curves.shares([wave])[0][:, 0] * [wave, wave / curves.behind_ohm] for wave in WAVES_V]).T
    np.testing.assert_allclose(np.abs(coarse), np.abs(fine), rtol=1e-3)
    # Edges that are sharper than the times stand a little off: a hundredth of a radian.
    assert np.abs(np.angle(coarse / fine)).max() < 0.011


def test_between_places_the_curve_is_the_balance_itself():
    """Curves of a neighbour: the same pair told from other places, which the wider span of another law shifts."""
    other = replace(REAL, emission=1.0)
    alone = clamped_pairs((REAL,), np.full((H, 1), 30 - 40j), frequency_hz=F)
    beside = clamped_pairs((REAL, other), np.full((H, 2), 30 - 40j), frequency_hz=F)
    for wave in np.geomspace(0.1, 1e3, 23):
        one, two = alone.shares([wave])[0][:, 0], beside.shares([wave, wave])[0][:, 0]
        np.testing.assert_allclose(one, two, rtol=1e-4)


def test_it_takes_power_up_and_neither_voltage_nor_current_outruns_the_wave():
    curves = clamped_pairs((REAL, BARE), np.full((H, 2), 5 + 200j), frequency_hz=F)
    for wave in np.geomspace(1e-4, 1e4, 60):
        shares, slopes = curves.shares([wave, wave])
        assert np.all((shares[0] * shares[1].conj()).real > 0)
        assert np.all(np.abs(shares + slopes) < 1 + 1e-6)
        np.testing.assert_allclose(shares.sum(axis=0), 1, rtol=1e-4)


def test_slopes_are_those_of_the_curves():
    curves = clamped_pairs((REAL,), np.full((H, 1), 10 - 60j), frequency_hz=F)
    for wave in (0.2, 0.9, 40.0):
        step = 1e-5
        low, high = (curves.shares([wave * np.exp(side * step)])[0] for side in (-1, 1))
        np.testing.assert_allclose(curves.shares([wave])[1], (high - low) / (2 * step), rtol=1e-6, atol=1e-9)
