"""The study over patients, as read."""

import pytest

from loopwright.brief import read_brief, read_cohort
from loopwright.ground.errors import BriefError
from small_study import SMALL_STUDY


def read(*changes):
    text = SMALL_STUDY
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return read_cohort(text, "study.yaml")


def complaints(*changes):
    with pytest.raises(BriefError) as caught:
        read(*changes)
    return caught.value.complaints


def test_every_array_on_every_patient_is_a_case():
    found = read()
    assert [(case.patient.name, case.array.name) for case in found.planned] == [
        (patient, array) for patient in ("small", "large") for array in ("shell", "tight shell", "on the skin")
    ]
    assert not found.refused
    assert [case.brief.body.radius_m for case in found.planned] == [0.06] * 3 + [0.075] * 3
    assert found.planned[0].brief.array == found.planned[3].brief.array != found.planned[1].brief.array


_FILM = """facing: [0, 1, 0], gaps: 4}
        carrier: {kind: film, padding: [{name: foam, thickness: 7.55 mm}]}
  rest"""


def test_a_film_of_a_study_needs_no_stand_off_as_in_a_run():
    (case,) = read(("facing: [0, 1, 0], stand_off: 8 mm, gaps: 4}\n  rest", _FILM)).planned[2:3]
    assert case.brief.array.tiling.stand_off_m == pytest.approx(8e-3, abs=1e-9)


def test_what_an_array_has_to_span_stands_beside_a_gap():
    (told,) = complaints(("gap: 5 mm", "spanned: 40 %"))
    assert (told.field, told.remedy) == ("cohort.limits.spanned", "add `gap`, or take `spanned` out")
    assert read(("gap: 5 mm", "gap: 5 mm, spanned: 40 %")).request.limits.spanned_share == pytest.approx(0.4)
    assert [one.found for one in complaints(("gap: 5 mm", "gap: 5 mm, spanned: 120 %"))] == ["'120 %'"]


def test_only_shells_that_are_open_behind_are_laid_on_the_chest():
    assert read(("rest: centre", "rest: front")).request.rest == "front"
    ring = (
        "overlap: 1.2, span: patch,\n                 facing: [0, 1, 0], stand_off: 8 mm",
        "span: whole, stand_off: 8 mm",
    )
    (told,) = complaints(("rest: centre", "rest: front"), ring, ("rows: 1, ", ""))
    assert told.field == "cohort.rest"


def test_stand_offs_take_the_place_of_that_of_every_tiling():
    found = read(("  rest: centre", "  stand_offs: [5 mm, 12 mm]\n  rest: centre"))
    assert len(found.planned) == 12
    assert [case.brief.array.tiling.stand_off_m for case in found.planned[:4]] == [0.005, 0.012] * 2
    assert [case.stand_off for case in found.planned[:2]] == ["5 mm", "12 mm"]


def test_a_patient_has_imaging_keys_of_its_own():
    own = "age: 10 years\n      imaging: {voxel_volume: 27 mm^3}"
    found = read(("age: 10 years", own))
    assert [case.brief.imaging.voxel_volume_m3 for case in found.planned] == [
        pytest.approx(volume) for volume in [8e-9] * 3 + [27e-9] * 3
    ]


HEADS = """title: Covers
scanner: {field: 3 T}
conductor: {kind: round wire, wire_diameter: 1.5 mm}
imaging: {region: {kind: whole body}, voxel_volume: 8 mm^3}
cohort:
  patients:
    - name: young
      body: {shape: patient, sex: female, age: 1 year, part: head, voxel: 10 mm}
      cover: {lowest: [20 mm, -47 mm]}
    - {name: grown, body: {shape: patient, sex: female, age: adult, part: head, voxel: 10 mm}}
  arrays:
    - name: on the skin
      array:
        tiling: {pattern: hexagonal, shape: circle, count: 8, overlap: 0.8, span: whole, stand_off: 8 mm, gaps: 4,
                 cover: {lowest: [25 mm, -57 mm]}}
    - name: shell
      former: {shape: patient, sex: female, age: adult, part: head, voxel: 10 mm}
      array:
        tiling: {pattern: hexagonal, shape: circle, count: 8, overlap: 0.8, span: whole, stand_off: 8 mm, gaps: 4,
                 cover: {lowest: [25 mm, -57 mm]}}
    - name: all over
      array:
        tiling: {pattern: hexagonal, shape: circle, count: 8, overlap: 0.8, span: whole, stand_off: 8 mm, gaps: 4}
"""


def test_a_cover_that_follows_the_skin_takes_the_planes_of_its_patient():
    """A shell keeps those of its former, and what covers all of the skin goes on covering it."""
    found = read_cohort(HEADS, "study.yaml")
    assert not found.refused
    covers = [case.brief.array.tiling.cover for case in found.planned]
    assert [cover and cover.lowest_m for cover in covers] == [
        pytest.approx((0.020, -0.047)), pytest.approx((0.025, -0.057)), None,
        pytest.approx((0.025, -0.057)), pytest.approx((0.025, -0.057)), None,
    ]  # fmt: skip


def test_a_slip_in_the_cover_of_a_patient_is_told_with_its_line():
    with pytest.raises(BriefError) as caught:
        read_cohort(HEADS.replace("cover: {lowest: [20 mm, -47 mm]}", "cover: 20 mm"), "study.yaml")
    assert [(told.line, told.field) for told in caught.value.complaints] == [(9, "cohort.patients[1].cover")]


@pytest.mark.parametrize(
    ("text", "years"),
    [("newborn", 0), ("6 months", 0.5), ("1 year", 1), ("4.5 years", 4.5), ("30 weeks of gestation", -70 / 365.25),
     ("14 days", 14 / 365.25)],
)  # fmt: skip
def test_ages_are_years_since_birth_at_term(text, years):
    found = read(("age: 1 year", f"age: {text}"))
    assert found.planned[0].patient.age_years == pytest.approx(years)


def test_elements_are_held_against_the_former_and_not_against_the_patient():
    """A shell of six large elements round the larger ball cannot be laid on the smaller one, but it can be worn."""
    wide = ("size: 60 mm, overlap: 1.2, span: patch", "size: 150 mm, overlap: 1.2, span: patch")
    on_large = [case for case in read(wide).planned if case.array.name == "shell"]
    assert len(on_large) == 2
    unformed = read(wide, ("      former: {shape: sphere, radius: 75 mm, voxel: 12 mm, material: Muscle}\n", ""))
    assert "small" in [case.patient.name for case in unformed.refused]


def test_a_slip_in_a_topic_of_all_is_told_once_with_its_line():
    (told,) = complaints(("field: 3 T", "field: 3"))
    assert (told.line, told.field) == (2, "scanner.field")


def test_slips_everywhere_are_told_at_once():
    found = complaints(("field: 3 T", "field: 3"), ("age: 1 year", "age: four"), ("mass: 120 g", "mass: 120 mm"),
                       ("gap: 5 mm", "gap: wide"))  # fmt: skip
    assert [told.field for told in found] == [
        "scanner.field", "cohort.patients[1].age", "cohort.arrays[3].mass", "cohort.limits.gap",
    ]  # fmt: skip
    assert [told.line for told in found] == sorted(told.line for told in found)


def test_a_brief_without_patients_is_no_study():
    with pytest.raises(BriefError, match="patients, arrays"):
        read_cohort(SMALL_STUDY[: SMALL_STUDY.index("cohort:")], "study.yaml")


def test_a_run_leaves_the_patients_aside():
    """With body and array beside them the same file is a brief, and its key is that of the brief without them."""
    head, cohort = SMALL_STUDY[: SMALL_STUDY.index("cohort:")], SMALL_STUDY[SMALL_STUDY.index("cohort:") :]
    own = """\
body: {shape: sphere, radius: 60 mm, voxel: 12 mm, material: Muscle}
array:
  tiling: {pattern: rectangular, shape: circle, count: 2, rows: 1, size: 55 mm, overlap: 1.2, span: patch,
           stand_off: 8 mm, gaps: 4}
"""
    with_patients, alone = read_brief(head + own + cohort, "both.yaml"), read_brief(head + own, "alone.yaml")
    assert with_patients.cohort is not None
    assert with_patients.canonical() == alone.canonical()
    assert len(read_cohort(head + own + cohort, "both.yaml").planned) == 6


@pytest.mark.parametrize("age", ["age: 1 year", "age: 10 years"])
def test_accelerations_of_all_patients_go_by_the_same_names(age):
    """A column of the tables is one acceleration, whoever it is for."""
    own = "imaging: {accelerations: [{name: %s, factors: [2], directions: [x], field_of_view: [150 mm]}]}"
    change = (f"      {age}\n", f"      {age}\n      {own}\n")
    (told,) = complaints((change[0], change[1] % "other"))
    assert (told.field.rpartition(".")[2], told.found) == ("accelerations", "other")
    assert "2 x" in told.allowed
    assert read((change[0], change[1] % "2 x")).planned
