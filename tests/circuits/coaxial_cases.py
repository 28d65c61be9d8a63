"""Invented cables and small models of coaxial elements, for the tests."""

import numpy as np

from loopwright.conductors.coaxial_line import CableFromDataSheet


def cable(*, characteristic_ohm=50.0, shield_diameter_m=1.8e-3, velocity_factor=0.695, loss_db_per_m=0.0):
    return CableFromDataSheet(
        characteristic_ohm=characteristic_ohm,
        velocity_factor=velocity_factor,
        shield_outer_diameter_m=shield_diameter_m,
        shield_conductivity_s_per_m=5.8e7,
        loss_db_per_m=loss_db_per_m,
    )


def by_hand_terminal_ohm(outside_ohm, *, characteristic_ohm, gamma_per_m, length_m):
    """One gap, one cut opposite: terminal impedance from the equations of two lines that meet on a floating shield.

    Unknowns: inner voltage and shield sides at the gap, the shield at the cut, all against the inner end before it.
    """
    half = gamma_per_m * length_m / 2
    own, mutual = 1 / (characteristic_ohm * np.tanh(half)), -1 / (characteristic_ohm * np.sinh(half))
    # Differences inner less shield: u1 after the gap, u2 before it, w1 before the cut, w2 after it.
    # Gap: currents into the inner conductor cancel, I1 + I2 = 0, and u1 - u2 is minus the gap's voltage, whose current
    # I1 comes from outside. Cut: the shield passes, J1 + J2 = 0, and w2 - w1 is the terminal's voltage for J2 = 1.
    matrix = np.zeros((4, 4), dtype=complex)
    matrix[0] = [own, own, mutual, mutual]  # I1 + I2 = 0: piece 1 runs u1 to w1, piece 2 w2 to u2
    matrix[1] = [1, -1, 0, 0] + outside_ohm * np.array([own, 0, mutual, 0])
    matrix[2] = [mutual, mutual, own, own]
    matrix[3] = [0, mutual, 0, own]  # J2, into piece 2 at the cut, is the terminal's current
    _u1, _u2, w1, w2 = np.linalg.solve(matrix, [0, 0, 0, 1])
    return w2 - w1
