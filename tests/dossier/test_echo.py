"""The brief said back: its own keys, and the units that engineers write."""

from loopwright.brief import read_brief
from loopwright.dossier import asked_lines
from loopwright.dossier.asked import asked_tables
from small_comparison import SMALL

PRINTED = "conductor: {kind: printed strip, width: 2 mm, thickness: 20 um, conductivity: 8.3 MS/m}"
BRIEF = SMALL.replace("conductor: {kind: round wire, wire_diameter: 0.9 mm}", PRINTED)


def test_keys_and_units_are_those_of_the_brief():
    lines = {line.field: line.value for line in asked_lines(read_brief(BRIEF, "small.yaml"))}
    assert lines["body.shape"] == "sphere"
    assert lines["body.material.permittivity"] == "60"
    assert lines["conductor.conductivity"] == "8.3 MS/m"
    assert lines["conductor.body_temperature"] == "37 degC"
    assert lines["conductor.thickness"] == "20 um"
    assert lines["imaging.region.max"] == "[30 mm, 0 mm, 30 mm]"
    assert lines["imaging.accelerations[1].field_of_view"] == "[160 mm]"
    assert not any("convention" in field for field in lines)


def test_the_table_groups_entries_under_their_topic():
    rows = dict(asked_tables(asked_lines(read_brief(BRIEF, "small.yaml")), ())[0].rows)
    assert rows["body.material"] == "name: gel; permittivity: 60; conductivity: 0.6 S/m"
