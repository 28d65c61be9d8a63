"""A made-up array with every kind of part, and every case of it."""

from functools import cache

import numpy as np

from circuits.ready_circuits import KIT, random_ports_ohm, two_traps
from loopwright.circuits.faults.listing import fault_cases, normal_cases
from loopwright.circuits.parts import Fuse, Line
from loopwright.circuits.ready import capacitive_match, fuse_in_series, matched_at_line_end, trap_across

F_HZ = 123.2e6
NAMES = ("E01", "E02", "E03")


def fused():
    """Match, crossed-diode trap, fuse, tune."""
    fuse = Fuse(resistance_ohm=0.3, open_capacitance_f=0.2e-12, rated_current_rms_a=0.5)
    return capacitive_match(
        KIT,
        gap_count=4,
        match_f=59.9e-12,
        tune_f=29.65e-12,
        series_h=25.9e-9,
        traps=(
            trap_across(2, KIT, capacitance_f=30e-12, inductance_h=51.8e-9, diode=KIT.crossed_diodes),
            fuse_in_series(3, KIT, capacitance_f=30e-12, fuse=fuse),
        ),
    )


def at_line_end():
    line = Line(length_m=0.09, characteristic_ohm=50, velocity_factor=0.7, loss_db_per_m=0.3)
    return matched_at_line_end(KIT, gap_count=2, line=line, tune_f=30e-12, match_f=60e-12, series_h=26e-9)


CIRCUITS = (two_traps(), fused(), at_line_end())


@cache
def ports_and_field():
    """Impedance between ten gaps, and what a field of one tesla puts across them."""
    rng = np.random.default_rng(11)
    open_v = rng.standard_normal(10) + 1j * rng.standard_normal(10)
    return random_ports_ohm(rng, 10), 2e6 * open_v


@cache
def every_case():
    return (*normal_cases(CIRCUITS), *fault_cases(CIRCUITS, names=NAMES))
