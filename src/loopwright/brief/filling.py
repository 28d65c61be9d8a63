"""How a form is filled from what stands in the brief.

Nothing stops at the first slip. Whatever was read well goes into a draft, the rules look at the draft, and every
complaint lands in the notebook with its line.
"""

from collections.abc import Mapping
from functools import cache
from typing import Any

from loopwright.brief.forms import NOTHING, Draft, Form, Outcome, Piece, Variants
from loopwright.brief.keys import Absent, Key, Unfit, did_you_mean
from loopwright.brief.notebook import Place
from loopwright.brief.tree import Entry, Node, Scalar, described, tree_of
from loopwright.brief.tree import Mapping as MappingNode

__all__ = ["complain_about_names", "read", "take", "written"]


def read(part: Form | Variants, node: Node, place: Place) -> Outcome:
    """Read one mapping as this form, or as the variant that it names.

    Parameters
    ----------
    part
        What may stand there.
    node
        What stands there.
    place
        Where it stands, and the notebook for complaints and defaults.

    Returns
    -------
    Outcome
        The record, or None after complaints, and the draft.
    """
    if node == Scalar("", node.line):
        node = MappingNode((), node.line)  # a key with nothing behind it: all of its own keys are left out
    if not isinstance(node, MappingNode):
        place.complain(
            found=described(node), allowed="a mapping of keys", remedy="write its keys indented below it, one a line"
        )
        return Outcome.of_nothing()
    if isinstance(part, Form):
        return _read_form(part, node, place)
    word = take(part.choice, written(node).get(part.by), place)
    if word is None:
        return Outcome.of_nothing()
    outcome = _read_form(part.forms[word], node, place, told_apart_by=part.by)
    draft = Draft(values={**outcome.draft.values, part.by: word}, written=outcome.draft.written | {part.by})
    return Outcome(record=outcome.record, draft=draft)


def _read_form(form: Form, node: MappingNode, place: Place, *, told_apart_by: str = "") -> Outcome:
    """Read the keys of one form, apply its rules and build its record when nothing was wrong."""
    before = len(place.notebook.complaints)
    names = tuple(key.name for key in form.keys) + ((told_apart_by,) if told_apart_by else ())
    complain_about_names(form, node, place, names)
    entries = written(node)
    taken = {key.name: take(key, entries.get(key.name), place) for key in form.keys if not _replaced(key, entries)}
    values = {name: value for name, value in taken.items() if value is not None}
    draft = Draft(values=values, written=frozenset(entries))
    for rule in form.rules:
        for trouble in rule(draft):
            line = entries[trouble.key].line if trouble.key in entries else place.line
            place.inside(trouble.key, line).complain(
                found=trouble.found, allowed=trouble.allowed, remedy=trouble.remedy
            )
    if len(place.notebook.complaints) > before:
        return Outcome(record=None, draft=draft)
    fields = {key.field or key.name: values[key.name] for key in form.keys if key.name in values}
    return Outcome(record=form.build(**fields), draft=draft)


def take(key: Key | Piece, entry: Entry | None, place: Place) -> Any:
    """Read one key, or its default; None when it is absent or wrong."""
    if entry is not None:
        return _value(key, entry.value, place.inside(key.name, entry.line))
    here = place.inside(key.name, place.line)
    if key.default is not None:
        here.note_default(key.default)
        return _value(key, _default_node(key.default.value), here)
    if key.absent is Absent.REFUSED:
        here.complain(found=NOTHING, allowed=key.allowed, remedy=_added(key))
    return None


def _replaced(key: Key | Piece, written: Mapping[str, Entry]) -> bool:
    """Tell whether another key that is written stands in for this one, which is not."""
    return isinstance(key, Key) and key.unless in written and key.name not in written


def _added(key: Key | Piece) -> str:
    example = getattr(key, "example", "")
    if example:
        return f"add `{key.name}`, for example `{key.name}: {example}`"
    return f"add `{key.name}:` with its keys below"


def _value(key: Key | Piece, node: Node, place: Place) -> Any:
    if not isinstance(key, Key):
        return key.read_at(node, place)
    try:
        return key.value_of(node)
    except Unfit as unfit:
        place.complain(found=unfit.found, allowed=unfit.allowed, remedy=unfit.remedy)
        return None


def complain_about_names(form: Form, node: MappingNode, place: Place, names: tuple[str, ...]) -> None:
    """Complain about keys that this form does not have, and about keys that stand there twice."""
    seen: dict[str, int] = {}
    for entry in node.entries:
        if entry.key in seen:
            place.inside(_shown(entry.key), entry.line).complain(
                found="the same key again", allowed=f"once (it stands in line {seen[entry.key]})", remedy="keep one"
            )
        elif entry.key not in names:
            place.inside(_shown(entry.key), entry.line).complain(
                found="an unknown key", allowed=", ".join(names), remedy=_remedy_for_stranger(form, entry.key, names)
            )
        seen.setdefault(entry.key, entry.line)


def _shown(name: str) -> str:
    """Name of a key as it may stand in a complaint, however odd it is."""
    return name if name.isprintable() and 0 < len(name) <= 40 else described(Scalar(name, 0))


def _remedy_for_stranger(form: Form, name: str, names: tuple[str, ...]) -> str:
    if name in form.strangers:
        return form.strangers[name]
    if name[:1].isdigit():  # what a decimal comma leaves inside braces: {width: 0,8 cm}
        return "write a decimal point where you meant one: inside { } a comma ends the entry before it"
    return did_you_mean(name, names, otherwise="take it out, or choose one of those above")


def written(node: Node) -> dict[str, Entry]:
    """Entries of a mapping by key; the first counts. Anything else has none."""
    return {entry.key: entry for entry in reversed(node.entries)} if isinstance(node, MappingNode) else {}


@cache
def _default_node(text: str) -> Node:
    """Parse a default as if it stood in the brief."""
    return tree_of(text, "defaults") if text else Scalar("", 1)
