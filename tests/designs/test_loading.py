"""One element on spheres and bottles: added resistance against closed forms, and the conductivity that equals it."""

import numpy as np
import pytest
from scipy.special import lpmv

from brief.base_brief import brief_with
from loopwright.designs.loading import equal_conductivity_s_per_m, loading_equivalence
from loopwright.ground.constants import MU_0_H_PER_M
from loopwright.ground.device import Device
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent

MEANS = Means(progress=Silent(), store=Forgetful(), device=Device.CPU)
FIELD = "0.12 T"  # low enough for the series, which has no waves and no screening


def gel(sigma):
    return {"name": "gel", "permittivity": "1", "conductivity": f"{sigma} S/m"}


def sphere(sigma, radius="85 mm", voxel="8 mm"):
    return {"shape": "sphere", "radius": radius, "voxel": voxel, "material": gel(sigma)}


def found(patients, phantoms, field=FIELD):
    brief = brief_with(
        scanner__field=field,
        computation__segments_per_element="72",  # chords of fewer would pass nearer to the sphere
        loading_equivalence={
            "diameter": "80 mm",
            "stand_off": "10 mm",
            "patients": [{"name": name, "body": body} for name, body in patients.items()],
            "phantoms": [{"name": name, "body": body} for name, body in phantoms.items()],
        },
    )
    return loading_equivalence(brief, brief.loading_equivalence, MEANS)


def loop_on_sphere_ohm(sigma, radius_m, loop_m, alpha, frequency_hz):
    """Resistance of a coaxial loop at polar half-angle alpha, ``loop_m`` from the centre, quasi-static. [ohm]"""
    n = np.arange(1, 60)
    series = lpmv(1, n, np.cos(alpha)) ** 2 * radius_m ** (2 * n + 3) / loop_m ** (2.0 * n)
    omega = 2 * np.pi * frequency_hz
    return float(
        sigma * omega**2 * MU_0_H_PER_M**2 * np.pi * np.sin(alpha) ** 2
        * np.sum(series / (n * (n + 1) * (2 * n + 1) * (2 * n + 3)))
    )  # fmt: skip


def test_the_series_gives_its_known_values():
    assert loop_on_sphere_ohm(0.5, 0.085, np.hypot(0.04, 0.09), np.arctan2(0.04, 0.09), 127.74e6) == pytest.approx(
        1.817072, rel=1e-6
    )


@pytest.fixture(scope="module")
def spheres():
    return found(
        {"weak": sphere(0.3), "strong": sphere(0.7)}, {"gel": sphere(0.5), "small": sphere(0.5, "60 mm", "6 mm")}
    )


def test_a_sphere_loads_the_loop_as_the_series_says(spheres):
    """The loop keeps 40 mm from its middle along the surface that it lies on, 10 mm outside of the sphere."""
    frequency_hz = spheres.frequency_hz
    for load, sigma, radius_m in ((spheres.patients[0], 0.3, 0.085), (spheres.phantoms[1], 0.5, 0.06)):
        outer_m = radius_m + 0.01
        exact = loop_on_sphere_ohm(sigma, radius_m, outer_m, 0.04 / outer_m, frequency_hz)
        assert load.fine_ohm == pytest.approx(exact, rel=0.01)
        assert load.uncertainty_ohm < 0.03 * exact


def test_the_equal_conductivity_is_the_patients_own_for_the_same_sphere(spheres):
    assert spheres.equal_s_per_m[0] == pytest.approx([0.3, 0.7], rel=2e-3)
    assert spheres.filled_s_per_m == pytest.approx([0.5, 0.5])


def test_ratios_are_those_of_the_resistances(spheres):
    assert spheres.ratio[0] == pytest.approx([0.5 / 0.3, 0.5 / 0.7], rel=2e-3)


def test_a_bottle_loads_less_the_thicker_its_wall_and_a_figure_joins_by_itself():
    def bottle(wall):
        return {"shape": "bottle", "radius": "60 mm", "height": "140 mm", "shoulder": "40 mm", "wall": wall,
                "voxel": "11 mm", "material": gel(0.5)}  # fmt: skip

    loads = found({"head": {"shape": "head", "age": "newborn", "voxel": "8 mm"}},
                  {"thin": bottle("1 mm"), "thick": bottle("6 mm")}, field="3 T")  # fmt: skip
    thin, thick = loads.phantoms
    assert thin.fine_ohm > 1.1 * thick.fine_ohm
    assert thin.towards == pytest.approx((0, -60 / np.hypot(60, 70), -70 / np.hypot(60, 70)))
    assert loads.equal_s_per_m[0, 0] < loads.equal_s_per_m[1, 0]
    assert loads.patients[0].body_name == "stylised head, newborn"


def test_a_tissue_by_name_has_no_conductivity_to_choose():
    ball = {"shape": "sphere", "radius": "60 mm", "voxel": "10 mm", "material": "Muscle"}
    loads = found({"someone": ball}, {"meat": ball}, field="3 T")
    assert np.isnan(loads.equal_s_per_m).all()
    assert np.isnan(loads.filled_s_per_m).all()
    assert loads.ratio == pytest.approx(np.ones((1, 1)))


def test_no_conductivity_is_told_where_resistance_falls_again():
    tried = np.array([0.25, 0.5, 1.0, 2.0, 4.0])
    added = np.array([1.0, 1.9, 3.0, 3.4, 3.2])
    found_s_per_m = equal_conductivity_s_per_m(tried, added, np.array([0.5, 1.9, 3.4, 3.5]))
    assert np.isnan(found_s_per_m[[0, 3]]).all()
    assert found_s_per_m[1:3] == pytest.approx([0.5, 2.0])


def test_the_bare_loop_is_a_thin_circle():
    loads = found({"a": sphere(0.5, voxel="15 mm")}, {"b": sphere(0.5, voxel="15 mm")}, field="3 T")
    outer_h = MU_0_H_PER_M * 0.04 * (np.log(8 * 0.04 / 0.00125) - 2)  # a strip is as a wire of a quarter of its width
    assert loads.loop.reactance_ohm == pytest.approx(2 * np.pi * loads.frequency_hz * outer_h, rel=0.02)
    assert loads.loop.q_loaded(0.0) > loads.loop.q_loaded(1.0)
