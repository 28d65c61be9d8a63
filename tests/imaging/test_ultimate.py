"""No array passes the bound, and the bound is what its definition says."""

import dataclasses
from types import SimpleNamespace

import numpy as np
import pytest

from body_cases import gel
from loopwright.bodies import layered_ellipsoid, voxelise
from loopwright.brief.records import ImagingRequest, RegularAcceleration, WholeBodyRegion
from loopwright.fields.body import body_reply
from loopwright.fields.source_shell import covered_part, source_shell
from loopwright.fields.ultimate_sources import ShellReply
from loopwright.ground.progress import Forgetful, Silent
from loopwright.imaging import optimum_sensitivity, ultimate_quality
from loopwright.imaging.reception import reception_field_t_per_a
from loopwright.imaging.ultimate_channels import on_grid, ultimate_accelerated_t_per_a_sqrt_ohm
from shell_cases import channels, solved_shell
from wire_cases import equal_area_polygon

AXES = (0.05, 0.065, 0.055)
GAP_M = 0.02


def outwards():
    angles = np.arange(6) * np.pi / 3
    return np.stack([np.cos(angles), np.sin(angles), np.zeros(6)], axis=1)


def ring_of_loops():
    """Six loops about the z axis, upright."""
    loops = []
    for angle in np.arange(6) * np.pi / 3:
        flat = equal_area_polygon(0.032, 16)
        outward = np.array([np.cos(angle), np.sin(angle), 0.0])
        sideways = np.array([-np.sin(angle), np.cos(angle), 0.0])
        reach = 0.02 + np.linalg.norm(np.array(AXES[:2]) * outward[:2])
        loops.append(reach * outward + flat[:, :1] * sideways + flat[:, 1:2] * np.array([0, 0, 1.0]))
    return loops


@pytest.fixture(scope="module")
def body():
    """A head in small: skin, skull, fluid and brain."""
    tissues = (gel(65, 0.5, "skin"), gel(25, 0.2, "skull"), gel(84, 2.1, "fluid"), gel(60, 0.5, "brain"))
    solid = layered_ellipsoid(AXES, tissue_names=tuple(t.name for t in tissues), thicknesses_m=(0.004, 0.005, 0.004))
    return voxelise(solid, spacing_m=0.01, tissues=tissues, frequency_hz=123.2e6)


@pytest.fixture(scope="module")
def reply(body):
    """Of the complete surface, with the array's loops and the modes of the part under them."""
    whole = source_shell(body, stand_off_m=GAP_M, spacing_m=GAP_M)
    return solved_shell(
        body, stand_off_m=GAP_M, modes=60, shell=whole, loops_m=ring_of_loops(), relative_residual=1e-4,
        part=covered_part(body, whole, ring_of_loops(), normals=outwards(), margin_m=0.01),
    )  # fmt: skip


@pytest.fixture(scope="module")
def array(body, reply):
    """Reception of the loops (6, voxels) and their noise resistance, from the job's own solver."""
    found = body_reply(body, ring_of_loops(), relative_residual=1e-4, progress=Silent(), store=Forgetful())
    signal = reception_field_t_per_a(found.magnetic_field_t_per_a[..., reply.known], reception_sign=1)
    return signal, found.noise_resistance_ohm


def norm(found):
    return np.linalg.norm(found, axis=0)


def test_the_added_loops_are_the_arrays_own(reply, array):
    signal, noise = array
    only = channels(reply, modes=0, loops=6)
    np.testing.assert_allclose(norm(only), optimum_sensitivity(signal, noise), rtol=1e-4)


def test_no_array_passes_the_bound(reply, array):
    """With its own loops in the span by construction; the modes alone miss its fields by less than a per cent."""
    signal, noise = array
    own = optimum_sensitivity(signal, noise)
    bound = norm(channels(reply, loops=6, part_modes=60))
    assert np.all(own <= bound * (1 + 1e-5))
    deep = (body_depth(reply) >= 0.02)[reply.known]
    assert np.all(own[deep] < norm(channels(reply))[deep] * 1.01)
    assert np.max(own[deep] / bound[deep]) < 0.95


def body_depth(reply):
    return (
        layered_ellipsoid(AXES, tissue_names=("x",))
        .depth_m(grid_points(reply).reshape(-1, 3))
        .reshape(reply.known.shape)
    )


def grid_points(reply):
    axes = [(np.arange(n) - (n - 1) / 2) * 0.01 for n in reply.known.shape]
    return np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1)


def test_the_bound_grows_with_modes_and_settles(reply):
    centre = int(np.argmin(np.linalg.norm(grid_points(reply)[reply.known], axis=1)))
    values = [norm(channels(reply, modes=n)) for n in (15, 30, 60)]
    assert np.all(values[0] <= values[1] * (1 + 1e-9))
    assert np.all(values[1] <= values[2] * (1 + 1e-9))
    assert values[1][centre] == pytest.approx(values[2][centre], rel=0.02)


def test_the_covered_part_never_bounds_more_than_the_whole(reply):
    """Next to the skin as many modes reach further on a smaller area; in the span they cannot pass the whole."""
    covered = norm(channels(reply, modes=0, loops=6, part_modes=60))
    apart = norm(channels(reply, loops=6))
    assert np.max(covered / apart) > 1.02
    joined = norm(channels(reply, loops=6, part_modes=60))
    assert np.all(covered <= joined * (1 + 1e-9))
    assert np.all(apart <= joined * (1 + 1e-3))
    deep = (body_depth(reply) >= 0.02)[reply.known]
    assert (covered / joined)[deep].min() < 0.95
    assert np.all(norm(channels(reply, modes=0, loops=6)) <= covered * (1 + 1e-9))


def test_the_solvers_own_error_is_left_out(reply):
    """A coarser solution has a higher floor: fewer channels, and a bound that is never higher."""
    rough = dataclasses.replace(reply, relative_residual=0.1)
    assert len(channels(rough)) < len(channels(reply))
    assert np.all(norm(channels(rough)) <= norm(channels(reply)) * (1 + 1e-9))


def test_a_row_again_adds_nothing(reply):
    """As a mode, as an array's source or as a part's mode: it has no noise of its own."""
    again = np.tile(np.arange(20), 4)
    many = dataclasses.replace(
        reply,
        modes=40,
        array_sources=20,
        noise_resistance_ohm=reply.noise_resistance_ohm[np.ix_(again, again)],
        transverse_field_t=reply.transverse_field_t[again],
    )
    once = norm(channels(reply, modes=20))
    for loops, part_modes in ((0, 0), (20, 0), (0, 20), (20, 20)):
        found = channels(many, loops=loops, part_modes=part_modes)
        assert len(found) == 20
        np.testing.assert_allclose(norm(found), once, rtol=1e-6)


ACCELERATIONS = (
    RegularAcceleration(name="2", factors=(2.0,), directions=("x",), field_of_view_m=(0.12,)),
    RegularAcceleration(name="2 x 1.5", factors=(2.0, 1.5), directions=("y", "z"), field_of_view_m=(0.14, 0.12)),
)


def judged(accelerations):
    return ImagingRequest(
        region=WholeBodyRegion(least_depth_m=0.0), accelerations=accelerations, voxel_volume_m3=1e-9, bandwidth_hz=1.0
    )


def test_fractions_are_told_only_where_the_bound_has_settled(body, reply):
    """Half of the modes of shell and part, by themselves, come near to all with the array's own sources."""
    everything, half = channels(reply, loops=6, part_modes=60), channels(reply, modes=30, part_modes=30)
    own = channels(reply, modes=0, loops=6)
    request, inside = judged(ACCELERATIONS), body.voxel_cover() >= 0.5
    of_all, of_half, of_own = (
        ultimate_accelerated_t_per_a_sqrt_ohm(request, body=body, inside=inside, channels=found, known=reply.known)
        for found in (everything, half, own)
    )
    quality = SimpleNamespace(
        body_mask=inside,
        depth_m=body_depth(reply),
        sensitivity_t_per_a_sqrt_ohm=on_grid(norm(own), reply.known),
        accelerations=[
            SimpleNamespace(request=asked, sensitivity_t_per_a_sqrt_ohm=values)
            for asked, values in zip(ACCELERATIONS, of_own, strict=True)
        ],
    )
    solved = ShellReply(coverage="complete", stand_off_m=GAP_M, spacing_m=GAP_M, margin_m=GAP_M, reply=reply)
    found = ultimate_quality(solved, request, SimpleNamespace(reception_sign=1), body=body, quality=quality)
    bounds = [(norm(everything), norm(half), norm(own), found.fraction, found.settling)]
    for n, one in enumerate(found.accelerations):
        bounds.append((*(m[n][reply.known] for m in (of_all, of_half, of_own)), one.fraction, one.settling))
    deep = found.deep[reply.known]
    for full, halved, array, fraction, settling in bounds:
        told = deep & (halved >= 0.95 * full)
        assert 0 < np.count_nonzero(told) < np.count_nonzero(deep)
        expected = np.where(told, array / full, np.nan)
        np.testing.assert_allclose(fraction[reply.known], expected, rtol=1e-9)
        assert settling.left_out == pytest.approx(1 - np.count_nonzero(told) / np.count_nonzero(deep))
        assert settling.largest == pytest.approx(np.max(1 - (halved / full)[told]))


def test_accelerated_snr_never_passes(body, reply):
    """By the same SENSE formula for array and bound."""
    request = judged(ACCELERATIONS)
    inside = body.voxel_cover() >= 0.5
    maps = [
        ultimate_accelerated_t_per_a_sqrt_ohm(request, body=body, inside=inside, channels=found, known=reply.known)
        for found in (channels(reply, modes=0, loops=6), channels(reply, loops=6))
    ]
    for own, bound in zip(*maps, strict=True):
        assert np.all(own[inside] <= bound[inside] * (1 + 1e-6))
        assert np.nanmedian(own[inside] / bound[inside]) < 0.9
