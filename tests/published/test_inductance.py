"""Inductances and fields of rings and squares.

I1: J. C. Maxwell, A Treatise on Electricity and Magnetism, vol. 2, art. 701 (1873); E. B. Rosa and F. W. Grover,
"Formulas and tables for the calculation of mutual and self-inductance", Bull. Bur. Stand. 8(1), 1-237 (1912), eq. (1).
Values are the closed form evaluated in high precision; the first is the worked case of Rosa and Grover (from memory,
agrees to six digits).
I2: parallel-axis circles, by line integral of the vector potential, confirmed by the double line integral.
I3, I4: zero mutual inductance; P. B. Roemer et al., "The NMR phased array", Magn. Reson. Med. 16, 192-225 (1990) give
the design rules 0.75 of the diameter and 0.90 of the side (from memory).
I5: Rosa and Grover 1912 (formula from memory), current on the surface.  I7: F. W. Grover, Inductance Calculations
(1946), ch. 8 (from memory; the constant 0.774 was derived again from straight wires).
I11: law of Biot and Savart, closed forms on the axis.
"""

import numpy as np
import pytest
from scipy.constants import mu_0, pi
from scipy.optimize import brentq
from scipy.special import ellipe, ellipk

from loopwright.fields.wires import magnetic_field_t_per_a
from loopwright.fields.wires.impedance import lossless_impedance_ohm
from wire_cases import coaxial_mutual_inductance_h, equal_area_polygon, inductances_h, mesh, square

COAXIAL = [  # a, b, d in cm; H
    (25, 20, 10, 2.48787359e-7),
    (25, 25, 20, 1.67085784e-7),
    (25, 25, 10, 3.37684718e-7),
    (25, 25, 1, 1.03666485e-6),
    (25, 25, 100, 6.49961240e-9),
    (10, 5, 5, 3.49366232e-8),
    (5, 5, 5, 2.47039232e-8),
    (5, 5, 2, 6.75369437e-8),
    (5, 5, 0.5, 1.50143815e-7),
    (4, 4, 6, 1.01103923e-8),
]


@pytest.mark.parametrize(("a", "b", "d", "printed_h"), COAXIAL)
def test_i1_maxwells_formula(a, b, d, printed_h):
    assert coaxial_mutual_inductance_h(a / 100, b / 100, d / 100) == pytest.approx(printed_h, rel=1e-6)


@pytest.mark.parametrize(("a", "b", "d", "printed_h"), COAXIAL)
def test_i1_by_segments(a, b, d, printed_h):
    rings = [equal_area_polygon(a / 100, 64), equal_area_polygon(b / 100, 64, centre_m=(0, 0, d / 100))]
    assert inductances_h(rings, 0.5e-3)[0, 1] == pytest.approx(printed_h, rel=1e-3)


@pytest.mark.parametrize(
    ("spacing", "printed"),  # centre distance over diameter; M / (mu0 a)
    [(1.025, -0.2743847), (1.10, -0.1593862), (1.25, -0.0828540), (1.50, -0.0394847), (2.00, -0.0143405)],
)
def test_i2_parallel_circles(spacing, printed):
    rings = [equal_area_polygon(0.04, 96), equal_area_polygon(0.04, 96, centre_m=(0.08 * spacing, 0, 0))]
    assert inductances_h(rings, 0.5e-3)[0, 1] / (mu_0 * 0.04) == pytest.approx(printed, rel=2e-3)


def zero_spacing(outline, low, high):
    """Spacing over size at which the mutual inductance of an outline and its shifted copy passes through zero."""

    def mutual(spacing):
        return inductances_h([outline((0, 0, 0)), outline((spacing, 0, None))], 0.5e-3)[0, 1]

    return brentq(mutual, low, high, xtol=1e-6)


# Height over radius of the crossing; the first row stands for ideal coplanar filaments, which cannot cross.
@pytest.mark.parametrize(("height", "printed"), [(1e-3, 0.758022), (0.02, 0.7596), (0.05, 0.7623), (0.10, 0.7675)])
def test_i3_circles_without_mutual_inductance(height, printed):
    def ring(place):
        x, y, z = place
        return equal_area_polygon(0.5, 96, centre_m=(x, y, height * 0.5 if z is None else z))

    found = zero_spacing(ring, 0.74, 0.78)
    assert found == pytest.approx(printed, abs=0.001)  # ten times closer than asked: filaments against filaments
    assert 0.74 < found < 0.78  # Roemer's rule, for real wires


@pytest.mark.parametrize(("height", "printed"), [(0.001, 0.9188), (0.005, 0.9055), (0.01, 0.8979), (0.02, 0.8884)])
def test_i4_squares_without_mutual_inductance(height, printed):
    def outline(place):
        x, y, z = place
        return square(1.0, 24, centre_m=(x, y, height if z is None else z))

    assert zero_spacing(outline, 0.85, 0.95) == pytest.approx(printed, abs=0.001)


RINGS = [  # diameter and wire diameter in mm; nH with the current on the surface
    (80, 1.5, 203.877),
    (90, 1.63, 231.322),
    (100, 2.0, 250.791),
    (65, 1.63, 153.775),
    (50, 1.0, 125.396),
    (30, 1.0, 65.608),
]


@pytest.mark.parametrize(("diameter_mm", "wire_mm", "printed_nh"), RINGS)
@pytest.mark.parametrize("segments", [24, 48])
def test_i5_rings(diameter_mm, wire_mm, printed_nh, segments):
    ring = equal_area_polygon(diameter_mm / 2e3, segments)
    found = 1e9 * inductances_h([ring], wire_mm / 2e3)[0, 0]
    assert found == pytest.approx(printed_nh, rel=1e-2)


def filament_pair_inductance_h(radius_m, wire_radius_m):
    """Ring of the reduced kernel, exactly: two coaxial filaments one wire radius apart (Maxwell art. 701)."""
    m = 4 * radius_m**2 / (4 * radius_m**2 + wire_radius_m**2)
    return mu_0 * radius_m * ((2 / np.sqrt(m) - np.sqrt(m)) * ellipk(m) - 2 / np.sqrt(m) * ellipe(m))


@pytest.mark.parametrize("diameter_m", [0.04, 0.08, 0.10])
@pytest.mark.parametrize("wire_radius_m", [0.5e-3, 1e-3])
def test_24_segments_give_the_loop_mode_inductance(diameter_m, wire_radius_m):
    found = inductances_h([equal_area_polygon(diameter_m / 2, 24)], wire_radius_m)[0, 0]
    handbook = mu_0 * diameter_m / 2 * (np.log(4 * diameter_m / wire_radius_m) - 2)
    assert found == pytest.approx(handbook, rel=1e-3)
    assert found == pytest.approx(filament_pair_inductance_h(diameter_m / 2, wire_radius_m), rel=6e-4)


SQUARES = [  # side and wire radius in mm; nH by the handbook, and from partial inductances with the radius kept
    (100, 1.0, 306.49, 307.29),
    (120, 1.0, 385.30, 386.09),
    (80, 0.75, 249.33, 249.92),
]


@pytest.mark.parametrize(("side_mm", "radius_mm", "handbook_nh", "radius_kept_nh"), SQUARES)
@pytest.mark.parametrize("per_side", [6, 12])
def test_i7_squares(side_mm, radius_mm, handbook_nh, radius_kept_nh, per_side):
    found = 1e9 * inductances_h([square(side_mm / 1e3, per_side)], radius_mm / 1e3)[0, 0]
    assert found == pytest.approx(handbook_nh, rel=5e-3)
    assert found == pytest.approx(radius_kept_nh, rel=2e-4)


def axial_field_ut(polygons, place_m):
    return 1e6 * sum(magnetic_field_t_per_a(np.array([place_m]), p, 0.0)[0, 2].real for p in polygons)


@pytest.mark.parametrize(("z_m", "printed_ut"), [(0.0, 15.70796), (0.02, 11.23970), (0.04, 5.553604), (0.08, 1.404963)])
def test_i11_ring_on_its_axis(z_m, printed_ut):
    found = axial_field_ut([equal_area_polygon(0.04, 96)], (0, 0, z_m))
    assert found == pytest.approx(printed_ut, rel=1e-4)


def test_i11_square_at_its_centre():
    assert axial_field_ut([square(0.08, 1)], (0, 0, 0)) == pytest.approx(14.14214, rel=1e-6)


def test_i11_helmholtz_pair():
    pair = [equal_area_polygon(0.1, 96, centre_m=(0, 0, z)) for z in (-0.05, 0.05)]
    assert axial_field_ut(pair, (0, 0, 0)) == pytest.approx(8.991763, rel=1e-4)


def test_l8_radiation_resistance_of_a_small_loop():
    """20 pi^2 (circumference / wavelength)^4 (any antenna textbook); here 0.0634 and 1.878 ohm for 100 mm."""
    for frequency_hz, printed_ohm, tolerance in ((127.74e6, 0.0634, 5e-3), (298.03e6, 1.878, 3e-2)):
        impedance, _ = lossless_impedance_ohm(mesh([equal_area_polygon(0.05, 48)], 1e-3), frequency_hz)
        uniform = impedance.sum()
        small = 20 * pi**2 * (pi * 0.1 * frequency_hz / 299792458) ** 4
        assert small == pytest.approx(printed_ohm, rel=1e-3)
        assert uniform.real == pytest.approx(printed_ohm, rel=tolerance)
