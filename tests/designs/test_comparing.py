"""Best, close, tied, beaten: from made-up figures whose answer is known."""

import types

import numpy as np
import pytest

from loopwright.brief import RefusedDesign
from loopwright.designs import (
    AcceleratedFigures,
    CommonExcitation,
    DepthFigures,
    DesignFigures,
    DesignResult,
    Optimum,
    SizeEdge,
    compare,
    optimum_size_m,
)
from loopwright.designs.sizes import optimum_between
from loopwright.dossier.comparing import _level_sentences
from loopwright.fields import Excitation

LOOP_MODE = CommonExcitation(excitation=Excitation.LOOP_MODE, asked="automatic", needed_by=())


def made(
    name, *, medians, coarse=None, size_m=0.06, elements=8, mass_kg=0.01, choices=None, accelerated=None, span="patch"
):
    """A design with these medians at 20, 40, ... mm, and under one acceleration where they are given."""
    left = [() if accelerated is None else (value,) for value in accelerated or medians]
    depths = tuple(
        DepthFigures(depth_m=0.02 * (n + 1), percentile_5=m / 2, median=m, percentile_95=2 * m, under_elements=m,
                     accelerated_median=left[n], accelerated_points=(40,) * len(left[n]))
        for n, m in enumerate(medians)
    )  # fmt: skip
    fast = AcceleratedFigures(name="2 x", judged_share=1.0, g_mean=1.1, g_largest=1.3, snr_mean=3, snr_percentile_5=1)
    figures = DesignFigures(
        depths=depths,
        profile=np.array(medians),
        accelerations=() if accelerated is None else (fast,),
        element_count=elements,
        size_m=size_m,
        array_height_m=0.2,
        centres_past_ends=0,
        conductor_length_m=1.0,
        conductor_mass_kg=mass_kg,
        coil_noise_share_mean=0.1,
        coil_noise_share_largest=0.2,
        quality_unloaded=300.0,
        quality_loaded=60.0,
        coupling_largest=0.01,
    )
    tiling = types.SimpleNamespace(span=span)
    brief = types.SimpleNamespace(array=types.SimpleNamespace(tiling=tiling))
    planned = types.SimpleNamespace(name=name, choices=choices or (("size", f"{1e3 * size_m:g} mm"),), brief=brief)
    return DesignResult(planned=planned, figures=figures, coarse_median=tuple(coarse or medians))


def compared(*results, refused=()):
    return compare(
        results,
        refused,
        excitation=LOOP_MODE,
        quantity="SNR",
        unit="1",
        profile_depth_m=np.array([0.02, 0.04]),
        voxel_m=0.01,
        coarse_voxel_m=0.015,
        judged=(50, 40),
    )


def test_the_best_is_the_highest_median_at_each_depth():
    found = compared(made("D01", medians=(9, 2)), made("D02", medians=(5, 4)))
    assert [verdict.best for verdict in found.depths] == [0, 1]
    assert found.depths[0].ratio == pytest.approx([1, 5 / 9])


def test_close_counts_the_change_of_the_ratio_between_the_grids_in():
    """94 % is not close by itself, but it is when the ratio moves by 2 % between the grids."""
    best = made("D01", medians=(100.0,), coarse=(80.0,))
    far = made("D02", medians=(94.0,), coarse=(94.0 * 0.8,))
    near = made("D03", medians=(94.0,), coarse=(96.0 * 0.8,))
    (verdict,) = compared(best, far, near).depths
    assert verdict.close == (2,)
    assert verdict.ratio_change == pytest.approx([0, 0, 0.02])


def level_answer(*results):
    comparison = compared(*results)
    text = " ".join(_level_sentences(comparison.depths[0], comparison))
    return comparison.depths[0].level, text


def test_designs_within_one_per_cent_are_level_and_the_lightest_is_named():
    heavy = made("D01", medians=(100.0,), mass_kg=0.4)
    light = made("D02", medians=(99.1,), mass_kg=0.2)
    below = made("D03", medians=(98.9,), mass_kg=0.1)
    level, text = level_answer(heavy, light, below)
    assert level == (1,)
    assert "Level with it, within 1 %: D02" in text
    assert "D02 has the least conductor, 200 g against 400 g" in text


@pytest.mark.parametrize(
    ("masses_kg", "told", "not_told"),
    [
        ((0.2, 0.4), "D01 itself has the least conductor", "D02 has"),
        ((0.204, 0.2), "clearly less conductor than D01", "D02 has"),
        ((None, 0.2), "Level with it", "conductor"),
    ],
)
def test_the_lightest_is_named_only_where_it_is_clearly_lighter(masses_kg, told, not_told):
    first, second = (
        made(f"D0{n}", medians=(median,), mass_kg=mass)
        for n, median, mass in zip((1, 2), (100.0, 99.5), masses_kg, strict=True)
    )
    _, text = level_answer(first, second)
    assert told in text
    assert not_told not in text


def test_nothing_is_level_beyond_one_per_cent():
    assert level_answer(made("D01", medians=(100.0,)), made("D02", medians=(98.94,))) == ((), "")
    assert level_answer(made("D01", medians=(100.0,)), made("D02", medians=(98.96,)))[0] == (1,)


def sized(number, size_mm, median, *, rows="2"):
    choices = (("rows", rows), ("size", f"{size_mm:g} mm"))
    return made(f"D{number}", medians=(median,), size_m=1e-3 * size_mm, choices=choices)


def refused(name, size, *, rows="2"):
    return RefusedDesign(name=name, choices=(("rows", rows), ("size", size)), reason="the conductors meet")


def edge(*results, refused=()):
    return compared(*results, refused=refused).depths[0].edge


def test_the_edge_of_the_sizes_is_told():
    small, middle, large = sized(1, 40, 5), sized(2, 60, 6), sized(3, 80, 7)
    assert edge(small, middle, large) == SizeEdge(which="largest", refused=())
    assert edge(sized(1, 40, 9), middle, large) == SizeEdge(which="smallest", refused=())
    assert edge(sized(4, 50, 8), small, middle) is None
    assert edge(middle) is None


def test_the_edge_is_that_of_the_row_of_the_best_design():
    """60 mm is the largest that was tried in one row, whatever sizes two rows had; one size alone has no edge."""
    others = [sized(n, size, 4, rows="2") for n, size in ((3, 80), (4, 100), (5, 30))]
    found = edge(sized(1, 40, 8, rows="1"), sized(2, 60, 10, rows="1"), *others)
    assert found == SizeEdge(which="largest", refused=())
    assert edge(sized(2, 60, 10, rows="1"), *others) is None


def test_the_edge_names_the_refused_beyond_it_and_no_others():
    beyond = (refused("D4", "120 mm"), refused("D5", "0.1 m"), refused("D6", "20 mm"), refused("D7", "9 cm", rows="1"))
    assert edge(sized(1, 40, 5), sized(2, 60, 6), refused=beyond) == SizeEdge(which="largest", refused=("D4", "D5"))
    assert edge(sized(1, 40, 6), sized(2, 60, 5), refused=beyond) == SizeEdge(which="smallest", refused=("D6",))


def test_round_a_whole_span_a_smaller_overlap_is_a_larger_size():
    near, far = (
        made(f"D{n}", medians=(m,), size_m=size, choices=(("overlap", overlap),), span="whole")
        for n, m, size, overlap in ((1, 7, 0.08, "0.8"), (2, 5, 0.06, "1.1"))
    )
    others = [RefusedDesign(name=n, choices=(("overlap", o),), reason="no") for n, o in (("D3", "0.5"), ("D4", "1.9"))]
    assert edge(near, far, refused=tuple(others)) == SizeEdge(which="largest", refused=("D3",))


def test_beaten_means_no_worse_in_anything_and_better_in_something():
    winner = made("D01", medians=(9, 4))
    found = compared(winner, made("D02", medians=(9, 3)), made("D03", medians=(9, 4)), made("D04", medians=(10, 3)))
    assert found.beating.by == (None, 3, None, None)


def test_a_gain_counts_only_above_the_change_of_its_ratio_between_the_grids():
    """1 % more at 20 mm beats where the grids agree on it, not where the ratio moves by 3 %."""
    more = made("D01", medians=(101.0, 50.0), coarse=(90.9, 45.0))
    assert compared(more, made("D02", medians=(100.0, 50.0), coarse=(90.0, 45.0))).beating.by == (None, 0)
    assert compared(more, made("D02", medians=(100.0, 50.0), coarse=(92.7, 45.0))).beating.by == (None, None)


def test_a_gain_under_acceleration_or_in_mass_counts_above_five_per_cent():
    other = made("D02", medians=(9,), accelerated=(4.0,))
    assert compared(made("D01", medians=(9,), accelerated=(4.1,)), other).beating.by == (None, None)
    assert compared(made("D01", medians=(9,), accelerated=(4.3,)), other).beating.by == (None, 0)
    assert compared(made("D01", medians=(9,), accelerated=(4.0,), mass_kg=0.0097), other).beating.by == (None, None)
    assert compared(made("D01", medians=(9,), accelerated=(4.0,), mass_kg=0.0092), other).beating.by == (None, 0)


def test_masses_within_five_per_cent_are_equal():
    """Two rows of the same loops have the same wire but for rounding, which must not keep the worse one alive."""
    other = made("D02", medians=(5,), mass_kg=0.01)
    assert compared(made("D01", medians=(9,), mass_kg=0.0104), other).beating.by == (None, 0)
    assert compared(made("D01", medians=(9,), mass_kg=0.0106), other).beating.by == (None, None)


def test_no_two_designs_beat_each_other():
    """Whatever the grids say: each design of the chain has an unbeaten one at its end."""
    rng = np.random.default_rng(7)
    designs = [
        made(f"D{n}", medians=tuple(m), coarse=tuple(m * rng.uniform(0.9, 1.1, 2)), size_m=0.04 + 1e-3 * n)
        for n, m in enumerate(rng.uniform(1, 1.2, (30, 2)))
    ]
    by = compared(*designs).beating.by
    assert 0 < sum(index is not None for index in by) < 30
    for index in range(30):
        passed = []
        while by[index] is not None:
            assert index not in passed
            passed.append(index)
            index = by[index]  # noqa: PLW2901 - follow the chain


@pytest.mark.parametrize(("lighter", "fewer"), [({"mass_kg": 0.005}, {}), ({}, {"elements": 4})])
def test_less_conductor_or_fewer_elements_keep_a_design_unbeaten(lighter, fewer):
    found = compared(made("D01", medians=(9,)), made("D02", medians=(5,), **lighter, **fewer))
    assert found.beating.by == (None, None)


def test_what_is_not_known_for_one_decides_nothing_and_is_told():
    found = compared(made("D01", medians=(9,), mass_kg=None), made("D02", medians=(5,), mass_kg=0.001))
    assert found.beating.by == (None, 0)
    assert found.beating.left_out == ("conductor",)
    dark = [made(name, medians=(m, m), accelerated=(m, np.nan)) for name, m in (("D01", 9), ("D02", 5))]
    assert compared(*dark).beating.by == (None, 0)
    assert compared(*dark).beating.left_out == ("median at 40 mm, 2 x",)


def test_rows_of_sizes_share_all_other_choices():
    choices = [(("rows", rows), ("size", size)) for rows in ("1", "2") for size in ("80 mm", "40 mm", "60 mm")]
    sizes = {"40 mm": 0.04, "60 mm": 0.06, "80 mm": 0.08}
    results = [
        made(f"D{n}", medians=(3,), size_m=sizes[dict(choice)["size"]], choices=choice)
        for n, choice in enumerate(choices)
    ]
    rows = compared(*results).rows
    assert [row.others for row in rows] == [(("rows", "1"),), (("rows", "2"),)]
    assert rows[0].designs == (1, 2, 0)
    assert rows[0].sizes_m == pytest.approx([0.04, 0.06, 0.08])


def test_the_optimum_of_a_parabola_in_logarithms_is_exact():
    sizes = np.array([0.08, 0.04, 0.057])
    snr = np.exp(-0.7 * np.log(sizes / 0.055) ** 2)
    assert optimum_size_m(sizes, snr) == pytest.approx(0.055, rel=1e-9)


def test_there_is_no_optimum_at_the_edge():
    assert optimum_size_m(np.array([0.04, 0.06, 0.08]), np.array([1.0, 2.0, 3.0])) is None
    assert optimum_size_m(np.array([0.04]), np.array([1.0])) is None


def test_the_optimum_carries_its_change_between_the_grids():
    sizes = np.array([0.04, 0.057, 0.08])
    at = {top: np.exp(-0.7 * np.log(sizes / top) ** 2) for top in (0.055, 0.060, 0.0555, 0.09)}
    assert optimum_between(sizes, at[0.055], at[0.060]) == Optimum(
        size_m=pytest.approx(0.055, rel=1e-9), change_m=pytest.approx(0.005, rel=1e-6)
    )
    # The parabola itself may miss by 2 %.
    assert optimum_between(sizes, at[0.055], at[0.0555]).change_m == pytest.approx(0.0011)
    # On the coarser grid the best is the largest that was tried.
    assert optimum_between(sizes, at[0.055], at[0.09]) is None


def test_an_optimum_known_no_better_than_to_the_next_size_is_not_told():
    sizes = np.array([0.04, 0.057, 0.06, 0.08])
    fine, coarse = (np.exp(-0.7 * np.log(sizes / top) ** 2) for top in (0.0575, 0.062))
    assert optimum_size_m(sizes, fine) is not None
    assert optimum_size_m(sizes, coarse) is not None
    assert optimum_between(sizes, fine, coarse) is None
