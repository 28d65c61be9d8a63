"""The guide to the scanner interface says what the code finds."""

import re
from pathlib import Path

import pytest

from brief.base_brief import BASE, text_of
from loopwright.brief import read_brief
from loopwright.circuits import check_interface

GUIDE = Path(__file__).parents[2] / "docs" / "guides" / "scanner-interface.md"


def test_the_line_of_the_guide_reads_as_told():
    guide = GUIDE.read_text(encoding="utf-8")
    brief = read_brief(text_of(BASE) + re.search(r"```yaml\n(.*?)```", guide, re.DOTALL).group(1), "guide.yaml")
    (line,) = check_interface(brief.interface, ("A1",), frequency_hz=127.7e6).lines
    assert line.verdict == "inside the window"
    opened, short = line.faults[:2]
    assert opened.voltage_v - line.forward_v == pytest.approx(0.04, abs=0.005)
    assert short.voltage_v == pytest.approx(0.50, abs=0.005)
    assert short.sound_branch_a == pytest.approx(2e-6, abs=0.5e-6)
    assert not opened.noticed_by
    assert not short.noticed_by
    assert line.line.cable_resistance_ohm * line.current_a == pytest.approx(0.20)
    assert "0.04 V more" in guide
    assert "0.50 V" in guide
