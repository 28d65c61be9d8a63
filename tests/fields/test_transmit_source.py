"""The field of a resonator alone: Maxwell's equations by differences, its profile, and what it drives in one loop."""

import numpy as np
import pytest
from scipy.constants import mu_0

from loopwright.fields.rotating import Precession, transmit_component
from loopwright.fields.transmit import BodyResonator, ElectricField, UniformField

F_HZ = 127.74e6
W = 2 * np.pi * F_HZ
CENTRE = (0.02, -0.05, 0.3)
SENSES = tuple(Precession)

RNG = np.random.default_rng(5)
POINTS = RNG.uniform(-0.3, 0.3, (40, 3)) + CENTRE


def resonator(sense=Precession.CLOCKWISE, radius_m=0.35, length_m=0.45):
    return BodyResonator(radius_m=radius_m, length_m=length_m, centre_m=CENTRE, frequency_hz=F_HZ, sense=sense)


def uniform(sense, gauge):
    return UniformField(frequency_hz=F_HZ, sense=sense, gauge=gauge, centre_m=CENTRE)


SOURCES = [
    *(pytest.param(resonator(sense), id=f"resonator {sense.name}") for sense in SENSES),
    *(pytest.param(uniform(sense, g), id=f"{g.name} {sense.name}") for sense in SENSES for g in ElectricField),
]


def gradient(field, step_m=1e-3):
    """d field_i / d x_j at POINTS by central differences, (points, i, j)."""
    moved = [(field(POINTS + step_m * e) - field(POINTS - step_m * e)) / (2 * step_m) for e in np.eye(3)]
    return np.stack(moved, axis=-1)


def curl(field):
    g = gradient(field)
    return np.stack([g[:, 2, 1] - g[:, 1, 2], g[:, 0, 2] - g[:, 2, 0], g[:, 1, 0] - g[:, 0, 1]], axis=-1)


@pytest.mark.parametrize("source", SOURCES)
def test_faraday_holds_everywhere(source):
    expected = -1j * W * source.magnetic_t_per_t(POINTS)
    assert np.abs(curl(source.electric_v_per_m_per_t) - expected).max() < 3e-5 * W


@pytest.mark.parametrize("source", SOURCES)
def test_no_magnetic_charge(source):
    divergence = np.trace(gradient(source.magnetic_t_per_t), axis1=1, axis2=2)
    assert np.abs(divergence).max() < 1e-9


@pytest.mark.parametrize("source", SOURCES)
def test_one_tesla_of_b1_plus_at_the_middle_and_none_of_the_other(source):
    b = source.magnetic_t_per_t(np.array(CENTRE))
    assert transmit_component(b[0], b[1], sense=source.sense) == pytest.approx(1, rel=1e-12)
    assert transmit_component(b[0], b[1], sense=-source.sense) == pytest.approx(0, abs=1e-12)


def test_the_electric_field_grows_with_the_distance_from_the_axis():
    middle = np.array([[0.1, 0.2, 0], [-0.3, 0, 0], [0, 0.3, 0]]) + CENTRE
    size = np.linalg.norm(resonator().electric_v_per_m_per_t(middle), axis=1)
    assert size == pytest.approx(W * np.array([np.hypot(0.1, 0.2), 0.3, 0.3]), rel=1e-12)


def sheet_field_t(z_m, radius_m, length_m):
    """By of K_z = cos phi [A/m] and its end rings on the axis: Biot and Savart, summed over small pieces."""
    phi = 2 * np.pi * (np.arange(72) + 0.5) / 72
    legs, weights = np.polynomial.legendre.leggauss(60)
    at = [
        (length_m / 2 * legs, length_m / 2 * weights, np.array([0, 0, 1.0]), np.cos),
        (np.array([length_m / 2]), np.array([1.0]), None, lambda p: radius_m * np.sin(p)),
        (np.array([-length_m / 2]), np.array([1.0]), None, lambda p: -radius_m * np.sin(p)),
    ]
    total = np.zeros(3)
    for heights, lengths, way, amount in at:
        for p in phi:
            tangent = np.array([-np.sin(p), np.cos(p), 0]) if way is None else way
            r = np.stack([np.full_like(heights, -radius_m * np.cos(p)), np.full_like(heights, -radius_m * np.sin(p)),
                          z_m - heights], axis=-1)  # fmt: skip
            pull = np.cross(tangent, r) / np.linalg.norm(r, axis=-1)[:, None] ** 3
            total += amount(p) * radius_m * 2 * np.pi / 72 * lengths @ pull
    return mu_0 / (4 * np.pi) * total


@pytest.mark.parametrize("z_m", [0.0, 0.1, 0.225, 0.4])
def test_the_profile_is_that_of_a_current_sheet_with_end_rings(z_m):
    summed = sheet_field_t(z_m, 0.35, 0.45)
    middle = sheet_field_t(0.0, 0.35, 0.45)
    assert summed[[0, 2]] == pytest.approx([0, 0], abs=1e-12 * abs(middle[1]) + 1e-20)
    assert resonator().profile(z_m) == pytest.approx(summed[1] / middle[1], rel=1e-9)


def test_a_long_resonator_is_a_uniform_field_and_half_of_it_at_its_end():
    long = resonator(length_m=20.0)
    axial = uniform(Precession.CLOCKWISE, ElectricField.AXIAL)
    assert np.allclose(long.electric_v_per_m_per_t(POINTS), axial.electric_v_per_m_per_t(POINTS), rtol=1e-4, atol=0)
    assert long.profile(10.0) == pytest.approx(0.5, rel=1e-3)


def test_a_resonator_without_length_is_refused():
    with pytest.raises(ValueError, match="length_m = 0"):
        resonator(length_m=0.0)


def test_every_source_says_where_it_ends():
    assert any("Ampere" in sentence for sentence in resonator().limits)
    assert any("held" in sentence for sentence in uniform(Precession.CLOCKWISE, ElectricField.AXIAL).limits)
