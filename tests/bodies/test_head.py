"""The stylised head: its circumference as measured, everything inside everything, and masses of a head."""

import re

import numpy as np
import pytest
from scipy.spatial import cKDTree
from scipy.special import ellipe
from scipy.stats import qmc

from loopwright.bodies import Dome, grid_around, head, tissue_at, voxel_fractions
from loopwright.bodies.head import HEAD_TISSUES, brain_mass_kg, head_mass_kg
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


#: Head half-axes x, y, height of cylinder and of cap of the published family, as the design notes have them; cm. Age of
#: the figure; circumference as measured, which the head takes, cm.
FAMILY_CM = {
    "newborn": (4.52, 5.78, 7.01, 3.99, 34.5),
    "1 year": (6.13, 7.84, 9.50, 5.41, 46.1),
    "5 years": (7.13, 9.05, 10.7, 6.31, 50.7),
    "10 years": (7.43, 9.40, 11.68, 6.59, 53.0),
    "15 years": (7.77, 9.76, 12.35, 6.92, 55.5),
    "adult male": (8.00, 10.0, 13.05, 7.15, 57.0),
}


def chin_m(solid):
    """Height of the lower end of the head, found by asking points just beyond the neck's side."""
    z = np.linspace(-0.3, 0, 30_001)
    beyond = np.column_stack([np.full_like(z, 0.95 * solid.skin.semi_axes_m[0]), np.zeros_like(z), z])
    return z[solid.label(beyond) >= 0][0]


@pytest.mark.parametrize("age", FAMILY_CM)
def test_the_head_has_the_familys_volume_and_height_at_its_own_circumference(age):
    """Counted in the body itself above the chin, against the family's cylinder and cap times the cube of a length."""
    a, b, cylinder, cap, around = FAMILY_CM[age]
    scale = around / (4 * max(a, b) * ellipe(1 - (min(a, b) / max(a, b)) ** 2))
    solid = head(age)
    chin = chin_m(solid)
    assert solid.box_m[1][2] - chin == pytest.approx(scale * (cylinder + cap) / 100, rel=0.01)
    lower, upper = np.array([*solid.box_m[0][:2], chin]), np.array(solid.box_m[1])
    points = lower + (upper - lower) * qmc.Sobol(3, rng=3).random_base2(17)
    counted_l = 1e3 * np.mean(solid.label(points) >= 0) * np.prod(upper - lower)
    family_l = np.pi * a * b * (cylinder + 2 / 3 * cap) / 1e3
    assert counted_l == pytest.approx(scale**3 * family_l, rel=0.02)
    (told,) = (note for note in solid.notes if "without its neck" in note)
    said = [float(litres) for litres in re.findall(r"fills ([0-9.]+) L", told)]
    assert said == pytest.approx([counted_l, family_l], rel=0.02)


@pytest.mark.parametrize(("age", "least_kg", "most_kg"), [("adult male", 4.3, 5.3), ("newborn", 0.8, 1.1)])
def test_the_head_without_its_neck_weighs_what_a_head_weighs(age, least_kg, most_kg):
    """6.9 % of 73 kg (5.1 kg) and 4.7 kg are told of grown men, a quarter of 3.5 kg of newborns (all from memory)."""
    solid = head(age)
    whole_kg, without_kg = (
        sum(
            volume * tissue_at(name, frequency_hz=128e6).density_kg_per_m3
            for name, volume in zip(HEAD_TISSUES, volumes, strict=True)
        )
        for volumes in (solid.volumes_m3, _volumes_above_m3(solid, chin_m(solid)))
    )
    assert least_kg < without_kg < most_kg
    assert without_kg < whole_kg
    assert head_mass_kg(figure_of(age)) == pytest.approx(without_kg, rel=0.01)


def _volumes_above_m3(solid, height_m):
    """Volume of every tissue above a height, by counting points."""
    lower, upper = np.array([*solid.box_m[0][:2], height_m]), np.array(solid.box_m[1])
    labels = solid.label(lower + (upper - lower) * qmc.Sobol(3, rng=4).random_base2(17))
    share = np.bincount(labels[labels >= 0], minlength=len(solid.tissue_names)) / len(labels)
    return share * np.prod(upper - lower)


@pytest.mark.parametrize("age", AGES)
def test_every_shell_of_the_head_lies_inside_the_one_before(age):
    """Points on the surface of each, above the chin, where all but the brain's shells are cut."""
    solid = head(age)
    rng = np.random.default_rng(2)
    unit = rng.normal(size=(20_000, 3))
    unit /= np.linalg.norm(unit, axis=1, keepdims=True)
    neck = next(index for index, region in enumerate(solid.regions[1:], start=1) if region.within is None)
    for inner in solid.regions[1:neck]:
        outer = solid.regions[inner.within].shape
        points = unit * np.asarray(inner.shape.semi_axes_m)
        if isinstance(inner.shape, Dome):
            points[:, 2] = np.abs(points[:, 2])
        assert outer.contains(points * (1 - 1e-9)).all()


@pytest.mark.parametrize("age", AGES)
def test_the_brain_ends_above_the_chin_and_the_neck_begins_there(age):
    solid = head(age)
    csf = next(r.shape for r in solid.regions if r.tissue == HEAD_TISSUES.index("Cerebro Spinal Fluid"))
    assert csf.centre_m[2] - csf.semi_axes_m[2] > chin_m(solid)
    neck = next(r.shape for r in solid.regions[1:] if r.within is None)
    assert neck.centre_m[2] + neck.height_m / 2 == pytest.approx(-solid.skin.height_m, abs=1e-12)
    assert np.all(np.array(neck.semi_axes_m) < solid.skin.semi_axes_m[:2])


@pytest.mark.parametrize("spacing_m", [8e-3, 5e-3, 3e-3])
def test_skin_is_neither_lost_nor_doubled(spacing_m):
    solid = head("1 year")
    grid = grid_around(solid, spacing_m)
    found = voxel_fractions(solid, grid).sum(axis=(1, 2, 3)) * grid.voxel_volume_m3
    assert found == pytest.approx(np.array(solid.volumes_m3), rel=1e-8)
    # The shell about the ellipsoid alone, counted by points in a thin box of directions: area times thickness.
    unit = np.random.default_rng(5).normal(size=(400_000, 3))
    unit /= np.linalg.norm(unit, axis=1, keepdims=True)
    outer = np.array(solid.skin.semi_axes_m)
    kept = unit[:, 2] > 0
    element = np.prod(outer) * np.linalg.norm(unit / outer, axis=1)  # d area / d solid angle of the direction u
    normal = unit / outer / np.linalg.norm(unit / outer, axis=1, keepdims=True)
    thickness = 0.66e-3 * np.sum(normal * unit, axis=1)  # of a shift of every half-axis, to first order
    on_cap = 4 * np.pi * np.mean(element * thickness * kept)
    neck = next(r.shape for r in solid.regions[1:] if r.within is None)
    on_columns = sum(
        np.pi * (column.semi_axes_m[0] + column.semi_axes_m[1] - 0.66e-3) * 0.66e-3 * column.height_m
        for column in (solid.skin, neck)
    )
    assert found[0] == pytest.approx(on_cap + on_columns, rel=0.02)


@pytest.mark.parametrize("age", AGES)
def test_the_brain_weighs_what_the_reference_weighs(age):
    """Within a tenth of ICRP 89: adults read, children from memory; the table has none at six months."""
    figure = figure_of(age)
    if figure.reference_brain_kg is None:
        assert 0.6 < brain_mass_kg(figure) < 0.8
        assert not any("brain weighs" in note for note in head(age).notes)
        return
    assert brain_mass_kg(figure) == pytest.approx(figure.reference_brain_kg, rel=0.10)
    (told,) = (note for note in head(age).notes if "brain weighs" in note)
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


def test_depth_knows_the_neck_and_no_surface_between_it_and_the_head():
    solid = head("5 years")
    neck = next(r.shape for r in solid.regions[1:] if r.within is None)
    end, top = (neck.centre_m[2] + side * neck.height_m / 2 for side in (-1, 1))
    a = neck.semi_axes_m[0]
    on_axis = np.array([[0, 0, top - 1e-3], [0, 0, top + 1e-3], [0, 0, end + 2e-3], [0, 0, end - 5e-3]])
    depth = solid.depth_m(on_axis)
    assert depth[:2].min() > 0.9 * a * (1 - 0.35)  # deep inside: the two parts meet here, the end of the neck is near
    assert depth[2:] == pytest.approx([2e-3, -5e-3], abs=1e-12)
    beside = np.array([[a - 3e-3, 0, end + 0.02], [a + 3e-3, 0, end + 0.02]])
    assert solid.depth_m(beside) == pytest.approx([3e-3, -3e-3], abs=1e-9)
    assert np.array_equal(solid.depth_m(on_axis) > 0, solid.label(on_axis) >= 0)


@pytest.mark.parametrize("age", ["newborn", "adult male"])
def test_depth_is_never_more_than_the_way_to_the_skin_and_exact_near_it(age):
    """Against the nearest of many points of cap, side and the flat ring about the neck."""
    solid = head(age)
    a, b, c = solid.skin.semi_axes_m
    unit = fibonacci(30_000)
    cap = unit * [a, b, c]
    cap = cap[cap[:, 2] >= 0]
    turn, height = (part.ravel() for part in np.meshgrid(np.linspace(0, 2 * np.pi, 500), np.linspace(0, -1, 200)))
    side = np.column_stack([a * np.cos(turn), b * np.sin(turn), height * solid.skin.height_m])
    skin = cKDTree(np.concatenate([cap, side]))
    lower, upper = (np.array(corner) for corner in solid.box_m)
    lower[2] = -0.5 * solid.skin.height_m  # away from the chin
    points = np.random.default_rng(6).uniform(lower, upper, (6_000, 3))
    points = points[solid.label(points) >= 0]
    depth, (way, _) = solid.depth_m(points), skin.query(points)
    assert np.all(depth < way + 1e-9)
    shallow = way < c**2 / b
    assert shallow.sum() > 1500
    assert depth[shallow] == pytest.approx(way[shallow], abs=1e-3)


def fibonacci(count):
    """Unit vectors spread evenly."""
    z = 1 - (2 * np.arange(count) + 1) / count
    turn = np.pi * (1 + 5**0.5) * np.arange(count)
    return np.column_stack([np.sqrt(1 - z**2) * np.cos(turn), np.sqrt(1 - z**2) * np.sin(turn), z])


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
