import numpy as np
import pytest
from ready_circuits import KIT, random_ports_ohm
from scipy.constants import c, pi

from loopwright.circuits.array_circuit import array_state
from loopwright.circuits.parts import Line
from loopwright.circuits.ready import matched_at_line_end
from loopwright.circuits.states import RECEIVING, UNPLUGGED
from loopwright.circuits.wiring import complaints

F = 127.74e6
LINE = Line(length_m=0.31, characteristic_ohm=35.0, velocity_factor=0.7, loss_db_per_m=0.6)
TUNE_F, MATCH_F, SERIES_H = 22e-12, 70e-12, 30e-9
PORT_OHM = random_ports_ohm(np.random.default_rng(11), 3)
CIRCUIT = matched_at_line_end(KIT, gap_count=3, line=LINE, tune_f=TUNE_F, match_f=MATCH_F, series_h=SERIES_H)


def chain():
    """Chain matrix of line, shunt capacitor and series inductor, from the first gap to the receiver."""
    gl = (0.6 * np.log(10) / 20 * np.sqrt(F / 1e8) + 2j * pi * F / (0.7 * c)) * 0.31
    line = np.array([[np.cosh(gl), 35 * np.sinh(gl)], [np.sinh(gl) / 35, np.cosh(gl)]])
    shunt = 1 / ((1 / KIT.capacitor_q - 1j) / (2 * pi * F * MATCH_F))
    series = (1 / KIT.inductor_q + 1j) * 2 * pi * F * SERIES_H
    return line @ np.array([[1, 0], [shunt, 1]]) @ np.array([[1, series], [0, 1]])


def loop_ohm():
    """Conductor in its first gap, the others closed by their capacitors."""
    closed = PORT_OHM[1:, 1:] + (1 / KIT.capacitor_q - 1j) / (2 * pi * F * TUNE_F) * np.eye(2)
    return PORT_OHM[0, 0] - PORT_OHM[0, 1:] @ np.linalg.solve(closed, PORT_OHM[1:, 0])


def test_it_is_wired_rightly():
    assert not complaints(CIRCUIT)


def test_receiver_sees_the_loop_through_the_exact_two_port():
    (a, b), (c_, d) = chain()
    # Looked into from the receiver, reciprocity turns the chain round: Z = (d Zl + b) / (c Zl + a).
    expected = (d * loop_ohm() + b) / (c_ * loop_ohm() + a)
    seen = array_state(PORT_OHM, [CIRCUIT], [UNPLUGGED], frequency_hz=F).seen_ohm[0]
    assert seen == pytest.approx(expected, rel=1e-9)


def test_a_voltage_in_the_loop_arrives_as_through_the_exact_two_port():
    (a, b), (c_, d) = chain()
    receiver_ohm = KIT.receiver.input_ohm
    # emf = Zl I1 + V1, V1 = a V2 + b I2, I1 = c V2 + d I2, V2 = Zr I2.
    expected = receiver_ohm / (loop_ohm() * (c_ * receiver_ohm + d) + a * receiver_ohm + b)
    arrived = array_state(PORT_OHM, [CIRCUIT], [RECEIVING], frequency_hz=F).port_current[0, 0]
    assert arrived == pytest.approx(expected, rel=1e-9)


def test_without_length_the_line_is_not_there():
    short = Line(length_m=1e-7, characteristic_ohm=35.0, velocity_factor=0.7)
    circuit = matched_at_line_end(KIT, gap_count=3, line=short, tune_f=TUNE_F, match_f=MATCH_F, series_h=SERIES_H)
    shunt = 1 / ((1 / KIT.capacitor_q - 1j) / (2 * pi * F * MATCH_F))
    series = (1 / KIT.inductor_q + 1j) * 2 * pi * F * SERIES_H
    seen = array_state(PORT_OHM, [circuit], [UNPLUGGED], frequency_hz=F).seen_ohm[0]
    assert seen == pytest.approx(series + 1 / (shunt + 1 / loop_ohm()), rel=1e-5)
