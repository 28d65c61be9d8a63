"""The scanner interface of a brief: read in SI units, every default with its source, and told back."""

import pytest

from brief.base_brief import BASE, ELEMENT, INTERFACE, brief_with, changed, text_of
from loopwright.brief import read_brief
from loopwright.brief.told import told
from loopwright.ground.sources import Flag

LEAST = {"channels_per_plug": "16", "bias_lines": [{"name": "B1"}]}


def test_a_brief_without_one_has_none_and_takes_no_default_for_it():
    brief = brief_with()
    assert brief.interface is None
    assert not [used for used in brief.defaults_used if used.field.startswith("interface")]


def test_everything_is_read_in_si_units():
    interface = brief_with(interface=INTERFACE).interface
    assert interface.forward_voltage_v == (0.4, 2.6)
    assert (interface.sense_current_a, interface.trip_current_a) == (0.06, 0.3)
    assert (interface.driver_voltage_v, interface.driver_resistance_ohm) == (5.0, 30.0)
    assert (interface.preamplifier_draw_a, interface.cable_m, interface.longest_cable_m) == (0.012, 1.2, 2.0)
    first, second = interface.bias_lines
    assert (first.branches, first.diodes, first.diode.voltage_v, first.protection) == (4, 2, 0.9, "fuse")
    assert first.diode.carrier_lifetime_s == 1.5e-6
    assert (second.switches, second.chokes, second.elements) == ("traps of the cable", 0, ("all",))


def test_every_default_is_told_with_a_source_that_stands_for_no_scanner():
    brief = brief_with(interface=LEAST)
    used = {one.field: one.source for one in brief.defaults_used if one.field.startswith("interface")}
    assert {"interface.forward_current", "interface.forward_voltage", "interface.bias_lines[1].diode.voltage"} <= set(
        used
    )
    assert {source.flag for source in used.values()} <= {Flag.COMMON_PRACTICE, Flag.MEMORY}
    assert all(source.where for source in used.values())


def test_it_is_told_back_in_its_own_keys_and_reads_again_as_the_same():
    brief = brief_with(interface=INTERFACE)
    lines = {entry.field: entry.value for entry in told(brief)}
    assert lines["interface.trip_current"] == "300 mA"
    assert lines["interface.bias_lines[1].diode.carrier_lifetime"] == "1.5 us"
    assert lines["interface.cable"] == "1.2 m"


def test_elements_of_a_list_may_be_named():
    array = {"elements": [ELEMENT, {**ELEMENT, "name": "A2", "centre": ["0 mm", "95 mm", "0 mm"]}]}
    lines = [{"name": "B1", "elements": ["A1"]}, {"name": "B2", "elements": "A2"}]
    brief = read_brief(text_of(changed(BASE, array=array, interface={**LEAST, "bias_lines": lines})), "named.yaml")
    assert [line.elements for line in brief.interface.bias_lines] == [("A1",), ("A2",)]


def test_an_interface_changes_the_canonical_text_and_nothing_else_of_the_record():
    one, other = brief_with(), brief_with(interface=LEAST)
    assert one.canonical() != other.canonical()
    assert one.model_copy(update={"interface": other.interface, "defaults_used": other.defaults_used}) == other


@pytest.mark.parametrize("name", ["E01", "anything"])
def test_elements_of_a_tiling_are_named_later(name):
    lines = [{"name": "B1", "elements": [name]}]
    assert brief_with(interface={**LEAST, "bias_lines": lines}).interface.bias_lines[0].elements == (name,)
