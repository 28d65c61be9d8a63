"""Compression of films on spheres against closed forms, and the slits and gores that take it away."""

import numpy as np
import pytest

from film_bodies import rectangle
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import (
    ColumnSkin,
    EllipsoidSkin,
    disc_strain,
    fewest_gores,
    fewest_slits,
    film_grid,
    film_strain,
    strip_strain,
)

STAND_OFF = 5e-3
RADIUS = 0.09  # of the sphere on which the film lies
SPHERE = EllipsoidSkin(semi_axes_m=(RADIUS - STAND_OFF,) * 3)
FOOT = SPHERE.feet_towards(np.array([[0.2, -1.0, 0.3]]))


@pytest.mark.parametrize("radius_m", [0.04, 0.06, 0.09])
def test_the_rim_of_a_disc_on_a_sphere_is_shortened_by_one_less_sine_over_angle(radius_m):
    x = radius_m / RADIUS
    strain = disc_strain(SPHERE, FOOT, radius_m=radius_m, stand_off_m=STAND_OFF)
    assert strain.compression.max() == pytest.approx(1 - np.sin(x) / x, rel=0.02)
    assert strain.principal[:, 1].max() < 1.5e-3  # along lines from the middle nothing is drawn out


def test_an_irregular_grid_tells_the_same_within_its_spacing():
    angle = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    grid = film_grid(0.06 * np.stack([np.cos(angle), np.sin(angle)], axis=1), spacing_m=4e-3)
    strain = film_strain(grid, SPHERE.wrapped_m(FOOT, grid.nodes_m, stand_off_m=np.array([STAND_OFF]))[0])
    x = 0.06 / RADIUS
    assert strain.compression.max() == pytest.approx(1 - np.sin(x) / x, rel=0.04)
    wrinkled = 1 - (0.4257 * RADIUS / 0.06) ** 2  # 1 - sin(x)/x = 0.03 at x = 0.4257
    assert strain.share_wrinkled(0.03) == pytest.approx(wrinkled, abs=0.03)


@pytest.mark.parametrize("half_width_m", [0.02, 0.03, 0.04])
@pytest.mark.parametrize("direction_rad", [0.0, 0.7])
def test_the_sides_of_a_strip_on_a_sphere_are_shortened_by_one_less_cosine(half_width_m, direction_rad):
    strain = strip_strain(
        SPHERE, FOOT, direction_rad=direction_rad, from_m=-0.06, to_m=0.06, half_width_m=np.full(49, half_width_m),
        stand_off_m=STAND_OFF,
    )  # fmt: skip
    assert strain.compression.max() == pytest.approx(1 - np.cos(half_width_m / RADIUS), rel=0.02)


def test_the_fewest_slits_of_a_disc_on_a_sphere():
    """Petals are as wide as the body is between two slits: sin(q / R) = sin(x) sin(pi / N); their sides decide."""
    plan = fewest_slits(SPHERE, FOOT, radius_m=0.09, limit=0.03, stand_off_m=STAND_OFF, first_rad=0.2)

    def left(number):
        return 1 - np.sqrt(1 - (np.sin(0.09 / RADIUS) * np.sin(np.pi / number)) ** 2)

    assert plan.number == next(n for n in range(3, 30) if left(n) <= 0.03) == 11
    assert plan.compression[11] == pytest.approx(left(11), rel=0.12)  # the widest triangles reach past the last nodes
    assert plan.directions_rad == pytest.approx(0.2 + 2 * np.pi * np.arange(11) / 11)
    x0, x1 = plan.begin_m / RADIUS, 0.09 / RADIUS
    assert 1 - np.sin(x0) / x0 == pytest.approx(0.03, rel=0.08)
    width = 2 * np.pi / 11 * (plan.radius_m - RADIUS * np.sin(plan.radius_m / RADIUS))
    assert plan.widths_m == pytest.approx(np.tile(width, (11, 1)), rel=0.01)
    removed = 2 * np.pi * RADIUS**2 * ((x1**2 - x0**2) / 2 - (np.cos(x0) - np.cos(x1)))
    assert plan.removed_area_m2 == pytest.approx(removed, rel=0.01)
    assert sum(_area_m2(slit) for slit in plan.outlines_m) == pytest.approx(removed, rel=0.01)


def test_the_fewest_gores_of_a_rectangle_on_a_sphere():
    """Between two lines half a pitch from the middle one the body is 2 R asin(cos(v / R) sin(w / 2R)) wide."""
    plan = fewest_gores(SPHERE, FOOT, width_m=0.14, length_m=0.14, limit=0.025, stand_off_m=STAND_OFF)
    left = {n: 1 - np.cos(0.07 / n / RADIUS) for n in range(1, 9)}
    assert plan.number == next(n for n in left if left[n] <= 0.025) == 4
    for number, compression in plan.compression.items():
        assert compression == pytest.approx(left[number], rel=0.08)
    width = 2 * RADIUS * np.arcsin(np.cos(plan.along_m / RADIUS) * np.sin(0.0175 / RADIUS))
    assert plan.widths_m == pytest.approx(np.tile(width, (4, 1)), rel=1e-3)
    assert sum(_area_m2(gore) for gore in plan.outlines_m) == pytest.approx(0.14**2 - plan.removed_area_m2, rel=1e-9)


def test_on_a_cylinder_nothing_is_slit():
    column = ColumnSkin(semi_axes_m=(0.08, 0.06), height_m=0.4)
    foot = column.feet_towards(np.array([[0.0, -1.0, 0.0]]))
    slits = fewest_slits(column, foot, radius_m=0.06, limit=0.02, stand_off_m=STAND_OFF)
    assert (slits.number, slits.removed_area_m2, slits.outlines_m) == (0, 0.0, ())
    gores = fewest_gores(column, foot, width_m=0.1, length_m=0.1, limit=0.02, stand_off_m=STAND_OFF)
    assert gores.number == 1
    assert gores.removed_area_m2 == pytest.approx(0.0, abs=1e-6)


def test_a_limit_that_no_number_keeps_is_told():
    with pytest.raises(OutsideModelError, match=r"4 slits leave 0\.19"):
        fewest_slits(SPHERE, FOOT, radius_m=0.09, limit=0.01, stand_off_m=STAND_OFF, most=4)
    with pytest.raises(OutsideModelError, match="2 gores leave"):
        fewest_gores(SPHERE, FOOT, width_m=0.14, length_m=0.14, limit=0.01, stand_off_m=STAND_OFF, most=2)


def _area_m2(outline_m):
    x, y = outline_m.T
    return 0.5 * np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))


def test_outlines_of_grids_are_filled():
    grid = film_grid(rectangle(0.1, 0.05), spacing_m=4e-3)
    assert grid.areas_m2.min() > 0
    assert grid.areas_m2.sum() == pytest.approx(0.005, rel=1e-9)
    assert grid.node_areas_m2.sum() == pytest.approx(0.005, rel=1e-9)
