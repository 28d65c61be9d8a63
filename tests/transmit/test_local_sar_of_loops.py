"""Ten-gram peaks of solved fields beside loops against those of the exact series on a finer grid."""

import numpy as np
import pytest

from body_cases import polygon_of, solved, voxel_sphere
from exact.cases import uniform_case
from exact.loops import coax_loop, side_loop
from exact.spheres import fields_inside
from loopwright.fields.body.excitation import impressed_field_of_loops_v_per_m
from loopwright.fields.body.reply import faces_of
from loopwright.fields.body.solver import electric_field_v_per_m
from loopwright.fields.body.voxel_fields import electric_field_at_voxels
from loopwright.transmit.averaging import averaging_cubes, parts_along_voxel
from loopwright.transmit.local_sar import cube_sar_of_cases_w_per_kg, peak_uncertainty

FREQUENCY_HZ = 127.74e6


def test_uncertainty_grows_with_the_voxels_until_nothing_was_measured():
    assert [peak_uncertainty(edge) for edge in (2e-3, 5e-3, 6e-3, 10e-3)] == [0.06, 0.06, 0.12, 0.25]
    assert peak_uncertainty(11e-3) is None


def peak(body, field):
    spacing = body.grid.spacing_m
    cover = body.voxel_cover()
    cubes = averaging_cubes(1000 * cover * spacing**3, cover, spacing_m=spacing, parts=parts_along_voxel(spacing))
    return cube_sar_of_cases_w_per_kg(body, cubes, cover > 0, [field]).max()


def exact_peak(loop):
    body = voxel_sphere(uniform_case(), voxel_m=4e-3, frequency_hz=FREQUENCY_HZ)
    points = body.grid.centre_points_m()[body.voxel_cover() > 0]
    # Centres of slivers lie outside: the field just inside the surface stands for them.
    points *= np.minimum(1, 0.0999 / np.linalg.norm(points, axis=-1, keepdims=True))
    return peak(body, fields_inside(loop, uniform_case(), FREQUENCY_HZ, points)[0].T)


def solved_peak(loop, spacing_m):
    body = voxel_sphere(uniform_case(), voxel_m=spacing_m, frequency_hz=FREQUENCY_HZ)
    faces = faces_of(body)
    problem, solution = solved(body, impressed_field_of_loops_v_per_m(faces, [polygon_of(loop)]))
    on_faces = np.asarray(electric_field_v_per_m(problem, solution.solutions))
    return peak(body, electric_field_at_voxels(body, faces, on_faces)[0][:, body.voxel_cover() > 0])


@pytest.mark.long
@pytest.mark.parametrize("loop", [coax_loop(), side_loop()], ids=["coax", "side"])
def test_ten_gram_peaks_beside_loops_keep_the_uncertainty_that_is_printed(loop):
    """Seen against 2.5 mm: -4 and -10 % at 10 and 7.5 mm beside the coaxial loop, -20 and -3 % beside that on edge."""
    exact = exact_peak(loop)
    for spacing_m in (10e-3, 7.5e-3):
        assert solved_peak(loop, spacing_m) == pytest.approx(exact, rel=peak_uncertainty(spacing_m))
