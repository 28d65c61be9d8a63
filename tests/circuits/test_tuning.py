import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from circuits.ring_model import rings
from loopwright.circuits.tuned.tuning import element_port_impedance_ohm, resonant_frequency_hz, tuned_capacitance_f
from loopwright.ground.errors import OutsideModelError

CASES = settings(max_examples=40, derandomize=True, deadline=None)
FREQUENCY_HZ = 123.2e6
W = 2 * np.pi * FREQUENCY_HZ


@pytest.mark.parametrize("gaps", [1, 2, 4])
def test_a_small_uniform_loop_takes_c_equal_n_over_w_squared_l(gaps):
    # Ports of a loop without charges all carry the same current; a stiff shunt (1e6 ohm) makes the matrix finite.
    inductance_h, stiff_ohm = 180e-9, 1e9
    centring = np.eye(gaps) - np.ones((gaps, gaps)) / gaps
    ports_ohm = np.ones((gaps, gaps)) * (1j * W * inductance_h + 0.2) / gaps**2 - 1j * stiff_ohm * centring
    found_f = tuned_capacitance_f(ports_ohm, frequency_hz=FREQUENCY_HZ, capacitor_q=np.inf)
    assert found_f == pytest.approx(gaps / (W**2 * inductance_h), rel=1e-6, abs=0)


@CASES
@given(seed=st.integers(0, 200), gaps=st.sampled_from([1, 2, 4]), q=st.floats(50, 5000))
def test_tuned_means_no_reactance_at_the_element_port(seed, gaps, q):
    model = rings(elements=1, gaps=gaps, seed=seed)
    ports_ohm, _ = model.ports(FREQUENCY_HZ)
    capacitance_f = tuned_capacitance_f(
        ports_ohm, frequency_hz=FREQUENCY_HZ, capacitor_q=q, other_series_resistance_ohm=0.3
    )
    z = element_port_impedance_ohm(
        ports_ohm,
        capacitance_f,
        frequency_hz=FREQUENCY_HZ,
        capacitor_q=q,
        other_series_resistance_ohm=0.3,
    )
    assert abs(z.imag) < 1e-8 * W * 200e-9
    assert z.real > 0.3
    loop_h = model.loop_ohm(FREQUENCY_HZ)[0, 0].imag / W
    assert capacitance_f == pytest.approx(gaps / (W**2 * loop_h), rel=0.25, abs=0)


def test_more_gaps_bring_the_capacitors_to_the_loop_mode():
    def departure(gaps):
        model = rings(elements=1, gaps=gaps)
        ports_ohm, _ = model.ports(FREQUENCY_HZ)
        c = tuned_capacitance_f(ports_ohm, frequency_hz=FREQUENCY_HZ, capacitor_q=1e9)
        return abs(c * W * model.loop_ohm(FREQUENCY_HZ)[0, 0].imag / gaps - 1)

    assert departure(8) < departure(4) < departure(2) < departure(1)


def test_a_capacitive_loop_is_refused_with_a_remedy():
    with pytest.raises(OutsideModelError, match="more gaps"):
        tuned_capacitance_f(np.array([[1 - 50j]]), frequency_hz=FREQUENCY_HZ, capacitor_q=1000)


def test_resonance_is_found_inside_the_band_and_estimated_outside():
    inductance_h, resonance_hz = 180e-9, 124e6
    capacitance_f = 1 / ((2 * np.pi * resonance_hz) ** 2 * inductance_h)

    def reactance_ohm(f):
        return 2 * np.pi * f * inductance_h - 1 / (2 * np.pi * f * capacitance_f)

    inside = resonant_frequency_hz(reactance_ohm, near_hz=123.2e6, band_hz=(121e6, 126e6))
    outside = resonant_frequency_hz(reactance_ohm, near_hz=123.2e6, band_hz=(122.9e6, 123.5e6))
    assert inside == pytest.approx(resonance_hz, rel=1e-9)
    assert outside == pytest.approx(resonance_hz, abs=0.01e6)
