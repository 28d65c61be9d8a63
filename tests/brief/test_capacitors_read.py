"""Capacitors as a brief asks for them; without the topic nothing changes."""

import pytest

from brief.base_brief import brief_with
from loopwright.brief.films import FILMS
from loopwright.brief.records import LumpedCapacitorRequest, PrintedCapacitorRequest
from loopwright.brief.told import told
from loopwright.conductors import print_spreads_of, print_stack_of
from loopwright.ground.errors import BriefError
from printed_cases import PRINTED


def refused(**changes):
    with pytest.raises(BriefError) as error:
        brief_with(capacitors={**PRINTED, **changes})
    return {complaint.field: complaint for complaint in error.value.complaints}


def test_without_the_topic_there_is_none_and_nothing_is_told():
    brief = brief_with()
    assert brief.capacitors is None
    assert not any(one.field.startswith("capacitors") for one in (*told(brief), *brief.defaults_used))


def test_a_print_takes_its_film_by_name_and_its_process_from_the_defaults():
    brief = brief_with(capacitors=PRINTED)
    assert isinstance(brief.capacitors, PrintedCapacitorRequest)
    assert (brief.capacitors.film_thickness_m, brief.capacitors.ink_conductivity_s_per_m) == (50e-6, 8e6)
    stack = print_stack_of(brief.capacitors)
    film = FILMS["polyimide"]
    assert (stack.eps_r, stack.loss_tangent) == (film.eps_r.value, film.loss_tangent.value)
    assert print_spreads_of(brief.capacitors).registration_m == 0.2e-3
    used = {one.field for one in brief.defaults_used}
    assert {"capacitors.margin", "capacitors.finest_step", "capacitors.derating"} <= used


def test_what_was_measured_wins_over_the_name():
    brief = brief_with(capacitors={**PRINTED, "permittivity": "3.2", "loss_tangent": "0.004", "breakdown": "150 kV/mm"})
    stack = print_stack_of(brief.capacitors)
    assert (stack.eps_r, stack.loss_tangent, stack.breakdown_v_per_m) == (3.2, 0.004, 150e6)
    assert any(one.field == "capacitors.breakdown" and one.value == "150 kV/mm" for one in told(brief))


def test_lumped_parts():
    brief = brief_with(capacitors={"kind": "lumped", "esr": "0.05 ohm", "esr_frequency": "128 MHz"})
    assert brief.capacitors == LumpedCapacitorRequest(
        esr_ohm=0.05, esr_frequency_hz=128e6, rating_v=500, tolerance=0.05, series="E24"
    )


def test_capacitors_change_what_is_asked_for():
    assert brief_with().canonical() != brief_with(capacitors=PRINTED).canonical()


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"film": "cardboard"}, "film"),
        ({"film_thickness": "50"}, "film_thickness"),
        ({"measurement_error": "0.005"}, "measurement_error"),
        ({"plate_width_least": "9 mm"}, "plate_width_least"),
        ({"smallest_tab": "9 mm"}, "smallest_tab"),
        ({"film_thickness": "1 mm"}, "film_thickness"),
        ({"registration": "2 mm"}, "registration"),
        ({"q": "170"}, "q"),
    ],
)
def test_what_cannot_be_printed_is_refused(change, key):
    found = refused(**change)
    assert set(found) == {f"capacitors.{key}"}
    assert found[f"capacitors.{key}"].remedy


@pytest.mark.parametrize(
    ("written", "key"),
    [({}, "q"), ({"q": "1500", "esr": "0.1 ohm"}, "esr"), ({"q": "1500", "esr_frequency": "1 GHz"}, "esr_frequency")],
)
def test_the_loss_of_lumped_parts_is_told_in_one_way(written, key):
    with pytest.raises(BriefError) as error:
        brief_with(capacitors={"kind": "lumped", **written})
    assert {complaint.field for complaint in error.value.complaints} == {f"capacitors.{key}"}
