"""The sign conventions, decided by the equations of motion and not by a formula.

Bloch's equation dM/dt = gamma M x B is integrated in the laboratory frame with B = B0 z^ + Re(B exp(j omega t)); which
component of the phasor tips the spins, and which one the precessing magnetisation is heard with, follows from the
result.
Units here: gamma B0 = +-2 pi per period, so that the spins turn once in unit time.
"""

import numpy as np
import pytest
from scipy.constants import c, mu_0
from scipy.integrate import solve_ivp

from exact.loops import Circle, free_space_fields, free_space_impedance_ohm
from loopwright.brief.records import Scanner
from loopwright.fields.rotating import Precession, precession, reception_component, transmit_component
from loopwright.ground.constants import NUCLEI

OMEGA = 2 * np.pi
CASES = [(b0, gamma) for b0 in (1.0, -1.0) for gamma in (1.0, -1.0)]
SCANNER = Scanner(proton_frequency_hz=127.73e6, field_t=3.0)
# transverse phasors: linear, circular either way, elliptic with any phase
PHASORS = [(1, 0), (0, 1), (1, 1j), (1, -1j), (0.3 - 0.4j, 0.9 + 0.2j), (0.7 + 0.7j, -0.2 + 0.5j)]


def magnetisation_after(b_x, b_y, *, b0_z, gamma, duration, start=(0.0, 0.0, 1.0), at=None, tolerance=1e-6):
    """Integrate Bloch's equation without relaxation; B0 and gamma in units in which |gamma B0| = omega."""

    def turn(t, m):
        wave = np.exp(1j * OMEGA * t)
        field = np.array([(b_x * wave).real, (b_y * wave).real, b0_z * OMEGA])
        return gamma * np.cross(m, field)

    return solve_ivp(turn, (0, duration), start, method="DOP853", rtol=tolerance, atol=tolerance / 100, t_eval=at).y


@pytest.mark.parametrize(("b0_z", "gamma"), CASES)
@pytest.mark.parametrize(("b_x", "b_y"), PHASORS)
def test_flip_angle_is_gamma_b1_plus_tau(b_x, b_y, b0_z, gamma):
    """A pulse of 60 periods; what the other component adds is of the order of |B1| / B0 and stays below a percent."""
    sense = precession(b0_z, gyromagnetic_ratio_hz_per_t=gamma)
    size, duration = 0.002 * OMEGA, 60.0
    final = magnetisation_after(size * b_x, size * b_y, b0_z=b0_z, gamma=gamma, duration=duration)[:, -1]
    flip = abs(gamma * transmit_component(size * b_x, size * b_y, sense=sense)) * duration
    assert np.arccos(final[2]) == pytest.approx(flip, abs=0.006)


def test_with_b0_up_and_gamma_positive_it_is_bx_minus_j_by_that_tips():
    """The sentence of docs/conventions.md: written out, no function of ours asked."""
    size, quarter = 0.004 * OMEGA, 0.25 / 0.004
    # Bx = 1, By = j: (Bx - jBy)/2 = 1 and (Bx + jBy)/2 = 0
    tipped = magnetisation_after(size, 1j * size, b0_z=1.0, gamma=1.0, duration=quarter)[:, -1]
    spared = magnetisation_after(size, -1j * size, b0_z=1.0, gamma=1.0, duration=quarter)[:, -1]
    assert tipped[2] == pytest.approx(0, abs=1e-3)
    assert spared[2] == pytest.approx(1, abs=1e-4)


@pytest.mark.parametrize(("b0_z", "gamma"), CASES)
@pytest.mark.parametrize("b", [(1.0, 0.0), (0.0, 1.0), (0.6, -0.8)])
def test_voltage_of_precessing_magnetisation_is_heard_with_the_other_component(b, b0_z, gamma):
    """The flux of a moment M through an element is B(1 A) . M, so a real B gives the voltage -d/dt (B . M)."""
    t = np.arange(256) / 256
    m = magnetisation_after(0, 0, b0_z=b0_z, gamma=gamma, duration=1.0, start=(1.0, 0.0, 0.0), at=t, tolerance=1e-10)
    flux = b[0] * m[0] + b[1] * m[1]
    rate = np.fft.ifft(2j * np.pi * np.fft.fftfreq(256, 1 / 256) * np.fft.fft(flux)).real
    phasor = 2 * np.mean(-rate * np.exp(-1j * OMEGA * t))
    sense = precession(b0_z, gyromagnetic_ratio_hz_per_t=gamma)
    assert phasor == pytest.approx(complex(-2j * OMEGA * reception_component(b[0], b[1], sense=sense)), abs=1e-6)
    if sense is Precession.CLOCKWISE:
        assert phasor == pytest.approx(-1j * OMEGA * (b[0] + 1j * b[1]), abs=1e-6)


@pytest.mark.parametrize("sense", [1, -1])
def test_no_conjugate_stands_in_reception_when_the_field_has_a_phase(sense):
    """A turning moment made of two tiny loops, heard by a loop half a wavelength away, where B is far from real.

    The moment x^ + j y^ turns clockwise about +z: Re((x^ + j y^) exp(j omega t)) = x^ cos - y^ sin.
    """
    f, tiny = 0.8e9, 1e-5
    big = Circle(centre_m=(0.05, -0.02, 0.15), normal=(0.3, -0.5, 1.0), radius_m=0.03)
    here = np.array([0.01, 0.02, -0.03])
    small = [Circle(centre_m=tuple(here), normal=n, radius_m=tiny) for n in ((1, 0, 0), (0, 1, 0))]
    # voltage round the big loop is oint E . dl = -Z
    heard = [-free_space_impedance_ohm(loop, f, big) for loop in small]
    voltage = heard[0] + sense * 1j * heard[1]
    _, B = free_space_fields(big, f, here[None])
    component = complex(reception_component(B[0, 0], B[0, 1], sense=sense))
    assert abs(np.sin(np.angle(B[0, 0]))) > 0.1
    assert voltage == pytest.approx(-2j * 2 * np.pi * f * np.pi * tiny**2 * component, rel=1e-4)
    assert 2 * np.pi * f / c * 0.2 > np.pi  # far enough to be no quasi-static question
    assert abs(B[0, 0]) > 1e-3 * mu_0


def test_reversing_b0_or_gamma_swaps_the_pair_and_both_restore_it():
    b_x, b_y = 0.3 - 0.4j, 0.9 + 0.2j
    plus, minus = (
        [f(b_x, b_y, sense=s) for f in (transmit_component, reception_component)]
        for s in (Precession.CLOCKWISE, Precession.COUNTERCLOCKWISE)
    )
    assert plus == minus[::-1]
    assert plus[0] == 0.5 * (b_x - 1j * b_y)
    assert [precession(b0, gyromagnetic_ratio_hz_per_t=g) for b0, g in CASES] == [1, -1, -1, 1]


@pytest.mark.parametrize("name", sorted(NUCLEI))
@pytest.mark.parametrize(("direction", "b0_z"), [("+z", 1.0), ("-z", -1.0)])
def test_the_brief_agrees_with_the_equation_of_motion(name, direction, b0_z):
    scanner = SCANNER.model_copy(update={"nucleus": name, "b0_direction": direction})
    ratio = NUCLEI[name].gyromagnetic_ratio_hz_per_t
    assert scanner.reception_sign == precession(b0_z, gyromagnetic_ratio_hz_per_t=ratio)


def test_single_precision_stays_single_and_nothing_precesses_without_field():
    b = np.ones((2, 3), dtype=np.complex64)
    assert reception_component(b, b, sense=1).dtype == np.complex64
    with pytest.raises(ValueError, match="neither may be zero"):
        precession(0.0, gyromagnetic_ratio_hz_per_t=42.6e6)
    with pytest.raises(ValueError, match="Precession"):
        transmit_component(b, b, sense=2)
