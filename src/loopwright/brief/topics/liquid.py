"""Liquid: the salts of a phantom's filling, its temperature, what was measured of it."""

from collections.abc import Iterator
from typing import get_args

from loopwright.brief.defaults import LIQUID_BASE
from loopwright.brief.forms import NOTHING, Draft, Form, Trouble
from loopwright.brief.keys import Absent, Choice, Number, Words
from loopwright.brief.parts import Part, Parts
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import LiquidBase, LiquidMaterial, SaltShare
from loopwright.ground.salts import (
    MOST_IONIC_STRENGTH_MOL_PER_M3,
    dissolved,
    ionic_strength_mol_per_m3,
    salt_names,
)

__all__ = ["LIQUID", "LIQUID_ALONE"]

_SALT = Form(
    title="salt",
    keys=(
        Choice(
            name="salt",
            options=salt_names(),
            meaning="What is weighed; a hydrate is named with its water, for its mass is another.",
        ),
        Quantity(
            name="concentration",
            field="concentration_kg_per_m3",
            unit="kg/m^3",
            low="0.001 g/L",
            high="200 g/L",
            sample="3.6 g/L",
            meaning="Mass of it in a volume of the finished liquid.",
        ),
    ),
    build=SaltShare,
    strangers={"name": "write `salt`", "mass": "write `concentration`, such as `3.6 g/L`"},
)


def _predicted_or_measured(draft: Draft) -> Iterator[Trouble]:
    """Refuse what can neither be predicted nor was measured."""
    base = draft.get("base")
    if base is None or base == "water":
        return
    for key in ("measured_conductivity", "measured_permittivity"):
        if key not in draft.written:
            yield Trouble(
                key=key,
                found=NOTHING,
                allowed=f"a measured value: that of a liquid with {base} cannot be predicted from its recipe",
                remedy=f"measure a sample at the Larmor frequency and the temperature, and add `{key}`",
            )


def _dilute_enough(draft: Draft) -> Iterator[Trouble]:
    """Refuse to predict brine."""
    shares = draft.get("salts") or ()
    if "measured_conductivity" in draft.written and "measured_permittivity" in draft.written:
        return
    strength = ionic_strength_mol_per_m3([dissolved(one.salt, one.concentration_kg_per_m3) for one in shares])
    if strength > MOST_IONIC_STRENGTH_MOL_PER_M3:
        yield Trouble(
            key="salts",
            found=f"{strength / 1e3:.2g} mol/L of ionic strength",
            allowed=f"at most {MOST_IONIC_STRENGTH_MOL_PER_M3 / 1e3:g} mol/L, as far as conductivity is predicted",
            remedy="take less salt, or add `measured_conductivity` and `measured_permittivity`",
        )


def _each_once(draft: Draft) -> Iterator[Trouble]:
    names = [one.salt for one in draft.get("salts") or ()]
    for name in sorted({name for name in names if names.count(name) > 1}):
        yield Trouble(
            key="salts", found=f"{name} {names.count(name)} times", allowed="each salt once", remedy="add them up"
        )


LIQUID = Form(
    title="liquid",
    keys=(
        Words(name="name", longest=60, sample="saline with copper sulphate", meaning="Name to be printed."),
        Choice(
            name="base",
            options=get_args(LiquidBase),
            default=LIQUID_BASE,
            meaning="What the salts are dissolved in: plain water, or water thickened with sucrose, with a polymer or "
            "to a gel. Other than water both measured values are needed.",
        ),
        Parts(
            name="salts",
            of=_SALT,
            most=6,
            absent=Absent.ALLOWED,
            meaning="What is dissolved. Left out: nothing.",
        ),
        Quantity(
            name="temperature",
            field="temperature_k",
            unit="K",
            low="5 degC",
            high="45 degC",
            sample="21 degC",
            meaning="Temperature at which it is used: conductivity rises by some 2 % a kelvin.",
        ),
        Quantity(
            name="measured_conductivity",
            field="measured_conductivity_s_per_m",
            unit="S/m",
            low="0.001 S/m",
            high="10 S/m",
            sample="0.62 S/m",
            absent=Absent.ALLOWED,
            meaning="Measured at that temperature and the Larmor frequency; it takes the place of the prediction, "
            "which is printed beside it. A conductivity meter, at low frequency, reads less by the loss of the water.",
        ),
        Number(
            name="measured_permittivity",
            field="measured_eps_r",
            low=2,
            high=120,
            sample="76",
            absent=Absent.ALLOWED,
            meaning="Relative permittivity, measured likewise.",
        ),
    ),
    rules=(_predicted_or_measured, _dilute_enough, _each_once),
    build=LiquidMaterial,
    strangers={
        "conductivity": "write `measured_conductivity`",
        "permittivity": "write `measured_permittivity`",
        "sucrose": "write `base: sucrose` with both measured values",
    },
    notes="What is predicted of salts in water, and how far it may be off, is printed with the tissues of the dossier.",
)

#: The mapping that stands behind ``material`` where it is a liquid.
LIQUID_ALONE = Form(
    title="material",
    keys=(Part(name="liquid", of=LIQUID, meaning="What the phantom is filled with."),),
    build=lambda liquid: liquid,
    strangers=dict.fromkeys(
        ("name", "permittivity", "conductivity"), "write it below `liquid`, where its measured values have their keys"
    ),
)
