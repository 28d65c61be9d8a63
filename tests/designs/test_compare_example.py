"""The example of the guide: it plans what the guide says, and its answer is the one that is printed there."""

import re
from functools import cache
from pathlib import Path

import pytest

from loopwright.brief import read_designs
from loopwright.comparison import compare_designs
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "examples" / "compare-trunk-16.yaml"
GUIDE = ROOT / "docs" / "guides" / "which-element-size.md"


@cache
def wanted():
    return read_designs(EXAMPLE.read_text("utf-8"), EXAMPLE.name)


def test_it_plans_ten_designs_and_refuses_five():
    assert (len(wanted().planned), len(wanted().refused)) == (10, 5)


def test_the_guide_prints_the_designs_part_of_the_example():
    block = EXAMPLE.read_text("utf-8").partition("\ndesigns:\n")[2]
    for line in block.strip().splitlines():
        assert line.strip() in GUIDE.read_text("utf-8")


def test_the_guide_prints_the_refusals_as_they_are():
    guide = " ".join(GUIDE.read_text("utf-8").split())
    for refused in wanted().refused:
        assert " ".join(f"design {refused.name} is refused: {refused.reason}".split()) in guide


@pytest.mark.long
def test_the_answers_printed_in_the_guide_are_those_of_the_example():
    outcome = compare_designs(wanted(), Means(progress=Silent(), store=Forgetful()))
    guide = " ".join(line.lstrip("> ") for line in GUIDE.read_text("utf-8").splitlines())
    for answer in outcome.dossier.sections[0].answers:
        assert f"**{answer.question}** {answer.answer}" in re.sub(r"\s+", " ", guide)
