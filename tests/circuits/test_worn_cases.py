"""Wet gaps by hand, and the cases of an array that lies wrongly."""

import numpy as np
import pytest

from circuits.ready_circuits import two_traps
from loopwright.circuits.array_circuit import array_state, gap_currents_a
from loopwright.circuits.faults.cases import Wearing
from loopwright.circuits.faults.wet import SALINE_FILM, LiquidFilm, film_across, wet_circuits
from loopwright.circuits.faults.worn_cases import WEARINGS, worn_cases
from loopwright.circuits.nodal import reduced
from loopwright.circuits.parts import OffGap
from loopwright.circuits.states import DETUNED_BY_BOTH, PASSIVELY_DETUNED, RECEIVING, in_state
from loopwright.ground.errors import OutsideModelError

F_HZ = 123.2e6


def test_a_wet_gap_by_hand():
    """0.9 % saline conducts 1.99 S/m at 37 degC (conductivity tables, from memory: 1.9 to 2.0); eps is some 72."""
    film = film_across(LiquidFilm(thickness_m=0.2e-3, gap_length_m=2e-3), width_m=5e-3, frequency_hz=F_HZ)
    assert film.resistance_ohm == pytest.approx(1 / (1.99 * 5e-3 * 0.2e-3 / 2e-3), rel=0.02)
    assert film.capacitance_f == pytest.approx(72 * 8.854e-12 * 5e-3 * 0.2e-3 / 2e-3, rel=0.02, abs=0)


def test_films_add_up_by_width_and_thickness_and_fall_with_the_gap():
    one = film_across(SALINE_FILM, width_m=3e-3, frequency_hz=F_HZ)
    wide = film_across(SALINE_FILM, width_m=6e-3, frequency_hz=F_HZ)
    thick = film_across(LiquidFilm(thickness_m=0.4e-3), width_m=3e-3, frequency_hz=F_HZ)
    far = film_across(LiquidFilm(gap_length_m=4e-3), width_m=3e-3, frequency_hz=F_HZ)
    for other, factor in ((wide, 2), (thick, 2), (far, 0.5)):
        assert other.resistance_ohm == pytest.approx(one.resistance_ohm / factor)
        assert other.capacitance_f == pytest.approx(one.capacitance_f * factor, abs=0)


def test_every_gap_of_a_wet_element_gets_the_admittance_of_the_film():
    dry, film = two_traps(), OffGap(resistance_ohm=800.0, capacitance_f=0.4e-12)
    (wet,) = wet_circuits([dry], film)
    siemens = [reduced(in_state(circuit, RECEIVING), F_HZ, np.array(0.02)).gap_siemens for circuit in (dry, wet)]
    added = 1 / 800.0 + 2j * np.pi * F_HZ * 0.4e-12
    assert siemens[1] - siemens[0] == pytest.approx(added * np.eye(dry.gap_count), rel=1e-9, abs=1e-12)


def test_a_film_takes_power_from_a_driven_array_and_gives_none():
    """What the field gives is what ring, parts and film take, and all are positive."""
    circuits = wet_circuits([two_traps()], film_across(SALINE_FILM, width_m=5e-3, frequency_hz=F_HZ))
    gaps = circuits[0].gap_count
    port_ohm = np.full((gaps, gaps), 0.4 + 180j) + np.diag(np.full(gaps, 0.1 + 2j))
    for case in worn_cases(Wearing.WET, circuits):
        state = array_state(port_ohm, circuits, case.states, frequency_hz=F_HZ)
        open_v = np.ones(gaps, dtype=complex)
        current = gap_currents_a(state, open_v)
        voltage = open_v + port_ohm @ current
        assert -np.vdot(voltage, current).real > 0
        assert -np.vdot(open_v, current).real == pytest.approx(
            np.vdot(current, port_ohm @ current).real - np.vdot(voltage, current).real
        )


@pytest.mark.parametrize("wrong", [{"thickness_m": 0.0}, {"gap_length_m": -1e-3}, {"salt_kg_per_m3": 0.0}])
def test_a_film_without_extent_is_refused(wrong):
    with pytest.raises(OutsideModelError, match="above 0"):
        LiquidFilm(**wrong)
    with pytest.raises(OutsideModelError, match="width_m"):
        film_across(SALINE_FILM, width_m=0.0, frequency_hz=F_HZ)


def test_every_lie_is_seen_plugged_and_unplugged():
    circuits = (two_traps(),) * 3
    assert set(WEARINGS.values()) == set(Wearing) - {Wearing.AS_DESIGNED}
    for wearing in WEARINGS.values():
        cases = worn_cases(wearing, circuits)
        assert [case.states for case in cases] == [(DETUNED_BY_BOTH,) * 3, (PASSIVELY_DETUNED,) * 3]
        assert [case.family for case in cases] == [DETUNED_BY_BOTH.name, PASSIVELY_DETUNED.name]
        assert all(case.wearing is wearing and case.failed == (0, 1, 2) for case in cases)
        assert all(wearing.value in case.name for case in cases)
    assert worn_cases(Wearing.FOLDED, circuits, failed=(2, 1))[0].failed == (2, 1)
