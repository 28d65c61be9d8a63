"""The change of the body's resistance over the band is that of one closed loop, whichever current serves the run."""

import pytest

from loopwright import bodies, job
from loopwright.brief import read_brief
from loopwright.fields import Excitation, closed_loops, reply_to_sources
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful
from small_comparison import SMALL, Notes

QUICK = SMALL.split("designs:")[0].replace("voxel: 10 mm", "voxel: 14 mm")


def test_it_is_that_of_a_closed_loop_and_nothing_is_solved_twice():
    brief = read_brief(QUICK, "quick.yaml")
    body = bodies.place(brief.body, frequency_hz=brief.scanner.frequency_hz, voxel_m=job.coarse_voxel_m(brief))
    notes = Notes()
    means = Means(progress=notes, store=Forgetful())
    dressed = job.dressed_array(brief, body, body, means)

    def found(excitation):
        driven = job.driven_array(brief, dressed, excitation)
        reply = job.answers_on(job.judged_everywhere(brief), body, driven, means).reply
        notes.told.clear()
        change = job._change_over_band(brief, dressed, reply, means)
        return change, sum(sentence.startswith("body ") for sentence in notes.told)

    def resistance_ohm(factor):
        there = bodies.place(brief.body, frequency_hz=body.frequency_hz * factor, voxel_m=body.grid.spacing_m)
        loop = closed_loops([dressed.layout.elements[0].vertices_m])
        residual = brief.computation.relative_residual
        reply = reply_to_sources(there, loop, relative_residual=residual, progress=notes, store=Forgetful())
        return reply.noise_resistance_ohm[0, 0].real

    low, middle, high = (resistance_ohm(1 + side * brief.computation.band_fraction) for side in (-1, 0, 1))
    expected = pytest.approx(max(abs(low / middle - 1), abs(high / middle - 1)), rel=1e-3)
    assert found(Excitation.LOOP_MODE) == (expected, 2)
    assert found(Excitation.FULL_CURRENT) == (expected, 3)
