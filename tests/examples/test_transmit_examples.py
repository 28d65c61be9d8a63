"""A child's array while the scanner transmits, with its passive trap and, deliberately, without.

The default tests read both; the long ones carry them out and hold what the guide prints against what comes out.
"""

import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from loopwright import job
from loopwright.brief import read_brief
from loopwright.circuits.states import PASSIVELY_DETUNED, UNPLUGGED
from loopwright.dossier.transmit_words import (
    change_percent,
    fault_and_place,
    local_sar_cell,
    noticed_words,
    ranked_cases,
    unplugged,
    worst_percent,
)
from loopwright.ground.means import Means
from loopwright.ground.progress import Silent

ROOT = Path(__file__).parents[2]
GOOD = "child-chest-16-transmit.yaml"
BAD = "child-chest-16-no-passive-trap.yaml"
GUIDE = ROOT / "docs" / "guides" / "while-the-scanner-transmits.md"


class Kept:
    """Keeps pieces for the other example: both have the same body and conductors."""

    def __init__(self):
        self.pieces = {}

    def load(self, key):
        return self.pieces.get(key)

    def save(self, key, arrays):
        self.pieces[key] = dict(arrays)


KEPT = Kept()


def text_of(name):
    return (ROOT / "examples" / name).read_text("utf-8")


def keys_of(name):
    """Its lines without title and comments."""
    lines = (line.partition("#")[0].rstrip() for line in text_of(name).splitlines())
    return [line for line in lines if line and not line.startswith("title:")]


@cache
def carried_out(name):
    return job.carry_out(read_brief(text_of(name), name), Means(progress=Silent(), store=KEPT))


def told(name):
    return carried_out(name).evidence.while_transmitting


def test_both_are_read_and_only_the_bad_one_lacks_a_passive_trap():
    briefs = {name: read_brief(text_of(name), name) for name in (GOOD, BAD)}
    for brief in briefs.values():
        assert brief.transmit.level.b1_rms_t == pytest.approx(2.5e-6, abs=0)
        assert brief.heat.probes == 4
        assert len(brief.interface.bias_lines) == 8
    differing = [(one, other) for one, other in zip(keys_of(GOOD), keys_of(BAD), strict=True) if one != other]
    assert differing == [("  protection: [PIN trap, crossed-diode trap]", "  protection: [PIN trap]")]


def test_the_guide_names_both_and_shows_their_pictures():
    guide = GUIDE.read_text("utf-8")
    assert f"loopwright run examples/{GOOD}" in guide
    assert f"loopwright run examples/{BAD}" in guide
    shown = re.findall(r"!\[[^]]+\]\(\.\./pictures/([\w-]+\.png)\)", guide)
    assert len(shown) >= 3
    for picture in shown:
        assert (ROOT / "docs" / "pictures" / picture).is_file()


@pytest.mark.long
def test_without_a_passive_trap_the_unplugged_array_is_the_worst_of_its_unplugged_conditions():
    """Nothing having failed: rank, currents, B1+ and heat of the condition in which nothing acts."""
    ranked = ranked_cases(told(BAD))
    sound = [(row, case) for row, case in ranked if noticed_words(case) == "not applicable"]
    worst, case = next((row, case) for row, case in sound if unplugged(case))
    assert case.case.name == UNPLUGGED.name
    assert worst is sound[0][0]
    (caught,) = (row for row, one in ranked_cases(told(GOOD)) if one.case.name == PASSIVELY_DETUNED.name)
    assert worst.used > 20 * caught.used
    assert worst.used > 1 > caught.used
    loose, held = told(BAD).named(UNPLUGGED.name), told(GOOD).named(PASSIVELY_DETUNED.name)
    assert loose.largest_current_a > 50 * held.largest_current_a
    assert loose.b1.as_driven.mean > 1.3
    assert held.b1.as_driven.mean == pytest.approx(1, abs=0.02)
    assert loose.absorbed_w > 1.5 * held.absorbed_w


def row_of_guide(row, case):
    """A row of the tables of faults in the guide."""
    local = local_sar_cell(case)
    fault, where = fault_and_place(case)
    cells = (
        str(row.rank),
        fault,
        case.case.family,
        where,
        f"{case.largest_current_a:#.3g}",
        f"{row.row.surface_c:.1f} ± {row.row.surface_uncertainty_c:.1f}",
        f"{change_percent(case.b1.as_driven.mean):.1f}".replace("-", "−"),
        f"{worst_percent(case.b1):.1f}".replace("-", "−"),
        local if isinstance(local, str) else f"{local:.2f}",
        str(len(case.ratings_exceeded)),
        noticed_words(case),
    )
    return f"| {' | '.join(cells)} |"


@pytest.mark.long
@pytest.mark.parametrize(("name", "table"), [(GOOD, 1), (BAD, 2)])
def test_the_guide_prints_the_faults_as_they_come_out(name, table):
    printed = GUIDE.read_text("utf-8").split("| rank | fault |")[table].split("\n\n")[0]
    rows = [line for line in printed.splitlines() if re.match(r"\| \d", line)]
    ranked = ranked_cases(told(name))
    assert len(rows) >= 6
    for line in rows:
        assert line == row_of_guide(*ranked[int(line.split("|")[1]) - 1])


@pytest.mark.long
def test_the_guide_puts_the_probes_where_the_plan_does():
    guide = GUIDE.read_text("utf-8")
    probes = told(GOOD).probes.probes
    assert len(probes) == 3
    for number, probe in enumerate(probes, start=1):
        place = probe.place
        x, y, z = (f"{1e3 * along:.0f}".replace("-", "−") for along in place.position_m)
        assert (
            f"| {number} | under {place.part} of {place.element} | {x}, {y}, {z} | "
            f"{place.worst.temperature_c:.1f} ± {place.worst.uncertainty_k:.1f} |"
        ) in guide


@pytest.mark.long
def test_with_both_traps_the_worst_fault_is_a_lost_passive_trap_that_nothing_notices():
    row, worst = ranked_cases(told(GOOD))[0]
    assert "trap 3 open; trap lost (passively detuned, unplugged)" in worst.case.name
    assert row.used > 1
    assert noticed_words(worst) == "nothing"


@pytest.mark.long
def test_the_lost_trap_carries_what_faraday_and_its_loop_give():
    """EMF of 20 uT round 64 mm, times B1+ in the body over that of the resonator; loop, PIN trap, and 3 pF gone."""
    found = carried_out(GOOD)
    worst = ranked_cases(told(GOOD))[0][1]
    (element,) = worst.case.failed
    omega = 2 * np.pi * found.evidence.frequency_hz
    emf_v = omega * 20e-6 * np.pi * 0.032**2 * told(GOOD).body_alone.mean_b1_in_region
    reactance_ohm = 1 / (omega * 51e-12)
    bare_ohm = sum(part[element] for part in found.evidence.network.resistance_ohm.values())
    blocking_f = 1 / (omega * (1 / (omega * 3e-12) - reactance_ohm))  # 3 pF behind the trap's coil
    impedance_ohm = complex(bare_ohm + reactance_ohm**2 / 5e3, reactance_ohm * blocking_f / (51e-12 + blocking_f))
    assert worst.largest_current_a == pytest.approx(emf_v / abs(impedance_ohm), rel=0.15)
    (diode,) = (part for part in worst.answer.elements[element].parts if part.name == "D trap 2")
    assert diode.voltage_v == pytest.approx(worst.largest_current_a * reactance_ohm, rel=0.03)
    assert diode.power_w == pytest.approx((diode.voltage_v * 2.5 / 20) ** 2 / 2 / 5e3, rel=0.01)
