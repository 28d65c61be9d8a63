"""Phantoms held against patients: what each adds to the resistance of one element."""

from collections.abc import Iterator
from math import log10

import numpy as np

from loopwright.designs import Load, LoadingEquivalence
from loopwright.dossier.findings import Answer, Column, Finding, Section, Table, asked_for, computed
from loopwright.dossier.numbers import printed, printed_as_given, printed_with_uncertainty

__all__ = ["loading_section"]

_HOW = "one uniform current in a round loop on each body in turn, on two grids"
_LIMITS = (
    (
        "Loading is one number of many: a phantom that loads the element like a patient has neither the patient's "
        "field pattern nor its noise correlation, and one that matches this element at this frequency need not match "
        "another. Neighbours, cables and the preamplifier are left out. The loop alone is told by the formula of a "
        "thin circle."
    ),
    "Stylised figures are no patients: how they load is as good as their shape and their tissues.",
    (
        "Conductivities in the last table come from a curve through five solutions on the coarser grid, scaled to the "
        "finer one at the filling as it is; permittivity stays as it is."
    ),
)
_CAUTION = "A phantom that loads like a patient says nothing about heating: it is not made for safety measurements."


def loading_section(found: LoadingEquivalence) -> Section:
    """Tell which phantom stands for which patient.

    Parameters
    ----------
    found : LoadingEquivalence
        Resistances that patients and phantoms add to one element.
    """
    return Section(
        anchor="loading",
        title="Phantoms and the patients they stand for",
        prose=(_what(found), *_fillings(found), *_LIMITS),
        cautions=(_CAUTION,),
        answers=tuple(_answers(found)),
        findings=tuple(_findings(found)),
        tables=(_loads(found), _ratios(found), _conductivities(found)),
        pictures=("loading",),
    )


def _what(found: LoadingEquivalence) -> str:
    loop = found.loop
    return (
        f"A round element of {printed_as_given(found.diameter_m, 'm')} diameter, "
        f"{printed_as_given(found.stand_off_m, 'm')} from the skin, at {found.frequency_hz / 1e6:.2f} MHz. By itself "
        f"it has {printed(loop.resistance_ohm, 'ohm', digits=2)} of its own: conductor "
        f"{printed(loop.conductor_ohm, 'ohm', digits=2)}, capacitors {printed(loop.capacitor_ohm, 'ohm', digits=2)}, "
        f"other parts {printed(loop.other_ohm, 'ohm', digits=2)}; its quality without a body is "
        f"{loop.q_loaded(0.0):.0f}."
    )


def _fillings(found: LoadingEquivalence) -> Iterator[str]:
    for load in (*found.patients, *found.phantoms):
        if load.filling:
            yield f"{load.name} is filled with {load.filling}."


def _answers(found: LoadingEquivalence) -> Iterator[Answer]:
    for number, patient in enumerate(found.patients):
        nearest = int(np.argmin(np.abs(np.log(found.ratio[:, number]))))
        phantom = found.phantoms[nearest]
        yield Answer(
            question=f"Which phantom loads the element like {patient.name}?",
            answer=f"{phantom.name}, nearest of {len(found.phantoms)}: {_with(phantom)} against {_with(patient)}"
            f"{_apart(phantom, patient)}{_at_equal(phantom, float(found.equal_s_per_m[nearest, number]))}.",
            section="loading",
        )


def _at_equal(phantom: Load, sigma_s_per_m: float) -> str:
    """At which conductivity the phantom would load like the patient, where one was found."""
    if np.isnan(sigma_s_per_m):
        return ""
    return f"; filled with {printed(sigma_s_per_m, 'S/m', digits=2)}, {phantom.name} would load the element alike"


def _with(load: Load) -> str:
    return printed_with_uncertainty(load.fine_ohm, load.uncertainty_ohm, "ohm")


def _apart(phantom: Load, patient: Load) -> str:
    """How far two loads are apart, or that the grids cannot tell them apart."""
    together = float(np.hypot(phantom.uncertainty_ohm, patient.uncertainty_ohm))
    if abs(phantom.fine_ohm - patient.fine_ohm) <= together:
        return ", the same within what the grids tell"
    change = 100 * (phantom.fine_ohm / patient.fine_ohm - 1)
    return f", {abs(change):.2g} % {'more' if change > 0 else 'less'}"


def _findings(found: LoadingEquivalence) -> Iterator[Finding]:
    for role, loads in (("patients", found.patients), ("phantoms", found.phantoms)):
        yield Finding(
            key=f"loading.{role}_ohm",
            label=f"resistance that the {role} add to the element",
            value=tuple(load.fine_ohm for load in loads),
            unit="ohm",
            how=_HOW,
            source="computed here",
            uncertainty=tuple(load.uncertainty_ohm for load in loads),
        )
        yield asked_for(f"loading.{role}", role, tuple(load.name for load in loads), "", how="names in the brief")
    yield computed(
        "loading.own_ohm",
        "resistance of the element by itself",
        found.loop.resistance_ohm,
        "ohm",
        how="thin circle of the brief's conductor",
        because="the formula of a thin circle",
    )
    yield computed(
        "loading.equal_conductivity_s_per_m",
        "conductivity of a phantom's filling at which it loads like a patient, per phantom and patient",
        tuple(tuple(row) for row in found.equal_s_per_m.tolist()),
        "S/m",
        how="curve through five conductivities on the coarser grid",
        because="one grid, scaled to the finer one",
    )


def _loads(found: LoadingEquivalence) -> Table:
    own = found.loop.resistance_ohm
    return Table(
        name="loads",
        caption="What each body adds to the element. Quality ratio: unloaded over loaded. Noise figure: of the element "
        "at the temperature of the body.",
        columns=(
            Column(title="name"),
            Column(title="stands for"),
            Column(title="body"),
            Column(title="resistance added", unit="ohm"),
            Column(title="change between grids", unit="ohm", digits=1),
            Column(title="loaded quality"),
            Column(title="quality ratio", digits=2),
            Column(title="noise figure", unit="dB", digits=2),
        ),
        rows=tuple(
            (
                load.name,
                role,
                load.body_name,
                load.fine_ohm,
                load.uncertainty_ohm,
                found.loop.q_loaded(load.fine_ohm),
                1 + load.fine_ohm / own,
                10 * log10(1 + own / load.fine_ohm),
            )
            for role, loads in (("patient", found.patients), ("phantom", found.phantoms))
            for load in loads
        ),
    )


def _ratios(found: LoadingEquivalence) -> Table:
    return Table(
        name="loading_ratios",
        caption="Resistance with a phantom over that with a patient: 1 where they load alike.",
        columns=(Column(title="phantom"), *(Column(title=patient.name) for patient in found.patients)),
        rows=tuple((phantom.name, *row.tolist()) for phantom, row in zip(found.phantoms, found.ratio, strict=True)),
    )


def _conductivities(found: LoadingEquivalence) -> Table:
    filled = found.filled_s_per_m.tolist()
    return Table(
        name="loading_conductivities",
        caption="Conductivity of a phantom's filling at which it would load the element like a patient. What to weigh "
        "for it: `loopwright liquid`.",
        columns=(
            Column(title="phantom"),
            Column(title="as it is", unit="S/m"),
            *(Column(title=patient.name, unit="S/m", digits=2) for patient in found.patients),
        ),
        rows=tuple(
            (phantom.name, _or_words(own, "a tissue"), *(_or_words(value, _beyond(own)) for value in row.tolist()))
            for phantom, own, row in zip(found.phantoms, filled, found.equal_s_per_m, strict=True)
        ),
    )


def _beyond(own_s_per_m: float) -> str:
    return "not sought" if np.isnan(own_s_per_m) else "none tried"


def _or_words(value: float, words: str) -> float | str:
    return words if np.isnan(value) else value
