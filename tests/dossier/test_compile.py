"""The dossier says what the evidence says, and what it may not say."""

import dataclasses
import re

import numpy as np
import pytest

from loopwright.brief.records import RegularAcceleration, SimultaneousSlices
from loopwright.dossier import METHODS, MapKind, compile_dossier, depth_profile, region_statistics
from loopwright.dossier.patterns import field_of_view_words, pattern_words
from loopwright.dossier.statistics import at_centre, weakest_voxel
from loopwright.fields import Excitation
from loopwright.formats.bibliography import load_bibliography
from loopwright.imaging.definitions import INVERSE_G
from synthetic_evidence import synthetic_evidence


@pytest.fixture(scope="module")
def evidence():
    return synthetic_evidence(count=16)


@pytest.fixture(scope="module")
def dossier(evidence):
    return compile_dossier(evidence)


def section(dossier, anchor):
    return next(s for s in dossier.sections if s.anchor == anchor)


def all_words(dossier):
    for s in dossier.sections:
        yield from (s.title, *s.prose, *s.cautions)
        yield from (word for a in s.answers for word in (a.question, a.answer))
        yield from (word for f in s.findings for word in (f.label, f.how, f.no_uncertainty_because or ""))
        yield from (t.caption for t in s.tables)


def test_sections_come_in_the_order_of_an_engineers_questions(dossier):
    assert [s.anchor for s in dossier.sections] == [
        "asked", "answers", "body", "layout", "conductor", "conductor_choice", "network", "noise", "snr",
        "acceleration", "error", "limits",
    ]  # fmt: skip


def test_keys_and_tables_are_unique(dossier):
    keys = [finding.key for finding in dossier.findings]
    assert len(keys) == len(set(keys))
    names = [table.name for table in dossier.tables]
    assert len(names) == len(set(names))


def test_answers_point_to_sections_that_exist(dossier):
    anchors = {s.anchor for s in dossier.sections}
    assert {a.section for a in section(dossier, "answers").answers} <= anchors


def test_no_sentence_says_that_anything_is_harmless(dossier):
    for words in all_words(dossier):
        assert not re.search(r"\b(un)?safe(ly|ty)?\b|\bharmless\b|\bapproved\b|\bcertified\b", words, re.IGNORECASE), (
            words
        )


def test_limits_name_those_who_decide(dossier):
    words = " ".join((*section(dossier, "limits").prose, *section(dossier, "limits").cautions))
    for who in ("standards", "maker of the scanner", "regulator", "ethics board", "licensed", "transmit"):
        assert who in words


@pytest.mark.parametrize(
    ("excitation", "told", "not_told"),
    [
        (Excitation.LOOP_MODE, "charges at gaps do not load the body", "charges of all wires meet the body"),
        (Excitation.FULL_CURRENT, "charges of all wires meet the body", "charges at gaps do not load the body"),
    ],
)
def test_the_limits_are_those_of_the_excitation(evidence, excitation, told, not_told):
    page = compile_dossier(dataclasses.replace(evidence, excitation=excitation))
    words = " ".join(section(page, "limits").prose)
    assert told in words
    assert not_told not in words


def test_the_share_of_the_body_in_the_noise_follows_from_the_resistances(evidence):
    """NF = 10 log10(1 + Rc/Rb): an element with Rc = Rb loses half of its noise power to the coil."""
    half = dataclasses.replace(
        evidence.network,
        coil_noise_figure_db=np.full(16, 10 * np.log10(2)) * np.where(np.arange(16) == 5, 1.001, 0.999),
    )
    answer = section(compile_dossier(dataclasses.replace(evidence, network=half)), "answers").answers[0].answer
    assert "in 15 of 16 elements" in answer
    assert f"50 % in {evidence.element_names[5]}" in answer


def test_the_worst_pair_is_the_worst_pair(evidence, dossier):
    k = np.abs(evidence.network.coupling_coefficient)
    found = {f.key: f.value for f in dossier.findings}
    assert found["network.coupling_largest"] == k[np.triu_indices(16, 1)].max()
    one, other = found["network.coupling_largest_pair"].split(" and ")
    i, j = evidence.element_names.index(one), evidence.element_names.index(other)
    assert k[i, j] == found["network.coupling_largest"]
    first = next(t for t in dossier.tables if t.name == "pairs").rows[0]
    assert {first[0], first[1]} == {one, other}


def test_the_second_grid_is_the_uncertainty(evidence, dossier):
    found = {f.key: f for f in dossier.findings}
    snr = found["map.snr_optimum.median"]
    assert snr.uncertainty == pytest.approx(0.018 * snr.value)
    assert found["map.inverse_g_left_right_3.median"].uncertainty == 0.012
    assert found["element.resistance_body_ohm"].uncertainty == pytest.approx(
        evidence.network.resistance_ohm["body"] * 0.031
    )


def test_without_a_second_grid_every_figure_says_so(evidence):
    dossier = compile_dossier(dataclasses.replace(evidence, grids=None))
    found = {f.key: f for f in dossier.findings}
    for key in ("map.snr_optimum.median", "map.inverse_g_left_right_3.median", "element.resistance_body_ohm"):
        assert "no second grid" in found[key].no_uncertainty_because
    assert "not estimated" in section(dossier, "answers").answers[-1].answer


def test_one_element_has_no_pairs():
    dossier = compile_dossier(synthetic_evidence(count=1))
    assert all("disturb" not in a.question for a in section(dossier, "answers").answers)
    assert "network.coupling_largest" not in {f.key for f in dossier.findings}


def test_a_body_without_closed_form_has_no_ultimate(evidence):
    dossier = compile_dossier(dataclasses.replace(evidence, ultimate=None))
    assert "ultimate.fraction_centre" not in {f.key for f in dossier.findings}


def test_statistics_are_those_of_the_region(evidence):
    maps = evidence.maps
    scalar = maps.named("snr_optimum")
    found = region_statistics(scalar, maps)
    inside = scalar.values[maps.region]
    assert found.voxels == inside.size
    assert (found.least, found.largest) == (inside.min(), inside.max())
    assert np.mean(inside < found.percentile_5) == pytest.approx(
        0.05, abs=8 / inside.size
    )  # the map is symmetric: ties


def test_an_empty_region_has_no_statistics(evidence):
    nothing = dataclasses.replace(evidence.maps, region=np.zeros_like(evidence.maps.region))
    assert region_statistics(nothing.named("snr_optimum"), nothing).voxels == 0
    assert depth_profile(nothing.named("snr_optimum"), nothing).depth_m.size == 0
    compile_dossier(dataclasses.replace(evidence, maps=nothing))


def test_depth_shells_hold_what_lies_at_that_depth(evidence):
    """A map that is the depth itself must give the middle of each shell, to half a shell."""
    maps = evidence.maps
    depth = dataclasses.replace(maps.named("snr_optimum"), values=np.where(maps.region, maps.depth_m, np.nan))
    profile = depth_profile(depth, maps)
    assert profile.depth_m.size > 5
    assert np.all(np.abs(profile.median - profile.depth_m) <= 0.003)
    assert np.all(profile.percentile_10 <= profile.median)
    assert np.all(profile.median <= profile.percentile_90)


def test_every_source_key_is_in_the_bibliography(dossier):
    known = load_bibliography()
    for finding in dossier.findings:
        for key in re.findall(r"\[(\w+)\]", str(finding.source)):
            assert key in known, finding.key
    for method in METHODS:
        assert set(method.keys) <= set(known), method.name


def test_a_map_of_the_place_itself_tells_where_the_centre_is(evidence):
    """A map that holds x must give x of the voxel it was read in, and that voxel lies in the middle of the region."""
    maps = evidence.maps
    x = np.where(maps.region, maps.x_m[:, None, None], np.nan)
    centre = at_centre(dataclasses.replace(maps.named("snr_optimum"), values=x), maps)
    assert centre.value == centre.at_m[0]
    assert np.abs(centre.at_m).max() <= 0.003


def test_g_is_the_reciprocal_of_the_map(evidence, dossier):
    found = {f.key: f for f in dossier.findings}
    inverse_g = evidence.maps.named("inverse_g_left_right_3").values[evidence.maps.region]
    assert found["g.left-right 3.largest"].value == pytest.approx(1 / inverse_g.min())
    assert found["g.left-right 3.percentile_95"].value == pytest.approx(1 / np.percentile(inverse_g, 5))
    # d(g) = g^2 d(1/g)
    assert found["g.left-right 3.mean"].uncertainty == pytest.approx(1.09**2 * 0.012)


def test_the_worst_voxel_is_named_by_place_depth_and_tissue(evidence):
    maps = evidence.maps
    inverse_g = maps.named("inverse_g_left_right_3").values.copy()
    at = (20, 11, 18)  # x 15, y -15, z 9 mm
    assert maps.region[at]
    inverse_g[at] = 0.25
    scalars = tuple(
        dataclasses.replace(s, values=inverse_g) if s.name == "inverse_g_left_right_3" else s for s in maps.scalars
    )
    dossier = compile_dossier(dataclasses.replace(evidence, maps=dataclasses.replace(maps, scalars=scalars)))
    found = {f.key: f for f in dossier.findings}
    depth_m = float(maps.depth_m[at])
    place = f"x 15, y −15, z 9 mm, {1e3 * depth_m:.0f} mm deep, in muscle"
    assert found["g.left-right 3.largest"].value == 4.0
    assert place in found["g.left-right 3.largest"].how
    assert found["g.left-right 3.largest_at_m"].value == pytest.approx((0.015, -0.015, 0.009))
    assert found["g.left-right 3.largest_depth_m"].value == depth_m
    assert found["g.left-right 3.largest_tissue"].value == "Muscle"
    (table,) = (t for t in dossier.tables if t.name == "worst_voxels")
    assert table.rows[0][:3] == ("left-right 3", 4.0, place)
    answers = [a.answer for a in section(dossier, "answers").answers]
    assert any(f"4.00 in the worst voxel, at {place}" in answer for answer in answers)


def test_the_weakest_snr_is_named_too(evidence, dossier):
    maps = evidence.maps
    snr = np.where(maps.region, maps.named("snr_optimum").values, np.inf)
    i, j, k = np.unravel_index(np.argmin(snr), snr.shape)
    found = {f.key: f for f in dossier.findings}
    assert found["map.snr_optimum.least"].value == snr.min()
    assert found["map.snr_optimum.least_at_m"].value == (maps.x_m[i], maps.y_m[j], maps.z_m[k])
    assert found["map.snr_optimum.least_tissue"].value in maps.tissue_names
    assert "map.snr_left_right_3.least" in found


def test_a_region_beside_the_array_is_told_with_the_snr(evidence):
    first = evidence.layout.elements[0]
    elements = tuple(dataclasses.replace(one, centre_m=first.centre_m) for one in evidence.layout.elements)
    in_one_place = dataclasses.replace(evidence, layout=dataclasses.replace(evidence.layout, elements=elements))

    def answer(region):
        maps = dataclasses.replace(evidence.maps, region=region)
        dossier = compile_dossier(dataclasses.replace(in_one_place, maps=maps))
        return next(answer.answer for answer in dossier.answers if "how deep" in answer.question)

    maps = evidence.maps
    centres = np.stack(np.meshgrid(maps.x_m, maps.y_m, maps.z_m, indexing="ij"), axis=-1)
    beyond = np.linalg.norm(centres - first.centre_m, axis=-1) > maps.depth_m + first.size_m
    assert "beside the array" not in answer(maps.region & ~beyond)
    assert "Mind: 100 % of the region's voxels lie beside the array" in answer(maps.region & beyond)


def test_one_over_g_is_defined_once_however_many_patterns_there_are(evidence):
    maps, (one,) = evidence.maps, evidence.accelerations
    first = dataclasses.replace(maps.named(one.inverse_g_map), definition=f"{INVERSE_G} The first folds so.")
    second = dataclasses.replace(first, name="second", definition=f"{INVERSE_G} The second folds otherwise.")
    scalars = (*(s for s in maps.scalars if s.name != first.name), first, second)
    both = (one, dataclasses.replace(one, name="other", inverse_g_map="second"))
    prose = section(
        compile_dossier(
            dataclasses.replace(evidence, maps=dataclasses.replace(maps, scalars=scalars), accelerations=both)
        ),
        "acceleration",
    ).prose
    assert f"{INVERSE_G} The first folds so." in prose
    assert "The second folds otherwise." in prose


def test_a_map_without_values_has_no_worst_voxel(evidence):
    scalar = evidence.maps.named("snr_optimum")
    nothing = dataclasses.replace(scalar, values=np.full(scalar.values.shape, np.nan))
    assert weakest_voxel(nothing, evidence.maps) is None


@pytest.mark.parametrize(
    ("request_", "words", "view"),
    [
        (
            RegularAcceleration(
                name="r", factors=(2.0, 1.5), directions=("x", "z"), field_of_view_m=(0.24, 0.42)
            ),
            "2 × 1.5 along x and z",
            "240 mm × 420 mm",
        ),
        (
            SimultaneousSlices(
                name="s", slices=3, normal="z", slice_distance_m=0.06, direction="y", field_of_view_m=0.2,
                shift_fraction=1 / 3,
            ),
            "3 slices 60 mm apart along z, shifted by 1/3 FOV along y",
            "200 mm",
        ),
        (
            SimultaneousSlices(
                name="s", slices=2, normal="x", slice_distance_m=0.045, direction="z", field_of_view_m=0.2, factor=2.0
            ),
            "2 slices 45 mm apart along x, 2 along z, not shifted",
            "200 mm",
        ),
    ],
)  # fmt: skip
def test_patterns_are_told_in_words(request_, words, view):
    assert pattern_words(request_) == words
    assert field_of_view_words(request_) == view


def test_a_voxel_that_cannot_be_unfolded_has_infinite_g(evidence):
    maps = evidence.maps
    folded = tuple(
        dataclasses.replace(s, values=np.where(maps.region, 0.0, np.nan)) if s.kind is MapKind.INVERSE_G else s
        for s in maps.scalars
    )
    dossier = compile_dossier(dataclasses.replace(evidence, maps=dataclasses.replace(maps, scalars=folded)))
    largest = {f.key: f for f in dossier.findings}["g.left-right 3.largest"]
    assert largest.value == np.inf
    assert largest.no_uncertainty_because == "some voxels do not unfold"


def test_maps_without_the_signals_scale_are_called_sensitivities(evidence):
    """As mapping.py fills them where the magnetisation is not known: with a unit, and a remark that says why."""
    scalars = tuple(
        dataclasses.replace(s, title=s.title.replace("SNR", "sensitivity"), unit="T A^-1 ohm^-1/2")
        if s.kind is MapKind.SNR
        else s
        for s in evidence.maps.scalars
    )
    maps = dataclasses.replace(evidence.maps, scalars=scalars, remarks=("No absolute SNR.",))
    accelerations = tuple(dataclasses.replace(a, remarks=("2 voxels fold",)) for a in evidence.accelerations)
    dossier = compile_dossier(dataclasses.replace(evidence, maps=maps, accelerations=accelerations, ultimate=None))
    assert "No absolute SNR." in section(dossier, "snr").prose
    assert "left-right 3: 2 voxels fold" in section(dossier, "acceleration").prose
    answers = {a.question: a.answer for a in section(dossier, "answers").answers}
    assert "What sensitivity do I get, and how deep?" in answers
    assert any("of sensitivity is left" in answer for answer in answers.values())
    assert not any("SNR of" in answer for answer in answers.values())


def test_both_noise_forms_and_both_q_are_given(evidence, dossier):
    found = {f.key: f for f in dossier.findings}
    for key, matrix in (
        ("matrix.noise_open_circuit", evidence.noise.open_circuit_v2_per_hz),
        ("matrix.noise_matched", evidence.noise.matched_w_per_hz),
        ("matrix.matched_scattering", evidence.network.matched_scattering),
    ):
        np.testing.assert_array_equal(
            np.array(found[f"{key}_real"].value) + 1j * np.array(found[f"{key}_imaginary"].value), matrix
        )
    for key in ("element.quality_unloaded", "element.quality_loaded"):
        assert "(radiation left out)" in found[key].label
        assert "radiation counted" in found[f"{key}_open_room"].label
        assert "body's impedance added" not in found[key].how
