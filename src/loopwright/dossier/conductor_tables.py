"""The section on the conductor: figures of a metre, of every element, and of the stack."""

from loopwright.dossier.evidence import ConductorEvidence
from loopwright.dossier.findings import CHOSEN, Column, Finding, Section, Table
from loopwright.dossier.numbers import printed_in_steps

__all__ = ["conductor_section"]

_NOT_GIVEN = "that of the material was not given; the model's own error stands in the text"
_MEASURED = "taken as given, without the uncertainty of the measurement"
_STRAIGHT = "skin effect of a plane conductor"


def conductor_section(conductor: ConductorEvidence) -> Section:
    """Describe the conductor and where its models stop."""
    return Section(
        anchor="conductor",
        title="The conductor",
        prose=(*conductor.sentences, *conductor.limits),
        cautions=conductor.cautions,
        findings=(
            Finding(
                key="conductor.name",
                label="conductor",
                value=conductor.name,
                unit="",
                no_uncertainty_because=CHOSEN,
                how="as asked, or a default above",
                source="the brief",
            ),
            _of_a_metre(conductor),
            Finding(
                key="conductor.equivalent_radius_m",
                label="radius of the round wire with the same outer field",
                value=conductor.equivalent_radius_m,
                unit="m",
                no_uncertainty_because="exact for a round conductor; for thin strip a quarter of its width, within 1 %",
                how="geometric mean distance of the cross-section",
                source="computed here",
            ),
            *_known_beside(conductor),
        ),
        tables=(*_elements(conductor), *_stack(conductor), *_materials(conductor)),
    )


def _of_a_metre(conductor: ConductorEvidence) -> Finding:
    given = conductor.resistance_source == "the brief"
    return Finding(
        key="conductor.resistance_ohm_per_m",
        label="resistance of a metre",
        value=conductor.resistance_ohm_per_m,
        unit="ohm/m",
        no_uncertainty_because=_MEASURED if given else _NOT_GIVEN,
        how=conductor.method,
        source=conductor.resistance_source,
    )


def _known_beside(conductor: ConductorEvidence) -> tuple[Finding, ...]:
    """Figures that only some kinds of conductor have."""
    films = [line.mass_kg for line in conductor.parts[1:]]
    known = [mass for mass in films if mass is not None]
    rows = (
        ("direct_resistance_ohm_per_m", "resistance of a metre, direct current", conductor.direct_resistance_ohm_per_m,
         "ohm/m", "one over conductivity and area"),
        ("skin_depth_m", "skin depth", conductor.skin_depth_m, "m", _STRAIGHT),
        ("thickness_over_depth", "thickness or diameter over skin depth", conductor.depths, "1", _STRAIGHT),
        ("mass_kg", "mass of the conductor", conductor.mass_kg, "kg", "density times volume, gaps counted in"),
        ("stack_mass_kg", "mass of the films of known density", sum(known) if known else None, "kg",
         f"density times volume, {len(known)} of {len(films)} films"),
    )  # fmt: skip
    return tuple(
        Finding(
            key=f"conductor.{key}",
            label=label,
            value=value,
            unit=unit,
            no_uncertainty_because="that of material and making was not given",
            how=how,
            source="computed here",
        )
        for key, label, value, unit, how in rows
        if value is not None
    )


def _elements(conductor: ConductorEvidence) -> tuple[Table, ...]:
    if not conductor.lines:
        return ()
    return (
        Table(
            name="conductor_lengths",
            caption="Conductor of every element as a straight one with an even current, its gaps counted in; the "
            "resistance in the tuned array stands in the section on the network.",
            columns=(
                Column(title="element"),
                Column(title="length", unit="m", decimals=1),
                Column(title="resistance", unit="ohm"),
                Column(title="direct current", unit="ohm"),
            ),
            rows=tuple(
                (
                    line.element,
                    line.length_m,
                    line.resistance_ohm,
                    "not known" if line.direct_ohm is None else line.direct_ohm,
                )
                for line in conductor.lines
            ),
        ),
    )


def _stack(conductor: ConductorEvidence) -> tuple[Table, ...]:
    if not conductor.parts:
        return ()
    return (
        Table(
            name="short_echo",
            caption="What a scan with an ultra-short echo time sees of the stack.",
            columns=(
                Column(title="part"),
                Column(title="material"),
                Column(title="mass", unit="kg", digits=2),
                Column(title="in the image"),
                Column(title="T2*"),
                Column(title="source"),
            ),
            rows=tuple(
                (
                    line.part,
                    line.material,
                    "not known" if line.mass_kg is None else line.mass_kg,
                    line.short_echo,
                    "" if line.t2_star_s is None else printed_in_steps(line.t2_star_s, "s", digits=3),
                    line.source,
                )
                for line in conductor.parts
            ),
        ),
    )


def _materials(conductor: ConductorEvidence) -> tuple[Table, ...]:
    if not conductor.values:
        return ()
    return (
        Table(
            name="materials",
            caption="Materials of the stack; what nobody has told is not guessed.",
            columns=(Column(title="material"), Column(title="quantity"), Column(title="value"), Column(title="source")),
            rows=tuple((line.material, line.quantity, line.value, line.source) for line in conductor.values),
        ),
    )
