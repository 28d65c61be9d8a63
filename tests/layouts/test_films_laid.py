"""Films laid on bodies: closed-form gaps on a ball, a bridged hollow, arms held away, a cone where the body is one."""

import numpy as np
import pytest

from film_bodies import ball, both, cylinder, frustum, rectangle, shifted
from loopwright.ground.errors import OutsideModelError
from loopwright.layouts import (
    FilmGaps,
    FilmPattern,
    FilmPlacement,
    FilmStack,
    Rulings,
    StackLayer,
    elements_at,
    film_grid,
    film_laid,
    flat_element,
    taut_over,
)
from loopwright.layouts.nearness import distances_to_m, heights_over_m

FRONT = np.array([0.0, -1.0, 0.0])
STACK = FilmStack(
    layers=(StackLayer(name="polyimide", thickness_m=50e-6), StackLayer(name="foam", thickness_m=3e-3)),
    conductor_thickness_m=36e-6,
)


def pattern(width_m, height_m, *elements):
    return FilmPattern(outline_m=rectangle(width_m, height_m), elements=elements, conductor_width_m=2e-3)


def laid(body, film, radius_m, *, form="cone", turned_rad=0.0, spacing_m=8e-3):
    placement = FilmPlacement(point_m=radius_m * FRONT, outwards=FRONT, turned_rad=turned_rad)
    return film_laid(film, body, placement, stand_off_m=STACK.stand_off_m, form=form, spacing_m=spacing_m)


def test_the_stack_adds_up():
    assert STACK.stand_off_m == pytest.approx(3.068e-3)
    with pytest.raises(OutsideModelError, match=r"thickness_m = -0\.001 of foam"):
        StackLayer(name="foam", thickness_m=-1e-3)


def test_the_gap_under_a_film_round_a_ball_is_that_of_its_tangent_cylinder():
    """A film rolled round the equator is sqrt(R^2 + h^2) - R off at the height h; rulings run across it."""
    radius = 0.07
    ring = flat_element("E01", "circle", size_m=0.06, centre_m=(0.0, 0.0), segments=64, gaps=4)
    film = laid(ball(radius), pattern(0.16, 0.10, ring), radius, form="cylinder", spacing_m=3e-3)
    assert abs(film.rulings.upwards[2]) == pytest.approx(1.0, abs=2e-3)
    height = film.gaps.grid.nodes_m[:, 1]
    assert film.gaps.gap_m == pytest.approx(np.hypot(radius, height) - radius, abs=1.5e-4)
    assert film.gaps.median_m == pytest.approx(np.hypot(radius, 0.025) - radius, rel=0.01)
    assert film.gaps.p95_m == pytest.approx(np.hypot(radius, 0.0475) - radius, rel=0.01)
    at_limit = np.sqrt((radius + 8e-3) ** 2 - radius**2)
    assert film.gaps.share_above(8e-3) == pytest.approx(1 - at_limit / 0.05, abs=3e-3)
    assert abs(film.gaps.grid.nodes_m[film.gaps.worst_node, 1]) == pytest.approx(0.05)
    of_ring = np.hypot(radius, 0.03 * np.sin(np.pi / 4)) - radius  # half of a circle is higher
    assert film.gaps.of_elements_m["E01"] == pytest.approx(of_ring, rel=0.03)
    assert film.strain.largest < 1e-3


@pytest.mark.parametrize("form", ["cylinder", "cone"])
@pytest.mark.parametrize("turned_rad", [0.0, 0.9])
def test_a_film_touches_the_body_and_nowhere_enters_it(form, turned_rad):
    """The conductors stand off by the stack and the gap, within the lean of the film against the skin."""
    body = shifted(ball(0.08), (0.0, 0.0, 0.01))
    body = body.at(body.vertices_m * [1.0, 1.2, 1.6])
    ring = flat_element("E01", "circle", size_m=0.05, centre_m=(0.02, 0.01), segments=48, gaps=4)
    film = laid(body, pattern(0.14, 0.10, ring), 0.096, form=form, turned_rad=turned_rad)
    under = film.skin.walked(film.foot, film.gaps.grid.nodes_m, stand_off_m=STACK.stand_off_m).points_m
    assert heights_over_m(under, body).min() > -1e-6
    assert film.gaps.gap_m.min() < 3e-4
    (element,) = elements_at(pattern(0.14, 0.10, ring), film.skin, film.foot, stand_off_m=STACK.stand_off_m)
    off_m = distances_to_m(element.vertices_m, body)
    assert np.median(off_m) == pytest.approx(STACK.stand_off_m + film.gaps.of_elements_m["E01"], rel=0.02)


def test_a_hollow_is_bridged_by_a_straight_film():
    """Where a cylinder is cut in by 12 mm between two edges, the film runs straight from one to the other."""
    step = 2 * np.pi / 400
    edge = 16 * step  # the front is at three quarters of a turn

    def deeper_m(angle):
        return np.where(np.abs(angle - 1.5 * np.pi) < edge - step / 2, 0.012, 0.0)

    body = cylinder(0.08, around=400, deeper_m=deeper_m)
    film = laid(body, pattern(0.10, 0.08), 0.068, form="cylinder", spacing_m=2e-3)
    middle = np.linalg.norm(film.gaps.grid.nodes_m, axis=1).argmin()
    assert film.gaps.gap_m[middle] == pytest.approx(0.08 * np.cos(edge) - 0.068, abs=1e-4)
    assert film.gaps.gap_m.max() < 0.012


def test_arms_held_away_do_not_carry_the_film():
    trunk, arm = cylinder(0.1), shifted(cylinder(0.03), (0.16, 0.0, 0.0))
    rulings = Rulings(through_m=0.1 * FRONT, upwards=np.array([0.0, 0.0, 1.0]), narrowing_per_m=0.0)
    alone, with_arm = (taut_over(body, rulings, reach_m=(-0.1, 0.1)) for body in (trunk, both(trunk, arm)))
    assert with_arm.circumference_m(stand_off_m=0.0) == pytest.approx(alone.circumference_m(stand_off_m=0.0), rel=1e-12)


def test_a_limb_that_tapers_is_followed_by_a_cone_and_not_by_a_cylinder():
    body = frustum(0.05, 0.25)
    film = pattern(0.14, 0.10)
    as_cone, as_cylinder = (laid(body, film, 0.05, form=form) for form in ("cone", "cylinder"))
    assert as_cone.gaps.p95_m < 0.25e-3
    assert as_cylinder.gaps.p95_m > 2e-3
    assert not as_cone.skin.is_cylinder
    narrowing_per_m = 0.25 / 0.05 * np.hypot(1, 0.25) ** -1  # along a ruling the tip is sqrt(1 + 0.25^2) further
    assert as_cone.rulings.narrowing_per_m == pytest.approx(narrowing_per_m, rel=0.05)


def test_shares_and_quantiles_are_by_area():
    """A gap that grows evenly across the film has its quantiles in proportion, however nodes are spread."""
    grid = film_grid(rectangle(0.1, 0.06), spacing_m=3e-3)
    gaps = FilmGaps(grid=grid, gap_m=0.05 + grid.nodes_m[:, 0], of_elements_m={})
    assert gaps.median_m == pytest.approx(0.05, rel=1e-9)
    assert gaps.p95_m == pytest.approx(0.095, rel=1e-9)
    assert gaps.share_above(0.08) == pytest.approx(0.2, rel=1e-9)


def test_a_film_that_nothing_carries_is_refused():
    with pytest.raises(OutsideModelError, match="no cylinder or cone"):
        laid(cylinder(0.02, 0.1), pattern(0.5, 0.5), 0.02)
