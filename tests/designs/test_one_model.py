"""All designs of a comparison are ranked under one excitation, and the page says which."""

from functools import cache

import pytest

from loopwright import bodies, job
from loopwright import comparison as stage
from loopwright.brief import read_designs
from loopwright.comparison import compare_designs
from loopwright.designs import CommonExcitation, common_excitation
from loopwright.fields import Excitation
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent
from small_comparison import SMALL, small_outcome

SIZES = "size: [40 mm, 80 mm, 220 mm]"
#: At 4 mm from the skin nothing was measured of the loop mode, so automatic takes the full current there.
MEANS = Means(progress=Silent(), store=Forgetful())
NEAR_AND_FAR = SMALL.replace(SIZES, "stand_off: [4 mm, 10 mm]")
#: Coarse, for which current drives the body does not hang on the grid.
QUICK = (
    NEAR_AND_FAR.replace("relative_residual: 0.003", "relative_residual: 0.01")
    .replace("voxel: 12 mm", "voxel: 16 mm")
    .replace("depths: [25 mm, 40 mm]", "depths: [35 mm]")
)


def prose(outcome, anchor):
    return " ".join(next(section for section in outcome.dossier.sections if section.anchor == anchor).prose)


def chosen(brief_text):
    wanted = read_designs(brief_text, "small.yaml")
    brief = wanted.planned[0].brief
    body = bodies.place(brief.body, frequency_hz=brief.scanner.frequency_hz)
    dressed = {one.name: job.dressed_array(one.brief, body, body, MEANS) for one in wanted.planned}
    return common_excitation(wanted.base.computation.excitation, dressed, body)


def asking(excitation, brief_text):
    return brief_text.replace("computation: {", f"computation: {{excitation: {excitation}, ")


def test_one_design_that_needs_the_full_current_gives_it_to_all():
    assert chosen(NEAR_AND_FAR) == CommonExcitation(
        excitation=Excitation.FULL_CURRENT, asked="automatic", needed_by=("D01",)
    )
    assert chosen(SMALL).excitation is Excitation.LOOP_MODE


@pytest.mark.parametrize("asked", ["loop mode", "full current"])
def test_what_is_asked_for_is_taken(asked):
    assert chosen(asking(asked, NEAR_AND_FAR)) == CommonExcitation(
        excitation=Excitation(asked), asked=asked, needed_by=()
    )


@cache
def near_and_far():
    """The outcome, and the excitation of every field solution on the way."""
    used = []
    original = stage.answers_on

    def watched(*words):
        used.append((found := original(*words)).reply.excitation)
        return found

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(stage, "answers_on", watched)
        return compare_designs(read_designs(QUICK, "small.yaml"), MEANS), used


def test_every_design_is_solved_under_it_and_the_page_says_so():
    outcome, used = near_and_far()
    assert used == [Excitation.FULL_CURRENT] * 4
    told = prose(outcome, "error")
    assert "the same for every design: the currents and charges of all wires (full current)" in told
    assert "not known to be good enough for D01," in told
    assert "one uniform current for each element (loop mode)" in prose(small_outcome(), "error")
    summary = {finding.key: finding.value for finding in outcome.dossier.findings}
    assert summary["designs.excitation"] == "full current"


def test_the_limits_tell_of_the_excitation_that_was_used():
    for outcome, told, other in (
        (near_and_far()[0], "charges of all wires meet the body", "one mode per element"),
        (small_outcome(), "one mode per element", "charges of all wires meet the body"),
    ):
        assert told in prose(outcome, "limits")
        assert other not in prose(outcome, "limits")
