"""Pieces of the transmit job by themselves: where parts sit, layers of a brief, onset of a pair, verdicts on SAR."""

from dataclasses import replace

import pytest

from circuits.ready_circuits import KIT, two_traps
from loopwright.brief.records.heat import HeatLayerRequest, HeatRequest, TissueLayersRequest
from loopwright.circuits.bias.crossed_diodes import junction_admittance_s
from loopwright.circuits.states import UNPLUGGED
from loopwright.circuits.under_field.pairs_seen import diode_law
from loopwright.ground.errors import OutsideModelError
from loopwright.heating.array_spots import gap_of_part
from loopwright.heating.asked import part_asked, stack_asked
from loopwright.limits import LimitName, Verdict, packaged_limits
from loopwright.limits.judged import JudgedSar, sar_assessments
from loopwright.transmit import GlobalSar
from loopwright.transmit.diodes_as_taken import conducts_from_v
from transmission.array_on_ball import BRIEF, TRAPS, once, prepared
from transmit.faulty_array import at_line_end

HEAT = HeatRequest(
    ambient_temperature_k=297.15,
    airflow="none",
    to_skin=(
        HeatLayerRequest(material="polyimide", thickness_m=50e-6),
        HeatLayerRequest(material="polyurethane foam"),
        HeatLayerRequest(material="air", thickness_m=0.2e-3),
    ),
    cover=(HeatLayerRequest(material="polyester textile", thickness_m=0.5e-3),),
    tissue=TissueLayersRequest(skin_m=1.5e-3, fat_m=5e-3, muscle_m=30e-3),
    core_temperature_k=310.15,
    preamplifier_power_w=0.25,
    part_size="1111",
    probes=4,
)


def test_parts_sit_at_the_gap_whose_nodes_they_touch():
    circuit = two_traps()
    for branch in circuit.branches:
        last = branch.name.split()[-1]
        if last.isdigit():
            assert gap_of_part(circuit, branch.name) == int(last), branch.name
    behind = [branch.name for branch in at_line_end().branches]
    assert {name: gap_of_part(at_line_end(), name) for name in behind} == {
        name: 2 if name == "C tune 2" else 1 for name in behind
    }


def test_layers_fill_the_stand_off_and_air_at_the_end_lies_on_the_skin():
    stack = stack_asked(HEAT, stand_off_m=6e-3)
    assert stack.skin_m == pytest.approx(6e-3)
    assert [layer.name for layer in stack.inner] == ["polyimide", "polyurethane foam"]
    assert [layer.name for layer in stack.between] == ["air gap"]
    blown = stack_asked(HEAT.model_copy(update={"airflow": "gentle"}), stand_off_m=6e-3)
    assert blown.air.transfer_w_per_m2_k > stack.air.transfer_w_per_m2_k > 5
    with pytest.raises(OutsideModelError, match="nothing is left"):
        stack_asked(HEAT, stand_off_m=0.3e-3)


def test_sizes_of_parts_are_those_of_their_code():
    assert part_asked(HEAT, "any").length_m == pytest.approx(2.8e-3)
    large = part_asked(HEAT.model_copy(update={"part_size": "2225"}), "any")
    assert (large.length_m, large.width_m) == pytest.approx((22 * 0.254e-3, 25 * 0.254e-3))


def test_a_pair_conducts_from_where_its_junctions_carry_as_much_as_their_capacitance():
    law = diode_law(KIT.crossed_diodes)
    volts = conducts_from_v(law, frequency_hz=123.2e6)
    admittance = junction_admittance_s(volts, diodes=law, frequency_hz=123.2e6)
    assert admittance.real == pytest.approx(admittance.imag, rel=1e-9)
    assert 0.2 < volts < 1.5


@pytest.mark.parametrize(
    ("absorbed_w", "model_kg", "whole", "partial"),
    [
        (30.0, 10.0, Verdict.NOT_ASSESSED, Verdict.NOT_ASSESSED),  # 1.5 W/kg and more; 3 W/kg against 2 to 6
        (19.0, 10.0, Verdict.NOT_ASSESSED, Verdict.MET),  # 1.9 W/kg in part, below the limit of any share
        (80.0, 10.0, Verdict.NOT_MET, Verdict.NOT_MET),
        (30.0, 20.0, Verdict.MET, Verdict.MET),  # the model is the patient
    ],
)
def test_a_part_of_a_patient_cannot_meet_a_limit_for_the_whole(absorbed_w, model_kg, whole, partial):
    sar = GlobalSar(absorbed_w=absorbed_w, model_mass_kg=model_kg, exposed_mass_kg=model_kg, patient_mass_kg=20.0)
    judged = JudgedSar(case="unplugged", sar=sar, uncertainty=0.01)
    found = {
        one.limit.name: one
        for one in sar_assessments(packaged_limits(), judged, mode="normal", ambient_temperature_c=22.0)
    }
    assert found[LimitName.WHOLE_BODY_NORMAL].verdict is whole
    assert found[LimitName.PARTIAL_NORMAL].verdict is partial
    if partial is Verdict.NOT_MET:  # beyond the highest limit that may apply, and told by that
        assert found[LimitName.PARTIAL_NORMAL].limit.value == pytest.approx(10 - 8 * model_kg / 20)
    assert found[LimitName.HEAD].verdict is Verdict.NOT_ASSESSED
    unknown = JudgedSar(case="unplugged", sar=replace(sar, patient_mass_kg=None), uncertainty=None)
    nothing = sar_assessments(packaged_limits(), unknown, mode="normal", ambient_temperature_c=22.0)
    assert {one.verdict for one in nothing} == {Verdict.NOT_ASSESSED}


@pytest.mark.long
def test_a_birdcage_drives_what_the_idealised_resonator_drives(monkeypatch):
    """Three loops near the middle: the body takes up as much within 5 %, a sound array the same within a half."""
    ideal = once(TRAPS)
    cage = BRIEF.replace("worst_states: 4,", "worst_states: 4, resonator: {{kind: birdcage}},")
    monkeypatch.setattr("transmission.array_on_ball.BRIEF", cage)
    prepared.cache_clear()
    once.cache_clear()
    found = once(TRAPS)
    prepared.cache_clear()
    once.cache_clear()
    assert "birdcage" in found.source
    assert found.body_alone.sar.absorbed_w == pytest.approx(ideal.body_alone.sar.absorbed_w, rel=0.05)
    for one, other in zip(found.conditions, ideal.conditions, strict=True):
        assert one.largest_current_a == pytest.approx(other.largest_current_a, rel=0.5), one.case.name
        if one.case.name != UNPLUGGED.name:  # tuned loops enlarge every difference
            assert one.absorbed_w == pytest.approx(other.absorbed_w, rel=0.05)
