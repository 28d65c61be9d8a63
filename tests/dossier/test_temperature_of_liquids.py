"""The temperature of a phantom's liquid against that of the noise."""

import pytest

from brief.base_brief import BASE, text_of
from loopwright.brief import read_brief
from loopwright.dossier.temperatures import temperature_cautions

SALINE = {
    "liquid": {
        "name": "saline",
        "salts": [{"salt": "sodium chloride", "concentration": "3.6 g/L"}],
        "temperature": "21 degC",
    }
}


def cautions_of(material, **conductor):
    body = {**BASE["body"], "material": material}
    text = text_of({**BASE, "body": body, "conductor": {**BASE["conductor"], **conductor}})
    return temperature_cautions(read_brief(text, "brief.yaml"))


def test_a_cool_liquid_with_the_noise_of_a_body_is_told_with_what_it_costs():
    (told,) = cautions_of(SALINE, body_temperature="37 degC")
    # (310.15 / 294.15)^1.5 = 1.083
    assert "saline is told at 21" in told
    assert "up to 8.3 % higher" in told


@pytest.mark.parametrize(("material", "temperature"), [(SALINE, "21 degC"), ("Muscle", "10 degC")])
def test_nothing_is_said_where_both_agree_or_no_liquid_has_a_temperature(material, temperature):
    assert cautions_of(material, body_temperature=temperature) == ()
