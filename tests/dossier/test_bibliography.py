"""The small reader of references agrees with a full one."""

from importlib.resources import files

import bibtexparser
import pytest

from loopwright.dossier import parse_bibliography
from loopwright.formats.bibliography import load_bibliography, references_for

TEXT = files("loopwright.dossier").joinpath("references.bib").read_text("utf-8")


def test_it_finds_what_a_full_reader_finds():
    library = bibtexparser.parse_string(TEXT)
    assert not library.failed_blocks
    expected = {entry.key: {f.key.lower(): f.value for f in entry.fields} for entry in library.entries}
    found = {key: dict(reference.fields) for key, reference in load_bibliography().items()}
    assert found == expected


def test_keys_are_sorted_and_every_entry_says_how_far_it_was_checked():
    found = load_bibliography()
    assert list(found) == sorted(found)
    for key, reference in found.items():
        assert any(word in reference.field("note").lower() for word in ("read", "memory")), key


def test_the_same_key_twice_is_refused():
    entry = "@book{a2000,\n  title = {T},\n  year = {2000}\n}\n"
    with pytest.raises(ValueError, match="a2000"):
        parse_bibliography(entry + entry)


def test_a_reference_in_print():
    text = load_bibliography()["roemer1990"].text
    assert text == (
        "P. B. Roemer, W. A. Edelstein, C. E. Hayes, S. P. Souza, O. M. Mueller. The NMR phased array. "
        "Magnetic Resonance in Medicine 16, 192–225. 1990. (abstract read)"
    )


def test_references_are_those_of_the_methods_each_once():
    found = [r.key for r in references_for(("optimum combination", "thermal noise", "optimum combination"))]
    assert found == ["nyquist1928", "roemer1990", "twiss1955"]
