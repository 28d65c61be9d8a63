"""The stack: what is round the conductor, how heavy it is, and what an ultra-short-echo scan shows of it."""

from loopwright.brief.records import ConductorRequest
from loopwright.conductors import CrossSection, Film, conducting_material, film_mass_kg, stack_of
from loopwright.designs import conductor_mass_kg
from loopwright.dossier.evidence import MaterialValueLine, PartLine
from loopwright.ground.materials import Material, ShortEcho
from loopwright.ground.units import engineering_text

__all__ = ["part_lines", "seen_sentences", "value_lines"]

_NOT_IN_THE_FIELDS = (
    "Films are no part of the field model: what their permittivity adds to stray capacitance, and their loss tangent "
    "to the loss, is in no figure here. The capacitors are trimmed on the finished stack."
)
_NOBODY = "nobody has told: scan a sample"


def part_lines(request: ConductorRequest, section: CrossSection, *, conductor_length_m: float) -> tuple[PartLine, ...]:
    """Parts of the stack, the conductor first; empty where the brief names nothing round it.

    Parameters
    ----------
    request : ConductorRequest
        The conductor of the brief.
    section : CrossSection
        Its cross section.
    conductor_length_m : float
        Length of all centre-lines. [m]
    """
    films = stack_of(request)
    if not films:
        return ()
    mass_kg = conductor_mass_kg(request, section, length_m=conductor_length_m)
    return (
        _line("conductor", conducting_material(request), mass_kg),
        *(_line(film.part, film.material, film_mass_kg(film, conductor_length_m=conductor_length_m)) for film in films),
    )


def _line(part: str, material: Material, mass_kg: float | None) -> PartLine:
    decay = material.values.get("T2*")
    sources = (material.short_echo_source, None if decay is None else decay.source)
    return PartLine(
        part=part,
        material=material.name,
        mass_kg=mass_kg,
        short_echo=material.short_echo.value,
        t2_star_s=None if decay is None else decay.value,
        source="; ".join(dict.fromkeys(str(source) for source in sources if source is not None)) or _NOBODY,
    )


def seen_sentences(parts: tuple[PartLine, ...]) -> tuple[str, ...]:
    """What an ultra-short-echo scan sees and what nobody knows, and what films are not part of."""
    if not parts:
        return ()
    seen = ", ".join(f"{line.part} ({line.material})" for line in parts if line.short_echo == ShortEcho.SEEN.value)
    unknown = ", ".join(
        f"{line.part} ({line.material})" for line in parts if line.short_echo == ShortEcho.UNKNOWN.value
    )
    shows = (
        f"A scan with an ultra-short echo time sees {seen or 'nothing of the stack that is known to show'}."
        f"{f' Not known: {unknown}.' if unknown else ''} Adhesives, cable jackets, foam and housing that the brief "
        "does not name count as well."
    )
    return shows, _NOT_IN_THE_FIELDS


def value_lines(request: ConductorRequest) -> tuple[MaterialValueLine, ...]:
    """Every value of the materials of the stack and its source, each material once.

    Parameters
    ----------
    request : ConductorRequest
        The conductor of the brief.
    """
    films = stack_of(request)
    if not films:
        return ()
    lines = [line for film in films for line in _values(film)]
    return tuple(dict.fromkeys(lines))


def _values(film: Film) -> tuple[MaterialValueLine, ...]:
    found: list[MaterialValueLine] = []
    for quantity in ("permittivity", "loss tangent", "density"):
        value = film.material.values.get(quantity)
        found.append(
            MaterialValueLine(
                material=film.material.name,
                quantity=quantity,
                value="not known" if value is None else _text(value.value, value.unit),
                source="" if value is None else str(value.source),
            )
        )
    return tuple(found)


def _text(value: float, unit: str) -> str:
    return f"{value:g}" if unit == "1" else engineering_text(value, unit)
