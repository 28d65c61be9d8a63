"""A birdcage in its shield: its static field against current sheets, its resonance, capacitors in rings and rungs."""

import numpy as np
import pytest
from scipy.constants import mu_0
from scipy.integrate import quad
from scipy.special import ivp, kvp

from birdcage_cases import birdcage, strip
from loopwright.fields.transmit.birdcage import Capacitors, Shield, sector_of
from loopwright.fields.transmit.birdcage_wires import cage_wires, capacitor_ohm, resonance, wave_of_ports, wave_patterns
from loopwright.fields.wires.piece_fields import fields_of_ends
from loopwright.ground.errors import OutsideModelError

F = 127.7e6


def on_axis_t(z_m, sheet_a_per_m, *, radius_m, half_m, shield_m):
    """B1 of K cos(phi) over |z| < half on a cylinder with end rings, inside an endless perfect shield, static.

    By Fourier transform along z of the currents round it, K_phi ~ sin(k half), and the shield's answer to each k.
    R. Turner and R. M. Bowley, Journal of Physics E 19, 876-879 (1986) (from memory).
    """

    def part(k):
        shielded = 1 - ivp(1, k * radius_m) * kvp(1, k * shield_m) / (ivp(1, k * shield_m) * kvp(1, k * radius_m))
        return -k * np.sin(k * half_m) * kvp(1, k * radius_m) * shielded * np.cos(k * z_m)

    whole = quad(part, 0, 50 / radius_m, limit=1000)[0]
    return mu_0 * sheet_a_per_m * radius_m**2 / np.pi * whole


def test_the_reference_without_shield_is_the_closed_form_of_biot_and_savart():
    """mu0 K/4 [u/s (1 + R^2/s^2)] between the ends, s^2 = R^2 + u^2."""
    bare = on_axis_t(0.1, 1.0, radius_m=0.3, half_m=0.25, shield_m=30.0)
    u = np.array([0.35, -0.15])
    s = np.hypot(0.3, u)
    assert bare == pytest.approx(-mu_0 / 4 * np.diff(u / s * (1 + 0.09 / s**2))[0], rel=1e-4)


def test_the_static_field_is_that_of_sheets_of_current():
    """Sixteen rungs and a grid for a shield stand for sheets: 1 % at the middle, 1e-3 along the axis from there."""
    cage = birdcage(
        length_m=0.5,
        rungs=16,
        section=strip(0.02),
        pieces_per_rung=12,
        shield=Shield(radius_m=0.36, length_m=1.6, wires_per_rung=3, conductivity_s_per_m=1e12),
    )
    wires = cage_wires(cage, 2e6)
    angle = 2 * np.pi * np.arange(16) / 16
    rings = np.column_stack([np.cos(angle), -np.cos(angle)]).ravel()
    ends = wires.ports.end_current @ rings
    rung = ends[np.arange(16) * (len(wires.graph.branches) // 16) + 6]  # start of the piece above the middle
    sheet_a_per_m = abs(rung @ np.exp(1j * angle)) * 2 / 16 * 16 / (2 * np.pi * 0.3)
    z = np.array([0.0, 0.1, 0.2])
    _, field_t = fields_of_ends(np.column_stack([0 * z, 0 * z, z]), wires.graph, ends, 2e6)
    found = np.linalg.norm(field_t, axis=1)
    expected = [on_axis_t(at, sheet_a_per_m, radius_m=0.3, half_m=0.25, shield_m=0.36) for at in z]
    assert found[0] == pytest.approx(expected[0], rel=1e-2)
    assert found / found[0] == pytest.approx(np.array(expected) / expected[0], abs=1e-3)


@pytest.fixture(scope="module")
def solved():
    wires = cage_wires(birdcage(), F)
    return wires, resonance(wires)


def test_two_waves_resonate_and_no_other(solved):
    """With its capacitors the ports' impedance has a real eigenvalue twice, for the two ways round."""
    wires, found = solved
    gaps = capacitor_ohm(np.tile(found.capacitor_f, 12), quality=1000.0, frequency_hz=F)
    values = np.linalg.eigvals(wires.ports.impedance_ohm + np.diag(gaps))
    values = values[np.argsort(abs(values))]
    assert values[:2] == pytest.approx([found.resistance_ohm] * 2, rel=1e-4, abs=1e-4)
    assert abs(values[2]) > 50 * found.resistance_ohm


def test_quality_is_that_of_the_curve(solved):
    """Half a bandwidth off resonance the wave's reactance equals its resistance."""
    wires, found = solved
    off = F * (1 + 0.5 / found.quality(F))
    waves = wave_of_ports(wires.cage) @ found.wave
    impedance = waves.conj() @ cage_wires(wires.cage, off).ports.impedance_ohm @ waves
    impedance += capacitor_ohm(found.capacitor_f[0], quality=1000.0, frequency_hz=off)
    assert impedance.imag == pytest.approx(found.resistance_ohm, rel=0.01)
    assert found.quality(F, added_ohm=found.resistance_ohm) == pytest.approx(found.quality(F) / 2)


def test_ports_are_a_passive_reciprocal_network(solved):
    z = solved[0].ports.impedance_ohm
    assert np.abs(z - z.T).max() <= 1e-9 * np.abs(z).max()
    assert np.linalg.eigvalsh((z + z.conj().T) / 2)[0] > 0


def test_all_wave_patterns_span_the_ports():
    for kind in (Capacitors.END_RINGS, Capacitors.RUNGS):
        patterns = wave_patterns(birdcage(capacitors=kind), range(7))
        assert patterns.shape[0] == patterns.shape[1]
        assert patterns.T @ patterns == pytest.approx(np.eye(len(patterns)), abs=1e-12)


def test_large_capacitors_in_the_rungs_change_nothing(solved):
    both = birdcage(capacitors=Capacitors.BOTH, rung_capacitor_f=1e-6)
    found = resonance(cage_wires(both, F))
    assert found.capacitor_f[0] == pytest.approx(solved[1].capacitor_f[0], rel=2e-3, abs=0)


def test_capacitors_in_the_rungs_ask_for_larger_ones_in_the_rings(solved):
    both = birdcage(capacitors=Capacitors.BOTH, rung_capacitor_f=40e-12)
    assert resonance(cage_wires(both, F)).capacitor_f[0] > 1.05 * solved[1].capacitor_f[0]


def test_long_rungs_cannot_be_tuned_by_capacitors_in_their_middle():
    long = birdcage(capacitors=Capacitors.RUNGS)
    with pytest.raises(OutsideModelError, match="capacitors in the rings"):
        resonance(cage_wires(long, F))
    assert resonance(cage_wires(long, 42.6e6)).capacitor_f[0] > 0


def test_the_shield_settles_with_its_mesh():
    """Reactance of the wave with 1, 2 and 4 wires of the shield per rung."""
    found = []
    for count in (1, 2, 4):
        cage = birdcage(shield=Shield(radius_m=0.36, length_m=0.9, wires_per_rung=count))
        wave = wave_of_ports(cage)[:, 0]
        found.append((wave.conj() @ cage_wires(cage, F).ports.impedance_ohm @ wave).imag)
    assert abs(found[2] - found[1]) < 0.35 * abs(found[1] - found[0])
    assert abs(found[2] - found[1]) < 0.03 * found[2]


def test_no_piece_of_a_rung_is_shorter_than_four_radii():
    """Sixteen pieces of half a metre would be; twelve are 41.7 mm long, and strips 40 mm wide are wires of 10 mm."""
    sector = sector_of(birdcage(length_m=0.5, pieces_per_rung=16), F)
    steps = sector.nodes_m[sector.branches[:12, 1]] - sector.nodes_m[sector.branches[:12, 0]]
    assert np.linalg.norm(steps, axis=1) == pytest.approx(np.full(12, 0.5 / 12))
    assert sector.radius_m[:12] == pytest.approx(np.full(12, 0.01))
    assert birdcage(length_m=0.64, pieces_per_rung=16).pieces_of_rung == 16
    assert birdcage(pieces_per_rung=8).pieces_of_rung == 8


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"rungs": 10}, "multiple of four"),
        ({"pieces_per_arc": 3}, "must be even"),
        ({"radius_m": 0.33}, "by the width"),
        ({"rung_capacitor_f": 1e-11}, "rings and rungs"),
        ({"length_m": 0.07}, "shorter than four radii"),
        ({"rungs": 24}, "shorter than four radii"),
    ],
)
def test_what_is_no_birdcage_is_refused(changed, words):
    with pytest.raises(OutsideModelError, match=words):
        birdcage(**changed)
