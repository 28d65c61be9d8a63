"""The body's reply as the job asks for it."""

import numpy as np
import pytest

from body_cases import gel
from loopwright.bodies import layered_sphere, voxelise
from loopwright.fields.body import body_reply
from loopwright.fields.body.currents import FIELDS_TOGETHER
from loopwright.ground.progress import Forgetful, Silent
from wire_cases import equal_area_polygon


class Kept:
    """A store in memory that counts what it gave back."""

    def __init__(self):
        self.pieces, self.found = {}, 0

    def load(self, key):
        self.found += key in self.pieces
        return self.pieces.get(key)

    def save(self, key, arrays):
        self.pieces[key] = dict(arrays)


def ball(tissues, thicknesses_m=()):
    names = tuple(tissue.name for tissue in tissues)
    solid = layered_sphere(0.05, tissue_names=names, thicknesses_m=thicknesses_m)
    return voxelise(solid, spacing_m=5e-3, tissues=tissues, frequency_hz=123.2e6)


def loops(count):
    return [equal_area_polygon(0.03, 12, centre_m=(0, 0, 0.06 + 0.002 * i)) for i in range(count)]


def reply(body, count, store):
    return body_reply(body, loops(count), relative_residual=1e-4, progress=Silent(), store=store)


def test_finished_batches_are_found_again():
    body, store = ball((gel(60, 0.6),)), Kept()
    first = reply(body, FIELDS_TOGETHER + 1, store)
    assert (len(store.pieces), store.found) == (2, 0)
    second = reply(body, FIELDS_TOGETHER + 1, store)
    assert store.found == 2
    assert np.array_equal(first.noise_resistance_ohm, second.noise_resistance_ohm)


def test_a_run_that_was_cut_off_goes_on_to_the_same_result():
    body, store = ball((gel(60, 0.6),)), Kept()
    reply(body, FIELDS_TOGETHER, store)
    resumed = reply(body, FIELDS_TOGETHER + 1, store)
    assert store.found == 1
    whole = reply(body, FIELDS_TOGETHER + 1, Forgetful())
    assert resumed.noise_resistance_ohm == pytest.approx(whole.noise_resistance_ohm, rel=1e-6)


def test_a_hollow_layer_carries_no_current():
    """A shell of permittivity 1 without loss is air: what is inside it is then a smaller sphere."""
    hollow = reply(ball((gel(1, 0, "hollow"), gel(60, 0.6)), (0.01,)), 1, Forgetful())
    solid = layered_sphere(0.04, tissue_names=("gel",), thicknesses_m=())
    bare = voxelise(solid, spacing_m=5e-3, tissues=(gel(60, 0.6),), frequency_hz=123.2e6)
    expected = body_reply(bare, loops(1), relative_residual=1e-4, progress=Silent(), store=Forgetful())
    # slivers of the inner sphere are not slivers of the body, so the two differ by their share
    assert hollow.noise_resistance_ohm[0, 0].real == pytest.approx(expected.noise_resistance_ohm[0, 0].real, rel=0.02)
