"""The tables of materials: every value has unit, source and flag; what is not known is absent."""

import pytest

from loopwright.brief.metals import DENSITIES, ELASTOMERS, INKS, LIQUID_METALS, METALS
from loopwright.formats.bibliography import load_bibliography
from loopwright.ground.constants import COPPER_CONDUCTIVITY_S_PER_M
from loopwright.ground.materials import ShortEcho, conductor_materials, film_materials
from loopwright.ground.sources import Flag

EVERY = (*conductor_materials().values(), *film_materials().values())
UNITS = {"conductivity": "S/m", "density": "kg/m^3", "permittivity": "1", "loss tangent": "1",
         "breakdown field": "V/m", "temperature coefficient": "1/K", "T2*": "s"}  # fmt: skip


@pytest.mark.parametrize("material", EVERY, ids=lambda material: material.name)
def test_every_value_has_its_unit_and_a_source(material):
    sources = [value.source for value in material.values.values()]
    if material.short_echo_source is not None:
        sources.append(material.short_echo_source)
    assert all(value.unit == UNITS[quantity] for quantity, value in material.values.items())
    assert all(value.value > 0 for quantity, value in material.values.items() if quantity != "temperature coefficient")
    assert all(source.where and source.flag in {Flag.READ, Flag.MEMORY, Flag.COMPUTED} for source in sources)
    assert {source.key for source in sources if source.key} <= set(load_bibliography())


@pytest.mark.parametrize("material", EVERY, ids=lambda material: material.name)
def test_what_is_said_of_an_image_has_a_source_and_what_is_not_has_none(material):
    assert (material.short_echo is ShortEcho.UNKNOWN) == (material.short_echo_source is None)
    assert "T2*" not in material.values or material.short_echo is ShortEcho.SEEN


def test_values_that_were_read_of_short_echoes():
    films = film_materials()
    decays = {name: film.values["T2*"].value for name, film in films.items() if "T2*" in film.values}
    assert decays == {"PVC": 792e-6, "polycarbonate": 36e-6}
    assert {name for name, film in films.items() if film.short_echo is ShortEcho.NO_HYDROGEN} == {"PTFE", "FEP"}
    assert films["PET"].short_echo is ShortEcho.UNKNOWN


def test_what_a_brief_may_name():
    assert list(METALS) == ["copper", "silver", "eutectic gallium-indium", "eutectic gallium-indium-tin"]
    assert list(LIQUID_METALS) == list(METALS)[2:]
    assert list(INKS) == ["silver flake ink", "silver nanoparticle ink"]
    assert list(ELASTOMERS) == ["silver flake elastomer"]
    assert METALS["copper"].value == COPPER_CONDUCTIVITY_S_PER_M
    assert not set(DENSITIES) & {*INKS, *ELASTOMERS}  # a filled paste weighs what its maker says


def test_plastics_are_plastics():
    for film in film_materials().values():
        values = {quantity: value.value for quantity, value in film.values.items()}
        assert 1 <= values.get("permittivity", 2) < 10
        assert values.get("loss tangent", 0.001) < 0.1
        assert 800 < values.get("density", 1000) < 2500
