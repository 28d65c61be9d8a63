"""The page, the summary and the pictures of a study."""

import json
import re
from pathlib import Path

import numpy as np
import pytest
from test_study_carried_out import carried_out, imaged

from loopwright.brief import read_cohort
from loopwright.cohort import Asked
from loopwright.formats.html import dossier_html
from loopwright.formats.pictures import draw_cohort
from loopwright.formats.summary import summary_json
from small_study import SMALL_STUDY

DOCUMENTED = Path(__file__).parents[2] / "docs" / "reference" / "cohort.md"


def answers(outcome):
    return {answer.question: answer.answer for answer in outcome.dossier.answers}


def test_the_answers_name_sizes_bands_and_cost():
    told = answers(imaged()[0])
    by_gap = told["Which sizes keep the gap at or below 5 mm along 95 % of the conductors?"]
    assert by_gap.startswith(
        "Two of 3 arrays: tight shell for a circumference of 377 mm; shell for a circumference of 471 mm."
    )
    assert "nobody has looked" in by_gap
    cost = told["What does misfit cost in SNR of the outer layer?"]
    worst = imaged()[0].cohort.snr_ratio[0].min()
    assert f"shell: down to {100 * worst:.0f} % of the best array, on small." in cost
    assert "on small; no figure on large." in cost


def test_without_limits_the_page_says_how_to_set_one():
    text = SMALL_STUDY.replace("limits: {gap: 5 mm, snr_loss: 10 %, flex_cycles: 10000}", "limits: {}")
    told = answers(carried_out(Asked.FIT, text=text))
    assert "write `gap` or `snr_loss`" in told["Which sizes are needed?"]


def test_who_is_served_by_nobody_is_named():
    text = SMALL_STUDY.replace("gap: 5 mm", "gap: 1 mm")
    (told,) = [told for question, told in answers(carried_out(Asked.FIT, text=text)).items() if "gap" in question]
    assert "No array keeps it on small." in told


def test_an_array_that_spans_too_little_of_a_patient_does_not_serve_that_patient():
    film = "        carrier: {kind: film, padding: [{name: foam, thickness: 7.55 mm}]}\n"
    first, _, last = SMALL_STUDY.rpartition("      array:\n")
    text = f"{first}      array:\n{film}{last}".replace("gap: 5 mm", "gap: 6 mm, spanned: 27 %")
    outcome = carried_out(Asked.FIT, text=text)
    small, large = outcome.cohort.spanned_share[2]  # a sheet of one length: 1.2 * 55 mm + 55 mm
    assert small == pytest.approx(0.121 / (2 * np.pi * 0.068), rel=0.03)
    assert large == pytest.approx(0.121 / (2 * np.pi * 0.083), rel=0.03)
    assert [outcome.cohort.patients[n].name for n in outcome.cohort.by_gap.unserved] == ["large"]
    assert any("and span 27 % of the circumference or more?" in question for question in answers(outcome))


def test_a_film_counts_among_the_sizes_by_what_it_stands_off():
    film = "        carrier: {kind: film, padding: [{name: foam, thickness: 7.55 mm}]}\n"
    first, _, last = SMALL_STUDY.rpartition("      array:\n")
    text = f"{first}      array:\n{film}{last}".replace("gap: 5 mm", "gap: 6 mm")
    outcome = carried_out(Asked.FIT, text=text)
    assert 0.003 < outcome.cohort.gap_percentile_95_m[2].min() < outcome.cohort.gap_percentile_95_m[2].max() < 0.006
    (told,) = [told for question, told in answers(outcome).items() if "gap" in question]
    assert told.startswith("One of 3 arrays: on the skin for circumferences of 377 mm to 471 mm.")


def test_no_page_pronounces_anything_safe():
    page = dossier_html(imaged()[0].dossier, pictures=(), references=())
    assert not re.search(r"\bsafe\b", page)
    assert "not assessed" in page


@pytest.mark.parametrize("asked", [Asked.FIT, Asked.IMAGES])
def test_every_picture_that_the_page_names_is_drawn_and_no_other(asked):
    outcome = imaged()[0] if asked is Asked.IMAGES else carried_out(Asked.FIT)
    pictures = draw_cohort(outcome.cohort)
    named = [name for section in outcome.dossier.sections for name in section.pictures]
    assert sorted(picture.name for picture in pictures) == sorted(named)
    assert all(picture.png.startswith(b"\x89PNG") and picture.caption for picture in pictures)


def test_the_summary_is_that_of_its_reference_page():
    figures = json.loads(summary_json(imaged()[0].dossier))["figures"]
    rows = re.findall(r"^\| `([^`]+)` \|([^|]*)\|", DOCUMENTED.read_text("utf-8"), re.MULTILINE)
    units = {key: unit.strip() for key, unit in rows}
    patterns = {key: re.compile(re.sub(r"<[^>]+>", "[^.]+", key.replace(".", r"\."))) for key in units}
    for key, figure in figures.items():
        exact = [known for known in units if known == key]
        matching = exact or [known for known in units if patterns[known].fullmatch(key)]
        assert len(matching) == 1, key
        assert units[matching[0]] in (figure["unit"], "any"), key
    for known, pattern in patterns.items():
        assert any(pattern.fullmatch(key) for key in figures), known


def test_the_example_in_the_reference_can_be_read():
    block = re.search(r"\n\n((?:    .*\n|\n)+?)\n- A patient's", DOCUMENTED.read_text("utf-8")).group(1)
    wanted = read_cohort("\n".join(line[4:] for line in block.splitlines()), "cohort.md")
    assert len(wanted.planned) == 4
