"""The stage on a small sphere with made-up smooth fields."""

from dataclasses import replace

import numpy as np
import pytest

from circuits.made_array import FREQUENCY_HZ, network_of, reply_of, tuned
from circuits.ring_model import rings
from loopwright.bodies import place
from loopwright.brief.records import (
    ExplicitMaterial,
    ImagingRequest,
    RegularAcceleration,
    Scanner,
    ShiftedAcceleration,
    SimultaneousSlices,
    SphereRegion,
    SphereRequest,
    WholeBodyRegion,
)
from loopwright.ground.errors import OutsideModelError
from loopwright.imaging import g_factor, predict
from loopwright.imaging.magnetisation import water_magnetisation_a_per_m

ELEMENTS = 6
SCANNER = Scanner(proton_frequency_hz=FREQUENCY_HZ, field_t=FREQUENCY_HZ / 42.576385e6)


@pytest.fixture(scope="module")
def sphere():
    request = SphereRequest(
        radius_m=0.06, voxel_m=0.01, material=ExplicitMaterial(name="gel", eps_r=60, sigma_s_per_m=0.6)
    )
    return place(request, frequency_hz=FREQUENCY_HZ)


@pytest.fixture(scope="module")
def array():
    return tuned(elements=ELEMENTS)


def fields_on(body):
    """Fields of dipoles round the sphere, turned in phase from one to the next."""
    points_m = body.grid.centre_points_m()
    angle = 2 * np.pi * np.arange(ELEMENTS) / ELEMENTS
    places = 0.08 * np.stack([np.cos(angle), np.sin(angle), 0.5 * (-1) ** np.arange(ELEMENTS)], axis=-1)
    field = np.zeros((ELEMENTS, 3, *body.grid.shape), dtype=np.complex64)
    for e, at in enumerate(places):
        moment = at / np.linalg.norm(at)
        r = points_m - at
        d = np.linalg.norm(r, axis=-1, keepdims=True)
        b = 1e-10 * (3 * (r @ moment)[..., None] * r / d**2 - moment) / d**3 * np.exp(3j * r[..., :1] + 0.4j * e)
        field[e] = np.moveaxis(b, -1, 0) * (body.voxel_cover() > 0)
    return field


@pytest.fixture(scope="module")
def reply(sphere):
    made = network_of(rings(elements=ELEMENTS, gaps=4, nodes=8, coupling=0.05))
    return replace(reply_of(made), grid=sphere.grid, magnetic_field_t_per_a=fields_on(sphere))


def asked(**changes):
    base = {
        "region": WholeBodyRegion(least_depth_m=0.0),
        "accelerations": (
            RegularAcceleration(name="R2", factors=(2.0,), directions=("x",), field_of_view_m=(0.12,)),
            RegularAcceleration(name="R2x2", factors=(2.0, 1.5), directions=("x", "z"), field_of_view_m=(0.12, 0.12)),
        ),
        "voxel_volume_m3": 8e-9,
        "bandwidth_hz": 50.0,
    }
    return ImagingRequest(**base | changes)


@pytest.fixture(scope="module")
def quality(array, reply, sphere):
    return predict(asked(), SCANNER, array=array, reply=reply, body=sphere)


def test_a_voxel_by_hand(quality, array, reply):
    at = (7, 4, 6)
    b = reply.magnetic_field_t_per_a[(slice(None), slice(None), *at)].astype(complex)
    s = array.loop_current.T @ (b[:, 0] + 1j * b[:, 1]) / 2
    split = array.resistances
    noise_ohm = split.body_ohm + 293 / 310 * split.coil_ohm
    sensitivity = np.sqrt((s.conj() @ np.linalg.solve(noise_ohm, s)).real)
    assert quality.sensitivity_t_per_a_sqrt_ohm[at] == pytest.approx(sensitivity, rel=1e-9)
    rss = np.sum(np.abs(s) ** 2) / np.sqrt((s.conj() @ noise_ohm @ s).real)
    assert quality.root_sum_of_squares_t_per_a_sqrt_ohm[at] == pytest.approx(rss, rel=1e-9)
    np.testing.assert_allclose(quality.reception_t_per_a[(slice(None), *at)], s, rtol=1e-6)
    m0 = water_magnetisation_a_per_m(SCANNER.field_t, temperature_k=310.0)
    signal_over_noise = 2 * np.pi * FREQUENCY_HZ * m0 * 8e-9 * 2 * sensitivity / np.sqrt(4 * 1.380649e-23 * 310 * 50)
    assert quality.snr[at] == pytest.approx(signal_over_noise, rel=1e-9)
    assert quality.magnetisation_a_per_m == m0


def test_maps_end_where_the_body_ends(quality, sphere):
    inside = sphere.voxel_cover() >= 0.5
    np.testing.assert_array_equal(quality.body_mask, inside)
    for scalar in (quality.snr, quality.root_sum_of_squares_snr, quality.accelerations[0].inverse_g):
        np.testing.assert_array_equal(np.isfinite(scalar), inside)
    assert np.all(quality.root_sum_of_squares_snr[inside] <= quality.snr[inside] * (1 + 1e-12))


def test_accelerated_snr_is_snr_over_g_root_r(quality):
    for accelerated, reduction in zip(quality.accelerations, (2.0, 3.0), strict=True):
        assert accelerated.reduction == reduction
        inside = quality.body_mask
        expected = quality.snr[inside] * accelerated.inverse_g[inside] / np.sqrt(reduction)
        np.testing.assert_allclose(accelerated.snr[inside], expected)
        assert np.all((accelerated.inverse_g[inside] > 0) & (accelerated.inverse_g[inside] <= 1))


def test_g_of_one_voxel_against_its_written_set(quality, array, reply):
    # FOV/R = 60 mm is six voxels; (1, 6, 6) meets (7, 6, 6).
    def signal(at):
        b = reply.magnetic_field_t_per_a[(slice(None), slice(None), *at)].astype(complex)
        return array.loop_current.T @ (b[:, 0] + 1j * b[:, 1]) / 2

    s = np.stack([signal((1, 6, 6)), signal((7, 6, 6))], axis=-1)
    g = g_factor(s, array.weighted_resistance_k_ohm)
    found = quality.accelerations[0].inverse_g
    assert found[1, 6, 6] == pytest.approx(1 / g[0], rel=1e-9)
    assert found[7, 6, 6] == pytest.approx(1 / g[1], rel=1e-9)


def test_figures_of_the_region_are_those_of_its_voxels(quality):
    accelerated = quality.accelerations[1]
    values = accelerated.inverse_g[quality.region_mask]
    spread = accelerated.inverse_g_in_region
    assert spread.voxels == values.size
    assert (spread.minimum, spread.maximum) == (values.min(), values.max())
    np.testing.assert_allclose([spread.percentile_5, spread.percentile_95], np.percentile(values, [5, 95]))
    assert accelerated.mean_g_in_region == pytest.approx(np.mean(1 / values))
    index = [round((c + 0.06) / 0.01 - 0.5) for c in accelerated.worst_inverse_g_at_m]
    assert accelerated.inverse_g[tuple(index)] == values.min()
    assert accelerated.most_folded in (4, 5, 6)
    assert accelerated.notes == ()


def test_both_noise_forms_give_one_snr(quality):
    assert quality.noise_forms_differ < 1e-9


def test_a_smaller_region_leaves_the_maps_alone(quality, array, reply, sphere):
    ball = SphereRegion(centre_m=(0.01, 0, 0), radius_m=0.03, least_depth_m=0.02)
    small = predict(asked(region=ball), SCANNER, array=array, reply=reply, body=sphere)
    np.testing.assert_array_equal(small.snr, quality.snr)
    centres = sphere.grid.centre_points_m()
    assert np.all(np.linalg.norm(centres[small.region_mask] - [0.01, 0, 0], axis=-1) <= 0.03)
    assert np.all(small.depth_m[small.region_mask] >= 0.02)
    assert 0 < small.region_mask.sum() < quality.region_mask.sum()


def test_an_empty_region_is_refused(array, reply, sphere):
    with pytest.raises(OutsideModelError, match="no voxel"):
        predict(asked(region=WholeBodyRegion(least_depth_m=0.2)), SCANNER, array=array, reply=reply, body=sphere)


def test_turning_the_field_round_receives_with_the_other_component(array, reply, sphere, quality):
    turned = SCANNER.model_copy(update={"b0_direction": "-z"})
    other = predict(asked(), turned, array=array, reply=reply, body=sphere)
    # Mirroring y swaps the components: fields with -By under -z are fields with +By under +z.
    mirrored = reply.magnetic_field_t_per_a * np.array([1, -1, 1]).reshape(1, 3, 1, 1, 1)
    swapped = predict(asked(), turned, array=array, reply=replace(reply, magnetic_field_t_per_a=mirrored), body=sphere)
    np.testing.assert_allclose(swapped.snr, quality.snr, rtol=1e-6)
    inside = quality.body_mask
    assert np.max(np.abs(other.snr[inside] / quality.snr[inside] - 1)) > 0.01


def test_other_nuclei_have_no_absolute_snr_unless_their_magnetisation_is_given(array, reply, sphere):
    carbon = SCANNER.model_copy(update={"nucleus": "13C"})
    without = predict(asked(), carbon, array=array, reply=reply, body=sphere)
    assert without.snr is None
    assert without.accelerations[0].snr is None
    assert any("13C" in note for note in without.notes)
    assert not {"Boltzmann constant", "voxel volume", "noise bandwidth"} & set(without.constants)
    given = carbon.model_copy(update={"magnetisation_a_per_m": 1e-4})
    known = predict(asked(), given, array=array, reply=reply, body=sphere)
    assert known.magnetisation_a_per_m == 1e-4
    assert known.constants["magnetisation"].value == 1e-4
    assert known.snr is not None
    assert {"Boltzmann constant", "voxel volume", "noise bandwidth"} <= set(known.constants)


def test_fraction_of_the_ultimate(array, reply, sphere, quality):
    ultimate = np.full(sphere.grid.shape, 2e-6)
    found = predict(
        asked(), SCANNER, array=array, reply=reply, body=sphere, ultimate_t_per_a_sqrt_ohm=ultimate
    ).ultimate_fraction
    np.testing.assert_allclose(found, quality.sensitivity_t_per_a_sqrt_ohm / 2e-6)
    assert quality.ultimate_fraction is None


def test_too_much_acceleration_is_said(array, reply, sphere):
    wild = RegularAcceleration(name="wild", factors=(8.0,), directions=("x",), field_of_view_m=(0.12,))
    found = predict(asked(accelerations=(wild,)), SCANNER, array=array, reply=reply, body=sphere).accelerations[0]
    assert found.most_folded > ELEMENTS
    assert found.inverse_g_in_region.minimum == 0
    assert np.isinf(found.mean_g_in_region)
    assert "cannot be unfolded" in found.notes[0]


def test_correlations_are_those_of_the_covariance(quality, array):
    k_ohm = array.weighted_resistance_k_ohm
    rho = abs(k_ohm[0, 1]) / np.sqrt(k_ohm[0, 0] * k_ohm[1, 1]).real
    assert abs(quality.noise_correlation[0, 1]) == pytest.approx(rho)
    off = np.abs(quality.noise_correlation)[~np.eye(ELEMENTS, dtype=bool)]
    assert (quality.mean_correlation, quality.largest_correlation) == (pytest.approx(off.mean()), off.max())


def slices(**changes):
    base = {
        "name": "slices",
        "slices": 2,
        "normal": "z",
        "slice_distance_m": 0.06,
        "direction": "x",
        "field_of_view_m": 0.14,
        "shift_fraction": 0.5,
    }
    return SimultaneousSlices(**base | changes)


def test_simultaneous_slices_lose_no_root_of_their_number(array, reply, sphere):
    requests = (slices(), slices(name="faster", factor=2.0, shift_fraction=0.25))
    found = predict(asked(accelerations=requests), SCANNER, array=array, reply=reply, body=sphere)
    inside = found.body_mask
    for accelerated, reduction in zip(found.accelerations, (1.0, 2.0), strict=True):
        assert accelerated.reduction == reduction
        expected = found.snr[inside] * accelerated.inverse_g[inside] / np.sqrt(reduction)
        np.testing.assert_allclose(accelerated.snr[inside], expected)
    assert [a.most_folded for a in found.accelerations] == [2, 3]  # 10 voxels across, replicas 7 and 3.5 apart


def test_a_thin_slab_has_no_values_outside_and_says_so(array, reply, sphere):
    request = slices(slice_distance_m=0.02, slab_centre_m=0.02)  # z from 0 to 40 mm
    quality = predict(asked(accelerations=(request,)), SCANNER, array=array, reply=reply, body=sphere)
    (found,) = quality.accelerations
    z = sphere.grid.centre_points_m()[..., 2]
    np.testing.assert_array_equal(np.isfinite(found.inverse_g), quality.body_mask & (z > 0) & (z < 0.04))
    assert 0 < found.worst_inverse_g_at_m[2] < 0.04
    assert found.inverse_g_in_region.voxels == np.isfinite(found.inverse_g).sum()
    assert "outside the slab" in found.notes[0]
    below = asked(
        region=SphereRegion(centre_m=(0, 0, -0.03), radius_m=0.02, least_depth_m=0.0), accelerations=(request,)
    )
    with pytest.raises(OutsideModelError, match="no voxel of the region"):
        predict(below, SCANNER, array=array, reply=reply, body=sphere)


def test_g_of_a_shifted_pattern_against_its_written_set(array, reply, sphere):
    """FOV 160 mm in x and 120 mm in z, 2 x 2 with one step: replicas (8, 0) and (-4, 6) voxels."""
    request = ShiftedAcceleration(
        name="s", factors=(2, 2), directions=("x", "z"), field_of_view_m=(0.16, 0.12), shift=1
    )
    quality = predict(asked(accelerations=(request,)), SCANNER, array=array, reply=reply, body=sphere)

    def signal(at):
        b = reply.magnetic_field_t_per_a[(slice(None), slice(None), *at)].astype(complex)
        return array.loop_current.T @ (b[:, 0] + 1j * b[:, 1]) / 2

    together = [(6, 6, 3), (2, 6, 9), (10, 6, 9)]
    assert all(quality.body_mask[at] for at in together)
    g = g_factor(np.stack([signal(at) for at in together], axis=-1), array.weighted_resistance_k_ohm)
    for at, one in zip(together, g, strict=True):
        assert quality.accelerations[0].inverse_g[at] == pytest.approx(1 / one, rel=1e-9)
