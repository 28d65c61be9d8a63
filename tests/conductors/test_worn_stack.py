"""How far a conductor is from the skin through the films and the padding under it."""

import pytest

from loopwright.brief.records import FilmRequest, FlatStripRequest, LiquidMetalTubeRequest
from loopwright.conductors import worn_stack
from loopwright.layouts import StackLayer

REST = {
    "capacitor_q": 1500.0,
    "other_series_resistance_ohm": 0.1,
    "body_temperature_k": 310.0,
    "coil_temperature_k": 293.0,
    "conductivity_s_per_m": 5.8e7,
}
FILMS = {
    "substrate": (FilmRequest(material="polyimide", thickness_m=50e-6), FilmRequest(material="PET", thickness_m=75e-6)),
    "encapsulation": (FilmRequest(material="silicone", thickness_m=0.5e-3),),
}
FOAM = StackLayer(name="foam", thickness_m=4e-3)


@pytest.mark.parametrize(("towards_skin", "films_m"), [("substrate", 125e-6), ("encapsulation", 500e-6)])
def test_films_on_the_worn_side_padding_and_half_a_strip(towards_skin, films_m):
    strip = FlatStripRequest(width_m=5e-3, thickness_m=36e-6, **REST, **FILMS)
    stack = worn_stack(strip, towards_skin=towards_skin, padding=[FOAM])
    assert stack.stand_off_m == pytest.approx(18e-6 + films_m + 4e-3, rel=1e-12)
    assert stack.layers[-1] is FOAM


def test_a_tube_counts_with_its_wall():
    tube = LiquidMetalTubeRequest(bore_m=1e-3, wall=FilmRequest(material="silicone", thickness_m=0.4e-3), **REST)
    assert worn_stack(tube, towards_skin="substrate").stand_off_m == pytest.approx(0.9e-3, rel=1e-12)
