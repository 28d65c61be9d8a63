"""The designs of a brief: every combination, read as if it had been written out."""

import pytest

from brief.base_brief import BASE, TRUNK, changed, text_of
from loopwright.brief import read_brief, read_designs
from loopwright.ground.errors import BriefError

RING = changed(BASE, body=TRUNK, array__tiling__rows="2", array__tiling__overlap=None, array__tiling__size="80 mm")


def designs_of(tree=RING, **lists):
    return read_designs(text_of({**tree, "designs": {"depths": ["40 mm"], **lists}}), "designs.yaml")


def test_every_combination_is_planned_or_refused_the_last_list_fastest():
    found = designs_of(size=["60 mm", "80 mm"], rows=["1", "2", "3"])
    assert len(found.planned) + len(found.refused) == 6
    assert [dict(design.choices) for design in found.planned] == [
        {"rows": "1", "size": "60 mm"},
        {"rows": "2", "size": "60 mm"},
        {"rows": "2", "size": "80 mm"},
    ]
    names = [design.name for design in (*found.planned, *found.refused)]
    assert sorted(names) == ["D01", "D02", "D03", "D04", "D05", "D06"]


def test_a_design_is_the_brief_that_could_have_been_written():
    (planned,) = designs_of(size=["70 mm"], count=["12"], stand_off=["9.5 mm"], voxel="8 mm").planned
    by_hand = changed(
        RING,
        array__tiling__size="70 mm",
        array__tiling__count="12",
        array__tiling__stand_off="9.5 mm",
        body__voxel="8 mm",
    )
    assert planned.brief.canonical() == read_brief(text_of(by_hand), "by-hand.yaml").canonical()
    assert planned.brief.designs is None


def test_the_reason_for_a_refusal_is_that_of_the_reader():
    (refused,) = designs_of(rows=["2", "3"]).refused
    assert "array.tiling.rows" in refused.reason
    assert "divides 16" in refused.reason


def test_in_a_whole_span_an_overlap_stands_in_for_a_size():
    planned = designs_of(overlap=["0.76", "0.9"]).planned
    assert [design.brief.array.tiling.overlap for design in planned] == [0.76, 0.9]
    assert all(design.brief.array.tiling.size_m is None for design in planned)


def test_a_patch_keeps_its_overlap_when_sizes_are_varied():
    patch = changed(RING, array__tiling__span="patch", array__tiling__overlap="0.8", array__tiling__size="50 mm")
    planned = designs_of(patch, size=["40 mm", "50 mm"]).planned
    assert [design.brief.array.tiling.overlap for design in planned] == [0.8, 0.8]


def test_a_conductor_is_told_by_what_it_is():
    wire = {"kind": "round wire", "wire_diameter": "0.9 mm", "capacitor_q": "300"}
    strip = {"kind": "flat strip", "width": "5 mm", "thickness": "35 um", "material": "silver"}
    planned = designs_of(conductor=[wire, strip]).planned
    assert [dict(design.choices)["conductor"] for design in planned] == [
        "round wire 0.9 mm, capacitor_q 300",
        "flat strip 5 mm, 35 um, silver",
    ]
    assert [design.brief.conductor.kind for design in planned] == ["round wire", "flat strip"]


def test_a_brief_without_designs_is_told_what_to_add():
    with pytest.raises(BriefError, match="designs = nothing"):
        read_designs(text_of(RING), "plain.yaml")


def test_when_no_combination_can_be_all_complaints_are_told():
    with pytest.raises(BriefError) as refusal:
        designs_of(rows=["3", "5"])
    assert {complaint.field for complaint in refusal.value.complaints} == {"array.tiling.rows"}
    assert len(refusal.value.complaints) == 2


def test_designs_change_no_result_of_a_run():
    text = text_of({**RING, "designs": {"depths": ["40 mm"], "rows": ["1", "2"]}})
    assert read_brief(text, "with.yaml").canonical() == read_brief(text_of(RING), "without.yaml").canonical()


def test_density_of_a_conductor_is_read():
    brief = read_brief(text_of(changed(RING, conductor__density="10.49 g/cm^3")), "dense.yaml")
    assert brief.conductor.density_kg_per_m3 == pytest.approx(10490)
