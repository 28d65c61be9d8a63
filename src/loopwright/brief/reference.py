"""The reference page of the brief, written from the same declarations that the reader uses."""

from collections.abc import Iterator

from loopwright.brief.forms import Form, Piece
from loopwright.brief.keys import Absent, Key
from loopwright.brief.parts import Part, Parts
from loopwright.brief.reader import BRIEF
from loopwright.brief.topics.material import MaterialPart
from loopwright.ground.materials import Material, ShortEcho, conductor_materials, film_materials
from loopwright.ground.salts import ion_named, ion_names, salt_named, salt_names
from loopwright.ground.tables import tissue_names
from loopwright.ground.units import engineering_text

__all__ = ["reference_page"]

_TOP = """\
# The brief, key by key

<!-- Written by `python tests/brief/renew.py` from the declarations in src/loopwright/brief; a test compares. -->

A brief is one YAML file. `loopwright new DIR` writes one to start from.

- A quantity is a number and its unit: `80 mm`, `3 T`, `127.7 MHz`, `0.5 ohm`, `20 degC`. Any unit of the right kind
  will do (`8 cm`, `3.1 inch`); micro is `u` or `µ`. A quantity without unit is refused, and so is a decimal comma.
  Frequencies are in hertz, never in radians per second.
- Body frame: x to the patient's left, y to posterior, z to the head; the centre of the body is the origin, and of
  a head the middle of its circumference.
- Items of a list count from 1 in complaints: `array.elements[2]` is the second.
- Every default that was taken is printed in the dossier with the source named here.
- Anchors, aliases, tags and several documents in one file are not part of a brief. `#` starts a comment.
- A wrong brief gets every complaint at once: file and line, key, what was found, what is allowed, a remedy.
"""


def reference_page() -> str:
    """Return the reference of every key as Markdown: meaning, kind, allowed values, default and its source."""
    return "\n".join(
        [_TOP, *_form(BRIEF, path="", level=2, told=set()), *_conductors(), *_films(), *_tissues(), *_salts()]
    )


def _form(form: Form, *, path: str, level: int, told: set[int]) -> Iterator[str]:
    """One table for the keys of a form, then the forms of the keys that hold more keys, each of them once."""
    if form.notes:
        yield f"{form.notes}\n"
    yield "| key | what it is | kind | allowed | default | source of the default |"
    yield "|---|---|---|---|---|---|"
    for key in form.keys:
        yield f"| `{key.name}` | {key.meaning} | {key.kind} | {key.allowed} | {_default(key)} | {_source(key)} |"
    yield ""
    for key in form.keys:
        if isinstance(key, Part | Parts | MaterialPart) and id(key.of) not in told:
            told.add(id(key.of))
            yield from _nested(key, path=f"{path}.{key.name}" if path else key.name, level=level, told=told)
        if isinstance(key, MaterialPart) and id(key.liquid) not in told:
            told.add(id(key.liquid))
            yield f"{'#' * min(level, 6)} `{path}.{key.name}.liquid`\n"
            yield from _form(key.liquid, path=f"{path}.{key.name}.liquid", level=level + 1, told=told)


def _nested(piece: Part | Parts | MaterialPart, *, path: str, level: int, told: set[int]) -> Iterator[str]:
    of, mark = piece.of, "#" * min(level, 6)
    yield f"{mark} `{path}`{_EACH.get(type(piece), '')}\n"
    if isinstance(of, Form):
        yield from _form(of, path=path, level=level + 1, told=told)
        return
    otherwise = f" Left out: `{of.default.value}` ({of.default.source})." if of.default is not None else ""
    words = ", ".join(f"`{word}`" for word in of.forms)
    yield f"`{of.by}`: {of.meaning} One of {words}; each has its own keys.{otherwise}\n"
    for word, form in of.forms.items():
        yield f"{mark}# `{path}` with `{of.by}: {word}`\n"
        yield from _form(form, path=path, level=level + 2, told=told)


_EACH = {Parts: " (every item)", MaterialPart: " (as a mapping)"}


def _default(key: Key | Piece) -> str:
    if key.default is None:
        return "required" if key.absent is Absent.REFUSED else "may be left out"
    unless = f", unless `{key.unless}` is written" if isinstance(key, Key) and key.unless else ""
    return f"`{key.default.value}`{unless}"


def _source(key: Key | Piece) -> str:
    return str(key.default.source) if key.default is not None else ""


def _conductors() -> Iterator[str]:
    yield "## Conducting materials\n"
    yield "Near 20 degC. A value of your own in the brief takes the place of one here.\n"
    yield "| `material` or `ink` | kind | conductivity | source | density | source |"
    yield "|---|---|---|---|---|---|"
    for name, material in conductor_materials().items():
        cells = [cell for quantity in ("conductivity", "density") for cell in _cells(material, quantity)]
        yield f"| `{name}` | {material.family} | {' | '.join(cells)} |"
    yield ""


_OF_FILMS = ("permittivity", "loss tangent", "density", "breakdown field")


def _films() -> Iterator[str]:
    yield "## Films, foams and textiles\n"
    yield (
        "For `substrate`, `encapsulation` and `wall`, and for printed capacitors. Breakdown field: of a film 25 um "
        "thick. Short echo: whether a scan with an ultra-short echo time, tens "
        "of microseconds, shows the material. What nobody has told is not known; write what you measured.\n"
    )
    yield (
        "| `material` | permittivity | source | loss tangent | source | density | source | breakdown field | source "
        "| short echo | T2* | source |"
    )
    yield "|" + 12 * "---|"
    for name, material in film_materials().items():
        told = [cell for quantity in _OF_FILMS for cell in _cells(material, quantity)]
        decay = material.values.get("T2*")
        seen = "not known" if material.short_echo is ShortEcho.UNKNOWN else material.short_echo.value
        yield (
            f"| `{name}` | {' | '.join(told)} | {seen} | {engineering_text(decay.value, 's') if decay else ''} "
            f"| {material.short_echo_source or ''} |"
        )
    yield ""


def _cells(material: Material, quantity: str) -> tuple[str, str]:
    """Value and source of one property, as two cells."""
    value = material.values.get(quantity)
    if value is None:
        return "not known", ""
    return f"{value.value:g}" if value.unit == "1" else engineering_text(value.value, value.unit), str(value.source)


def _salts() -> Iterator[str]:
    yield "## Salts of liquids\n"
    yield "Names that `salt` may have, as the salts are weighed. Molar masses from standard atomic weights.\n"
    yield "| `salt` | formula | molar mass [g/mol] |"
    yield "|---|---|---|"
    for name in salt_names():
        salt = salt_named(name)
        yield f"| `{name}` | {salt.formula} | {1e3 * salt.molar_mass_kg_per_mol:.2f} |"
    yield ""
    yield "Their ions, by the conductivity of a mole of charges at infinite dilution, 25 degC.\n"
    yield "| ion | conductivity [S cm^2/mol] | how it is known |"
    yield "|---|---|---|"
    for name in ion_names():
        ion = ion_named(name)
        known = "read in the source named" if ion.flag == "READ" else "from memory, unverified"
        yield f"| {name} | {1e4 * ion.limiting_s_m2_per_mol:g} | {known}: {ion.note} |"
    yield ""


def _tissues() -> Iterator[str]:
    yield "## Tissues\n"
    yield (
        "Names that a `material` may have, in upper or lower case. Permittivity and conductivity follow from the "
        "four-term Cole-Cole dispersion of the table that comes with the package, for adult tissue, with the note of "
        "its source [gabriel1996].\n"
    )
    yield from (f"- `{name}`" for name in tissue_names())
    yield ""
