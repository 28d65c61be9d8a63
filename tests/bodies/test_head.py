"""The stylised head: its circumference as measured, everything inside everything, and masses of a head."""

import numpy as np
import pytest
from scipy.special import ellipe

from loopwright.bodies import grid_around, head, tissue_at, voxel_fractions
from loopwright.bodies.closest import depth_in_ellipsoid_m
from loopwright.bodies.head import HEAD_TISSUES, brain_mass_kg
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.figures import figure_of
from loopwright.ground.tables import anthropometry_rows, stylised_figure_rows

AGES = [row.age for row in stylised_figure_rows()]
#: Medians of boys in WHO's growth standards, as the design notes read them: birth, 6 months, 1 year, 5 years; cm.
WHO_CM = {"newborn": 34.46, "6 months": 43.3, "1 year": 46.06, "5 years": 50.74}
#: 5th and 95th percentile of boys of another table (check value A12), cm.
OTHER_TABLE_CM = {"newborn": (32.6, 37.2), "6 months": (41.5, 46.2), "1 year": (44.8, 49.3)}


def circumference_m(solid):
    """Perimeter of the widest section, by the complete elliptic integral."""
    b, a = sorted(solid.skin.semi_axes_m[:2])
    return 4 * a * ellipe(1 - (b / a) ** 2)


@pytest.mark.parametrize("age", AGES)
def test_circumference_is_the_one_of_the_table(age):
    found_cm = 100 * circumference_m(head(age))
    groups = {row.group: row for row in anthropometry_rows()}
    assert found_cm == pytest.approx(100 * groups[figure_of(age).measured_as].circumference_m["head"], rel=1e-4)
    if age in WHO_CM:
        assert found_cm == pytest.approx(WHO_CM[age], rel=5e-3)
    if age in OTHER_TABLE_CM:
        low, high = OTHER_TABLE_CM[age]
        assert low < found_cm < high


@pytest.mark.parametrize("age", AGES)
def test_every_shell_of_the_head_lies_inside_the_one_before(age):
    solid = head(age)
    rng = np.random.default_rng(2)
    unit = rng.normal(size=(20_000, 3))
    unit /= np.linalg.norm(unit, axis=1, keepdims=True)
    of_head = [region for region in solid.regions if hasattr(region.shape, "lower_m")]
    for inner in of_head[1:]:
        outer = solid.regions[inner.within].shape
        points = np.asarray(inner.shape.centre_m) + unit * np.asarray(inner.shape.semi_axes_m) - outer.centre_m
        above = points[:, 2] + outer.centre_m[2] > inner.shape.lower_m[2]
        assert depth_in_ellipsoid_m(points[above], outer.semi_axes_m).min() > -1e-9


@pytest.mark.parametrize("age", AGES)
def test_the_brain_ends_above_the_neck_and_the_outside_has_no_step(age):
    solid = head(age)
    top = solid.regions[0].shape.lower_m[2]
    csf = next(r.shape for r in solid.regions if r.tissue == HEAD_TISSUES.index("Cerebro Spinal Fluid"))
    assert csf.centre_m[2] - csf.semi_axes_m[2] > top
    neck = next(r.shape for r in solid.regions[1:] if r.within is None)
    section = np.sqrt(1 - (top / solid.skin.semi_axes_m[2]) ** 2)
    assert neck.semi_axes_m == pytest.approx([section * half for half in solid.skin.semi_axes_m[:2]], rel=1e-12)
    assert neck.centre_m[2] + neck.height_m / 2 == pytest.approx(top, abs=1e-12)


@pytest.mark.parametrize("spacing_m", [8e-3, 5e-3, 3e-3])
def test_skin_is_neither_lost_nor_doubled(spacing_m):
    solid = head("1 year")
    grid = grid_around(solid, spacing_m)
    found = voxel_fractions(solid, grid).sum(axis=(1, 2, 3)) * grid.voxel_volume_m3
    assert found == pytest.approx(np.array(solid.volumes_m3), rel=1e-8)
    # The shell about the ellipsoid alone, counted by points in a thin box of directions: area times thickness.
    unit = np.random.default_rng(5).normal(size=(400_000, 3))
    unit /= np.linalg.norm(unit, axis=1, keepdims=True)
    outer = np.array(solid.regions[0].shape.semi_axes_m)
    kept = (unit * outer)[:, 2] > solid.regions[0].shape.lower_m[2]
    element = np.prod(outer) * np.linalg.norm(unit / outer, axis=1)  # d area / d solid angle of the direction u
    normal = unit / outer / np.linalg.norm(unit / outer, axis=1, keepdims=True)
    thickness = 0.66e-3 * np.sum(normal * unit, axis=1)  # of a shift of every half-axis, to first order
    on_head = 4 * np.pi * np.mean(element * thickness * kept)
    neck = next(r.shape for r in solid.regions[1:] if r.within is None)
    a, b = neck.semi_axes_m
    on_neck = np.pi * (a * b - (a - 0.66e-3) * (b - 0.66e-3)) * neck.height_m
    assert found[0] == pytest.approx(on_head + on_neck, rel=0.02)


@pytest.mark.parametrize("age", AGES)
def test_the_brain_weighs_what_the_reference_weighs(age):
    """Within a tenth of ICRP 89: adults read, children from memory; the table has none at six months."""
    figure = figure_of(age)
    if figure.reference_brain_kg is None:
        assert 0.6 < brain_mass_kg(figure) < 0.8
        assert not any("weighs" in note for note in head(age).notes)
        return
    assert brain_mass_kg(figure) == pytest.approx(figure.reference_brain_kg, rel=0.10)
    (told,) = (note for note in head(age).notes if "weighs" in note)
    assert f"{figure.reference_brain_kg * 1e3:.0f} g" in told
    assert ("(read)" in told) == age.startswith("adult")


@pytest.mark.parametrize("age", AGES)
def test_brain_mass_is_volume_times_density_and_white_matter_its_share(age):
    solid = head(age)
    volume = dict(zip(HEAD_TISSUES, solid.volumes_m3, strict=True))
    mass = sum(
        volume[name] * tissue_at(name, frequency_hz=128e6).density_kg_per_m3
        for name in HEAD_TISSUES
        if "Matter" in name
    )
    assert mass == pytest.approx(brain_mass_kg(figure_of(age)), rel=1e-9)
    white, grey = volume["Brain (White Matter)"], volume["Brain (Grey Matter)"]
    assert white / (white + grey) == pytest.approx(0.4)
    assert all(part >= 0 for part in solid.volumes_m3)


def test_head_with_neck_weighs_what_a_head_weighs():
    """About 4.5 kg for a grown man (from memory), without face and jaw."""
    mass = sum(
        volume * tissue_at(name, frequency_hz=128e6).density_kg_per_m3
        for name, volume in zip(HEAD_TISSUES, head("adult male").volumes_m3, strict=True)
    )
    assert 3.5 < mass < 5.5


def test_depth_knows_the_neck_and_no_surface_between_it_and_the_head():
    solid = head("5 years")
    top = solid.regions[0].shape.lower_m[2]
    neck = next(r.shape for r in solid.regions[1:] if r.within is None)
    end = neck.centre_m[2] - neck.height_m / 2
    a = neck.semi_axes_m[0]
    on_axis = np.array([[0, 0, top - 1e-3], [0, 0, top + 1e-3], [0, 0, end + 2e-3], [0, 0, end - 5e-3]])
    depth = solid.depth_m(on_axis)
    assert depth[:2].min() > 0.9 * a  # deep inside: the two parts meet here
    assert depth[2:] == pytest.approx([2e-3, -5e-3], abs=1e-12)
    beside = np.array([[a - 3e-3, 0, end + 0.02], [a + 3e-3, 0, end + 0.02]])
    assert solid.depth_m(beside) == pytest.approx([3e-3, -3e-3], abs=1e-9)
    assert np.array_equal(solid.depth_m(on_axis) > 0, solid.label(on_axis) >= 0)


def test_inside_and_outside_agree_with_depth():
    solid = head("newborn")
    lower, upper = (np.array(corner) for corner in solid.box_m)
    points = np.random.default_rng(4).uniform(lower - 5e-3, upper + 5e-3, (50_000, 3))
    assert np.array_equal(solid.depth_m(points) > 0, solid.label(points) >= 0)


def test_head_says_what_it_is():
    solid = head("1 year")
    assert any("no patient" in caution for caution in solid.cautions)
    assert any("46.1 cm" in note and "read in the source named" in note for note in solid.notes)
    assert any("from memory" in note for note in head("10 years").notes if "circumference" in note)


def test_an_unknown_age_is_refused():
    with pytest.raises(OutsideModelError, match="adult male"):
        head("40 years")
