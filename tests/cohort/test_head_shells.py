"""Head shells from newborn to adult, coarse: what a shell of the patient's own size gains over the adult one."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from loopwright.brief import read_cohort
from loopwright.cohort import Asked, cases_of
from loopwright.ground.means import Means
from loopwright.ground.progress import Forgetful, Silent
from loopwright.study import carry_out_case

STUDY = Path(__file__).parents[2] / "examples" / "cohort-head-shells.yaml"
#: Of 32 channels of the head's size over the adult's, cortex, "up to" [keil2011]: only their order is held to ours.
PUBLISHED = {"newborn": 3.6, "6 months": 3.0, "1 year": 2.6, "4 years": 2.3, "7 years": 1.7}


def study(*changes):
    text = STUDY.read_text("utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return read_cohort(text, STUDY.name)


@cache
def cases(asked):
    """Voxels of 8 mm and one source for each element: a sketch of the study in minutes."""
    wanted = study(("voxel: 5 mm", "voxel: 8 mm"), ("full current", "loop mode"))
    found = cases_of(wanted.request, wanted.planned, asked)
    return {(case.planned.patient.name, case.array_name): case for case in found}


@cache
def images(patient, array):
    result = carry_out_case(cases(Asked.IMAGES)[patient, array], Means(progress=Silent(), store=Forgetful()))
    assert result.figures is not None, result.reason
    return result.figures.images


def gain(patient):
    own, adult = (images(patient, array) for array in (f"shell, {patient}", "shell, adult"))
    return own.outer_snr_median / adult.outer_snr_median


def test_every_array_has_thirty_two_elements_and_every_case_can_be_written_out():
    found = study()
    assert not found.refused
    assert len(found.planned) == 6 * 7
    assert {case.brief.array.tiling.count for case in found.planned} == {32}


@pytest.mark.long
def test_gains_of_the_own_size_stand_in_the_published_order():
    gains = [gain(patient) for patient in PUBLISHED]
    assert np.all(np.diff(gains) < 0), gains
    assert gains[-1] > 1


@pytest.mark.long
def test_a_newborn_nine_times_accelerated_needs_a_newborn_shell():
    """Common practice: accelerated SNR several times that in the adult shell, and mean g far lower."""
    own, adult = (images("newborn", array).accelerations[0] for array in ("shell, newborn", "shell, adult"))
    assert own.outer_snr_median > 2 * adult.outer_snr_median
    assert own.g_mean < 0.8 * adult.g_mean


@pytest.mark.long
def test_a_head_goes_into_every_shell_from_its_own_size_up():
    names = [*PUBLISHED, "adult"]
    fits = cases(Asked.FIT)
    for number, patient in enumerate(names):
        for size in names[number:]:
            result = carry_out_case(fits[patient, f"shell, {size}"], Means(progress=Silent(), store=Forgetful()))
            assert result.figures is not None, result.reason
        if number:
            result = carry_out_case(fits[patient, "shell, newborn"], Means(progress=Silent(), store=Forgetful()))
            assert "does not go into the array" in result.reason
