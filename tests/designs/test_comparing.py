"""Best, close, tied, beaten: from made-up figures whose answer is known."""

import types

import numpy as np
import pytest

from loopwright.designs import (
    DepthFigures,
    DesignFigures,
    DesignResult,
    compare,
    optimum_size_m,
)


def made(name, *, medians, coarse=None, size_m=0.06, elements=8, mass_kg=0.01, choices=None):
    """A design with these medians at 20, 40, ... mm."""
    depths = tuple(
        DepthFigures(depth_m=0.02 * (n + 1), percentile_5=m / 2, median=m, percentile_95=2 * m, under_elements=m,
                     accelerated_median=())
        for n, m in enumerate(medians)
    )  # fmt: skip
    figures = DesignFigures(
        depths=depths,
        profile=np.array(medians),
        accelerations=(),
        element_count=elements,
        size_m=size_m,
        conductor_length_m=1.0,
        conductor_mass_kg=mass_kg,
        coil_noise_share_mean=0.1,
        coil_noise_share_largest=0.2,
        quality_unloaded=300.0,
        quality_loaded=60.0,
        coupling_largest=0.01,
    )
    tiling = types.SimpleNamespace(span="patch")
    brief = types.SimpleNamespace(array=types.SimpleNamespace(tiling=tiling))
    planned = types.SimpleNamespace(name=name, choices=choices or (("size", f"{1e3 * size_m:g} mm"),), brief=brief)
    return DesignResult(planned=planned, figures=figures, coarse_median=tuple(coarse or medians))


def compared(*results):
    return compare(
        results,
        (),
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


def test_the_edge_of_the_sizes_is_told():
    small, middle, large = (
        made(f"D{n}", medians=(m,), size_m=s) for n, m, s in ((1, 5, 0.04), (2, 6, 0.06), (3, 7, 0.08))
    )
    assert compared(small, middle, large).depths[0].size_at_edge == "largest"
    assert compared(small, middle).depths[0].size_at_edge == "largest"
    assert compared(made("D1", medians=(8,), size_m=0.05), small, middle).depths[0].size_at_edge == ""
    assert compared(made("D1", medians=(8,), size_m=0.06), middle).depths[0].size_at_edge == ""


def test_beaten_means_no_worse_in_anything_and_better_in_something():
    winner = made("D01", medians=(9, 4))
    found = compared(winner, made("D02", medians=(9, 3)), made("D03", medians=(9, 4)), made("D04", medians=(10, 3)))
    assert found.beaten_by == (None, 3, None, None)


@pytest.mark.parametrize(("lighter", "fewer"), [({"mass_kg": 0.005}, {}), ({}, {"elements": 4})])
def test_less_conductor_or_fewer_elements_keep_a_design_unbeaten(lighter, fewer):
    found = compared(made("D01", medians=(9,)), made("D02", medians=(5,), **lighter, **fewer))
    assert found.beaten_by == (None, None)


def test_mass_decides_nothing_where_one_is_not_known():
    found = compared(made("D01", medians=(9,), mass_kg=None), made("D02", medians=(5,), mass_kg=0.001))
    assert found.beaten_by == (None, 0)


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
