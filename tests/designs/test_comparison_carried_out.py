"""A comparison carried out, from brief to page."""

import json
import re
from pathlib import Path

import numpy as np
import pytest

from loopwright import bodies, job
from loopwright import comparison as stage
from loopwright.brief import read_designs
from loopwright.comparison import compare_designs
from loopwright.dossier import compile_comparison
from loopwright.dossier.citations import methods_of
from loopwright.formats.run_directory import finish, growing, write_comparison
from loopwright.formats.store import FolderStore
from loopwright.ground.errors import NotConvergedError, OutsideModelError
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent
from small_comparison import SMALL, Notes, small_outcome, told_outcome

DOCUMENTED = Path(__file__).parents[2] / "docs" / "reference" / "designs.md"


class Interrupted(Silent):
    """Somebody who stops the work when the second design begins."""

    def note(self, sentence):
        if sentence.startswith("design 2 of"):
            raise KeyboardInterrupt


@pytest.fixture(scope="module")
def comparison():
    return small_outcome().comparison


def test_designs_that_fit_are_carried_out_and_the_others_refused(comparison):
    assert [result.name for result in comparison.results] == ["D01", "D02"]
    (refused,) = comparison.refused
    assert refused.name == "D03"
    assert "array.tiling.size" in refused.reason


def test_larger_elements_reach_deeper_and_have_less_coil_noise(comparison):
    small, large = (result.figures for result in comparison.results)
    reach = [figures.depths[1].median / figures.depths[0].median for figures in (small, large)]
    assert reach[1] > reach[0]
    assert large.coil_noise_share_mean < small.coil_noise_share_mean
    # Twice the diameter is a little less than twice the wire, for the ball bends the larger circle more.
    assert 1.9 * small.conductor_mass_kg < large.conductor_mass_kg < 2 * small.conductor_mass_kg


def test_figures_are_ordered_as_they_must_be(comparison):
    for result in comparison.results:
        for at in result.figures.depths:
            assert at.percentile_5 <= at.median <= at.percentile_95
            assert at.accelerated_median[0] <= at.median / np.sqrt(2) * (1 + 1e-6)
        assert 0 < result.figures.coil_noise_share_mean <= result.figures.coil_noise_share_largest < 1
        assert result.figures.accelerations[0].g_largest >= result.figures.accelerations[0].g_mean >= 1


def test_a_design_has_the_snr_that_a_run_of_it_has(comparison):
    """The median at a depth lies between those of the voxels just above and just below it in the run's own map."""
    planned = comparison.results[1].planned
    maps = job.carry_out(planned.brief, Means(progress=Silent(), store=Forgetful())).evidence.maps
    snr = maps.named("snr_optimum").values
    at = comparison.results[1].figures.depths[1]
    shallow, deep = (
        np.median(snr[maps.region & (np.abs(maps.depth_m - at.depth_m - shift) < 6e-3)]) for shift in (-6e-3, 6e-3)
    )
    assert deep < at.median < shallow


def test_a_stopped_comparison_goes_on_where_it_was(tmp_path, monkeypatch):
    wanted = read_designs(SMALL, "small.yaml")
    store = FolderStore(tmp_path, note=lambda _: None, brief="sizes", tool_version="0")
    with pytest.raises(KeyboardInterrupt):
        compare_designs(wanted, Means(progress=Interrupted(), store=store))
    kept = {path for path in tmp_path.rglob("*") if path.is_file()}
    assert kept
    loaded = []
    original = FolderStore.load
    monkeypatch.setattr(FolderStore, "load", lambda self, key: loaded.append(original(self, key)) or loaded[-1])
    again = compare_designs(wanted, Means(progress=Silent(), store=store))
    assert loaded[0] is not None
    assert loaded[-1] is None
    for ours, other in zip(again.comparison.results, small_outcome().comparison.results, strict=True):
        assert ours.figures.depths == other.figures.depths


def test_progress_names_the_design():
    told = told_outcome()[1]
    assert [sentence for sentence in told if sentence.startswith("design ")] == [
        "design 1 of 2: D01, size 40 mm",
        "design 2 of 2: D02, size 80 mm",
    ]


def test_a_layout_that_cannot_be_is_refused_the_rest_goes_on_and_the_body_is_placed_once_a_grid(monkeypatch):
    arrange, place, placed = job.layouts.arrange, bodies.place, []

    def choosy(request, body, **rest):
        if request.tiling.size_m < 0.05:
            raise OutsideModelError("the conductors meet")
        return arrange(request, body, **rest)

    monkeypatch.setattr(job.layouts, "arrange", choosy)
    monkeypatch.setattr(bodies, "place", lambda *words, **more: placed.append(more) or place(*words, **more))
    found = compare_designs(read_designs(SMALL, "small.yaml"), Means(progress=Silent(), store=Forgetful())).comparison
    assert [result.name for result in found.results] == ["D02"]
    assert ("D01", "the conductors meet") in [(refused.name, refused.reason) for refused in found.refused]
    assert len(placed) == 2


def test_a_field_that_does_not_converge_refuses_its_design_and_the_rest_goes_on(monkeypatch):
    answers_on = stage.answers_on

    def stopping(brief, *rest):
        if brief.array.tiling.size_m < 0.05:
            raise NotConvergedError("stopped short")
        return answers_on(brief, *rest)

    monkeypatch.setattr(stage, "answers_on", stopping)
    notes = Notes()
    outcome = compare_designs(read_designs(SMALL, "small.yaml"), Means(progress=notes, store=Forgetful()))
    assert [result.name for result in outcome.comparison.results] == ["D02"]
    assert ("D01", "stopped short") in [(one.name, one.reason) for one in outcome.comparison.refused]
    assert "design D01 is refused: stopped short" in notes.told


SLICES = SMALL.replace(
    "{name: 2 x, factors: [2], directions: [x], field_of_view: [160 mm]}",
    "{name: slices, kind: simultaneous slices, slices: 2, normal: z, slice_distance: 24 mm, direction: x, "
    "field_of_view: 170 mm}",
).replace("[40 mm, 80 mm, 220 mm]", "[40 mm, 80 mm]")


@pytest.fixture(scope="module")
def slices():
    """Simultaneous slices: the slab is 48 mm high, the region 60 mm."""
    return compare_designs(read_designs(SLICES, "slices.yaml"), Means(progress=Silent(), store=Forgetful()))


def test_simultaneous_slices_are_judged_where_they_image(slices):
    for result in slices.comparison.results:
        (found,) = result.figures.accelerations
        assert 0.5 < found.judged_share < 1
        assert 1 <= found.g_mean <= found.g_largest
        assert 0 < found.snr_percentile_5 < found.snr_mean
        for at in result.figures.depths:
            assert 0 < at.accelerated_points[0] < slices.comparison.judged[result.figures.depths.index(at)]
            assert np.isfinite(at.accelerated_median[0])
    assert slices.comparison.beating.left_out == ()
    (told,) = [text for section in slices.dossier.sections for text in section.prose if "in its slab only" in text]
    assert f"of {slices.comparison.judged[0]} at 25 mm" in told


def test_all_points_are_judged_without_a_slab(comparison):
    for result in comparison.results:
        assert result.figures.accelerations[0].judged_share == 1
        assert [at.accelerated_points[0] for at in result.figures.depths] == list(comparison.judged)


def test_a_slab_beside_the_region_is_refused_before_anything_is_solved(monkeypatch):
    monkeypatch.setattr(stage, "answers_on", pytest.fail)
    monkeypatch.setattr(stage, "dressed_array", pytest.fail)
    away = SLICES.replace("slices: 2,", "slices: 2, slab_centre: 70 mm,")
    with pytest.raises(OutsideModelError, match="its slab holds no voxel"):
        compare_designs(read_designs(away, "away.yaml"), Means(progress=Silent(), store=Forgetful()))


def test_a_comparison_cites_no_ultimate_and_says_that_it_is_left_aside():
    wanted = read_designs(SMALL.replace("  voxel_vol", "  ultimate: {kind: source shell}\n  voxel_vol"), "u.yaml")
    assert "ultimate SNR from a source shell" in methods_of(wanted.base)
    page = compile_comparison(wanted.base, small_outcome().comparison, tool_version="0")
    assert not [name for name in page.methods if "ultimate" in name]
    assert "optimum combination" in page.methods
    prose = {section.anchor: " ".join(section.prose) for section in page.sections}
    assert "`imaging.ultimate` is left aside" in prose["asked"]
    plain = {section.anchor: " ".join(section.prose) for section in small_outcome().dossier.sections}
    assert "left aside" not in plain["asked"]


def test_every_depth_is_answered_and_refusals_are_told():
    sections = {section.anchor: section for section in small_outcome().dossier.sections}
    questions = [answer.question for answer in sections["answers"].answers]
    assert questions == ["At 25 mm below the skin?", "At 40 mm below the skin?"]
    assert len(sections["refused"].tables[0].rows) == 1
    assert "2 designs" in small_outcome().dossier.subject


def written(out):
    outcome = small_outcome()
    with growing(out) as partial:
        write_comparison(
            partial, brief_text=SMALL, comparison=outcome.comparison, dossier=outcome.dossier, note=pytest.fail
        )
        return finish(partial, out)


def test_the_directory_holds_page_pictures_tables_and_summary(tmp_path):
    out = written(tmp_path / "designs")
    assert {path.name for path in out.iterdir()} == {
        "brief.yaml", "comparison.html", "comparison.pdf", "log.txt", "pictures", "summary.json", "tables",
    }  # fmt: skip
    assert {path.stem for path in (out / "pictures").iterdir()} == {"size_for_depth", "designs_over_depth"}
    assert {"designs", "depths", "accelerations", "refused"} <= {path.stem for path in (out / "tables").iterdir()}
    page = (out / "comparison.html").read_text("utf-8")
    assert page.count("data:image/png;base64,") == 2
    assert "Comparison of 2 designs" in page
    summary = json.loads((out / "summary.json").read_text("utf-8"))
    rows = re.findall(r"^\| `([^`]+)` \|([^|]*)\|", DOCUMENTED.read_text("utf-8"), re.MULTILINE)
    units = {key: unit.strip() for key, unit in rows}
    patterns = {key: re.compile(re.sub(r"<[^>]+>", "[^.]+", key.replace(".", r"\."))) for key in units}
    for key, figure in summary["figures"].items():
        exact = [known for known in units if known == key]
        matching = exact or [known for known in units if patterns[known].fullmatch(key)]
        assert len(matching) == 1, key
        assert units[matching[0]] in (figure["unit"], "any"), key
    for known, pattern in patterns.items():
        assert any(pattern.fullmatch(key) for key in summary["figures"]), known
