"""A load that cannot carry the element ends a job before hours are spent on its array."""

import pytest

from brief.base_brief import BASE, brief_with
from loopwright import job
from loopwright.designs import check_loads
from loopwright.ground.device import Device
from loopwright.ground.errors import OutsideModelError
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent

WRIST = {"shape": "patient", "sex": "male", "age": "newborn", "part": "wrist", "margin": "0 mm", "voxel": "3 mm"}


def brief_of(diameter):
    ball = {"name": "ball", "body": BASE["body"]}
    loads = {"diameter": diameter, "stand_off": "5 mm", "patients": [{"name": "wrist", "body": WRIST}]}
    return brief_with(loading_equivalence={**loads, "phantoms": [ball]})


def test_a_part_too_short_for_the_element_is_named():
    brief = brief_of("80 mm")
    with pytest.raises(OutsideModelError, match=r"loading equivalence, wrist: .*cut"):
        check_loads(brief, brief.loading_equivalence)


def test_the_job_looks_before_it_solves(monkeypatch):
    def solved(*_):
        raise AssertionError("the array was laid out first")

    monkeypatch.setattr(job, "dressed_array", solved)
    means = Means(progress=Silent(), store=Forgetful(), device=Device.CPU)
    with pytest.raises(OutsideModelError, match="wrist"):
        job.carry_out(brief_of("80 mm"), means)
