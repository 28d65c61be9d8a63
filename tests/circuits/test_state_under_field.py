"""One loop in a field, part by part."""

from dataclasses import replace

import numpy as np
import pytest

from circuits.one_loop import PRINTED, F, circuit, loop
from loopwright.circuits.parts import Fuse
from loopwright.circuits.states import ACTIVELY_DETUNED, PASSIVELY_DETUNED, RECEIVING, UNPLUGGED, Plug
from loopwright.circuits.under_field.driven_diodes import drive_array
from loopwright.circuits.under_field.state_under_field import state_under_field
from loopwright.circuits.wiring import Branch

ROWS = {row["state"]: row for row in PRINTED["states"]}


def found(state, own=None):
    return state_under_field(
        loop().ports(8.0).at_operation_ohm, [own or circuit()], state, emf_v=loop().emf_v(), frequency_hz=F
    )


@pytest.mark.parametrize(
    ("name", "state"),
    [
        ("open", UNPLUGGED),
        ("preamplifier", RECEIVING),
        ("pin on", ACTIVELY_DETUNED),
        ("crossed on unplugged", PASSIVELY_DETUNED),
        ("pin on unplugged", replace(ACTIVELY_DETUNED, plug=Plug.OUT)),
    ],
)
def test_a_state_is_that_of_the_table(name, state):
    (element,) = found(state).elements
    assert element.mean_current_a == pytest.approx(ROWS[name]["current_a"], rel=0.02)
    assert element.isolation_db == pytest.approx(-ROWS[name]["from_open_db"], abs=0.2)
    assert element.largest_gap_voltage_v == pytest.approx(ROWS[name]["gap_v"], abs=0.6)


def test_detuned_the_trap_takes_the_voltage_and_its_inductor_the_current():
    (element,) = found(ACTIVELY_DETUNED).elements
    assert element.largest_gap == 3
    assert element.parts[0].name in {"C trap 3", "L trap 3"}
    by_name = {part.name: part for part in element.parts}
    trap_v = by_name["C trap 3"].voltage_v
    assert trap_v == pytest.approx(element.largest_gap_voltage_v)
    # All of it rings between capacitor and inductor: V / (w L), the loop's own current is 40 times less.
    assert by_name["L trap 3"].current_a == pytest.approx(trap_v / (2 * np.pi * F * 51.8e-9), rel=0.01)
    assert by_name["D trap 3"].current_a == pytest.approx(by_name["L trap 3"].current_a, rel=1e-9)


def test_parts_go_by_their_ratings():
    own = circuit().with_part("C trap 3", replace(circuit().part("C trap 3"), rated_voltage_v=500.0))
    own = own.with_part("D trap 3", replace(own.part("D trap 3"), rated_current_a=1.0, rated_voltage_v=100.0))
    (on,) = found(ACTIVELY_DETUNED, own).elements
    shares = {part.name: part.share for part in on.parts}
    assert on.parts[0].name == "D trap 3"
    assert shares["D trap 3"] == pytest.approx(on.parts[0].current_a / 1.0)
    assert shares["C trap 3"] == pytest.approx(74.4 / 500, rel=0.01)
    assert np.isnan(shares["C match"])
    (off,) = found(UNPLUGGED, own).elements
    diode = next(part for part in off.parts if part.name == "D trap 3")
    assert diode.share == pytest.approx(diode.voltage_v / 100)


def test_a_fuse_is_rated_in_rms():
    fuse = Fuse(resistance_ohm=0.05, open_capacitance_f=0.2e-12, rated_current_rms_a=0.5)
    tune = Branch(name="C tune 4", part=circuit().part("C tune 4"), between=("behind", "return 4"))
    parts = (*(b for b in circuit().branches if b.name != "C tune 4"), tune)
    own = replace(circuit(), branches=(*parts, Branch(name="fuse", part=fuse, between=("gap 4", "behind"))))
    (element,) = found(UNPLUGGED, own).elements
    assert element.parts[0].name == "fuse"
    assert element.parts[0].share == pytest.approx(element.parts[0].current_a / np.sqrt(2) / 0.5)


def test_diodes_that_cannot_block_are_told():
    assert any("would conduct" in note for note in found(UNPLUGGED).notes)
    assert not any("would conduct" in note for note in found(PASSIVELY_DETUNED).notes)


def test_junctions_that_are_left_out_of_conducting_diodes_are_told():
    """The trap's current makes less than a volt in half an ohm; the array that follows the field carries more."""
    (note,) = found(PASSIVELY_DETUNED).notes
    assert "near a volt" in note
    array, own = loop(), circuit()
    driven = drive_array(
        array.ports(8.0).at_operation_ohm, [own], [PASSIVELY_DETUNED], open_v_per_t=array.emf_v() / 10e-6,
        b1_plus_t=[10e-6], frequency_hz=F,
    )  # fmt: skip
    (element,) = found(PASSIVELY_DETUNED).elements
    assert np.abs(driven.port_a).mean() > 1.2 * element.mean_current_a
