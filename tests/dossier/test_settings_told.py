"""What the numerical settings say about charges at the gaps."""

import numpy as np
import pytest

from loopwright.dossier.settings import _charges_line
from loopwright.fields import Excitation


@pytest.mark.parametrize(
    ("excitation", "missed", "value", "remark"),
    [
        (Excitation.LOOP_MODE, 0.0064, "at most 0.64 %", "left out of every figure here"),
        (Excitation.LOOP_MODE, np.inf, "not bounded", "left out of every figure here; the bound was measured for"),
        (Excitation.FULL_CURRENT, 0.25, "at most 25 %", "in the figures; the bound is what the loop mode would"),
        (Excitation.FULL_CURRENT, np.inf, "not bounded", "in the figures; the bound was measured for"),
    ],
)
def test_charges_are_told_with_their_bound(excitation, missed, value, remark):
    line = _charges_line(excitation, missed)
    assert line.value == value
    assert line.remark.startswith(remark)
