"""Arrays as they are built: how many keep their limits, and which cause to work on first."""

from collections.abc import Iterator

import numpy as np

from loopwright.circuits import BuiltSpread
from loopwright.dossier.findings import Answer, Column, Finding, FindingValue, Section, Table
from loopwright.dossier.numbers import printed

__all__ = ["built_section"]

_HOW = "arrays drawn at random, each solved as a whole at three frequencies; misplaced elements to first order"
_SEED = "it changes with the seed, by the standard error of so many draws"


def built_section(built: BuiltSpread, element_names: tuple[str, ...]) -> Section:
    """Tell the yield, the ranked causes, and how far the rates of misplaced elements carry.

    Parameters
    ----------
    built : BuiltSpread
        Outcome of the draws.
    element_names : tuple of str
        Names of the elements.
    """
    return Section(
        anchor="built",
        title="Spread of what is built",
        prose=(_what(built), _causes_in_words(built), *_placement(built), *built.notes),
        answers=(_answer(built, element_names),),
        findings=tuple(_findings(built)),
        tables=(_elements_table(built, element_names), _causes_table(built)),
        pictures=("causes",),
    )


def _what(built: BuiltSpread) -> str:
    limits, outer = built.limits, built.study.frequencies_hz
    asked = [f"a noise loss of at most {printed(limits.noise_loss_db, 'dB')}"]
    if np.isfinite(limits.reflection_db):
        asked.append(f"a reflection of at most {printed(limits.reflection_db, 'dB')}")
    if np.isfinite(limits.shift_hz):
        asked.append(f"the best match within {printed(limits.shift_hz, 'Hz')} of the frequency of the run")
    return (
        f"{len(built.study.passed)} arrays were drawn and solved with all their couplings, at the frequency of the run "
        f"and {printed(float(outer[2] - outer[1]), 'Hz')} to either side. Every element has to keep "
        f"{' and '.join(asked)}. The same seed, {built.request.seed}, gives the same figures."
    )


def _causes_in_words(built: BuiltSpread) -> str:
    rest = built.study.unexplained
    return (
        "A cause's share is the part of the variance that a linear and a square term of its own deviations explain, "
        f"mean over the elements. Causes together, and what bends more sharply, hold {_percent(rest.noise_loss)} of "
        f"the variance of the noise loss, {_percent(rest.reflection)} of that of the reflection and "
        f"{_percent(rest.shift)} of that of the place of the best match. Shares are known to about 1 %: small ones may "
        "come out below nothing."
    )


def _placement(built: BuiltSpread) -> Iterator[str]:
    check = built.placement
    if check is None:
        yield "No element is misplaced here; one by itself, moved as a whole, would stay what it is."
        return
    apart = float(np.abs(check.told_db - check.solved_db).max())
    yield (
        f"Misplaced elements enter by rates of the impedance between the open gaps. {len(check.error)} arrays that are "
        f"misplaced at random were solved again: the rates miss up to {_percent(float(check.error.max()))} of the "
        f"largest change of impedance, and up to {apart:.2g} dB of an element's noise loss, which there is up to "
        f"{float(check.solved_db.max()):.2g} dB. First order fails first where conductors cross within a few times the "
        "shift."
    )


def _answer(built: BuiltSpread, element_names: tuple[str, ...]) -> Answer:
    study = built.study
    worst = int(np.argmin(study.element_yield))
    first = study.causes[0]
    return Answer(
        question="How many of the arrays that are built will do, and what spoils the rest?",
        answer=f"{_percent(study.array_yield)} ± {100 * study.array_yield_error:.2g} % of the arrays keep all limits "
        f"in every element, untrimmed; {element_names[worst]} fails most often, in "
        f"{_percent(1 - float(study.element_yield[worst]))} of them. First to work on: {first.name}, "
        f"{_percent(first.noise_loss)} of the variance of the noise loss.",
        section="built",
    )


def _percent(share: float) -> str:
    return f"{100 * share:.1f} %"


def _findings(built: BuiltSpread) -> Iterator[Finding]:
    study = built.study
    yield Finding(key="built.array_yield", label="arrays that keep all limits in every element",
                  value=study.array_yield, unit="1", uncertainty=study.array_yield_error, how=_HOW,
                  source="computed here")  # fmt: skip
    figures: tuple[tuple[str, str, FindingValue, str], ...] = (
        ("element_yield", "arrays in which each element keeps its limits", _floats(study.element_yield), "1"),
        ("noise_loss_mean_db", "noise loss of each element, mean", _floats(study.noise_loss_db.mean(axis=0)), "dB"),
        ("noise_loss_95_db", "the same, 95th percentile", _floats(np.percentile(study.noise_loss_db, 95, axis=0)),
         "dB"),
        ("reflection_95_db", "reflection of each element, 95th percentile",
         _floats(np.percentile(study.reflection_db, 95, axis=0)), "dB"),
        ("shift_deviation_hz", "standard deviation of the place of the best match",
         _floats(study.shift_hz.std(axis=0)), "Hz"),
        ("causes", "what strays, by what it does to the noise loss", tuple(cause.name for cause in study.causes), ""),
        ("cause_shares", "part of the variance of the noise loss that each explains",
         tuple(cause.noise_loss for cause in study.causes), "1"),
    )  # fmt: skip
    for key, label, value, unit in figures:
        yield Finding(key=f"built.{key}", label=label, value=value, unit=unit, no_uncertainty_because=_SEED, how=_HOW,
                      source="computed here")  # fmt: skip
    if built.placement is not None:
        yield Finding(
            key="built.placement_error",
            label="what the rates of misplaced elements miss, of the largest change of impedance",
            value=float(built.placement.error.max()),
            unit="1",
            how="misplaced arrays solved again",
            no_uncertainty_because="the largest of a few",
            source="computed here",
        )


def _floats(values: np.ndarray) -> tuple[float, ...]:
    return tuple(float(value) for value in values)


def _elements_table(built: BuiltSpread, element_names: tuple[str, ...]) -> Table:
    study = built.study
    errors = np.sqrt(study.element_yield * (1 - study.element_yield) / len(study.passed))
    columns = (
        study.element_yield * 100,
        errors * 100,
        np.median(study.noise_loss_db, axis=0),
        np.percentile(study.noise_loss_db, 95, axis=0),
        np.percentile(study.reflection_db, 95, axis=0),
        study.shift_hz.std(axis=0),
    )
    return Table(
        name="built_elements",
        caption="What each element does over all draws. Yield with its standard error.",
        columns=(Column(title="element"), Column(title="yield [%]", decimals=1), Column(title="± [%]", decimals=1),
                 Column(title="noise loss, median", unit="dB", decimals=3),
                 Column(title="95th percentile", unit="dB", decimals=3),
                 Column(title="reflection, 95th percentile", unit="dB", decimals=1),
                 Column(title="best match, deviation", unit="Hz")),
        rows=tuple((name, *row) for name, row in zip(element_names, np.stack(columns, axis=1).tolist(), strict=True)),
    )  # fmt: skip


def _causes_table(built: BuiltSpread) -> Table:
    lines = (*built.study.causes, built.study.unexplained)
    return Table(
        name="built_causes",
        caption="Part of the variance that each cause explains by itself, mean over the elements.",
        columns=(Column(title="cause"), Column(title="noise loss [%]", decimals=1),
                 Column(title="reflection [%]", decimals=1), Column(title="place of the best match [%]", decimals=1)),
        rows=tuple((one.name, 100 * one.noise_loss, 100 * one.reflection, 100 * one.shift) for one in lines),
    )  # fmt: skip
