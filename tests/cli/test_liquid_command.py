"""`loopwright liquid` in a terminal and in a pipe."""

import re

import pytest

from loopwright.bodies.liquids import solution_at
from loopwright.cli import main
from loopwright.ground.salts import dissolved


@pytest.fixture
def call(capsys):
    """Call the command; exit code, standard output, standard error."""

    def called(*words):
        with pytest.raises(SystemExit) as caught:
            main(["liquid", *words])
        captured = capsys.readouterr()
        return caught.value.code or 0, captured.out, captured.err

    return called


def test_what_is_weighed_makes_the_liquid_that_was_wanted(call):
    code, out, err = call("--conductivity", "0.62 S/m", "--volume", "2 L", "--temperature", "21 degC",
                          "--frequency", "123.2 MHz", "--beside", "nickel chloride hexahydrate 0.5 g/L")  # fmt: skip
    assert (code, err) == (0, "")
    salt = re.search(r"^sodium chloride +NaCl +58\.44 +\S+ +(\S+) g", out, re.MULTILINE)
    nickel = re.search(r"^nickel chloride hexahydrate +NiCl2\.6H2O +237\.68 +0\.5 +1 g +0\.5452 g", out, re.MULTILINE)
    assert salt is not None
    assert nickel is not None
    salts = [dissolved("sodium chloride", float(salt[1]) / 2), dissolved("nickel chloride hexahydrate", 0.5)]
    made = solution_at(salts, temperature_k=294.15, frequency_hz=123.2e6)
    assert made.sigma_s_per_m == pytest.approx(0.62, rel=3e-4)  # grams are printed with four figures


def test_cautions_are_those_of_the_salts(call):
    _, plain, _ = call("--conductivity", "0.6 S/m")
    _, copper, _ = call("--conductivity", "0.6 S/m", "--beside", "copper sulphate 1 g/L")
    assert "Copper sulphate is harmful" in copper
    assert "Copper" not in plain
    for text in (plain, copper):
        assert "Label the bottle" in text
        assert "What must be measured" in text


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--conductivity", "0.6"), "no unit"),
        (("--conductivity", "0.6 S/m", "--volume", "2 kg"), "volume"),
        (("--conductivity", "0.6 S/m", "--volume", "0 L"), "above zero"),
        (("--conductivity", "0.6 S/m", "--temperature", "80 degC"), "45 degC"),
        (("--conductivity", "0.6 S/m", "--salt", "table salt"), "known are"),
        (("--conductivity", "0.6 S/m", "--salt", "copper sulfate"), "did you mean 'copper sulphate'"),
        (("--conductivity", "30 S/m"), "can be told"),
        (("--conductivity", "0.1 S/m", "--beside", "nickel chloride 3 g/L"), "which the liquid has without it"),
        (("--conductivity", "0.6 S/m", "--beside", "nickel chloride"), "has no concentration"),
        (("--conductivity", "0.6 S/m", "--beside", "nickel chloride 3 mL"), "density"),
        ((), "conductivity"),
    ],
)
def test_what_cannot_be_told_leaves_with_2_and_a_sentence(call, words, said):
    code, out, err = call(*words)
    assert (code, out) == (2, "")
    assert said in err
