"""The reader of briefs: text in, record out, or all complaints at once."""

from dataclasses import replace

from loopwright.brief.filling import complain_about_names, read, take, written
from loopwright.brief.forms import NOTHING, Draft, Form, Outcome, Variants
from loopwright.brief.geometry import GeometryFiles
from loopwright.brief.notebook import Notebook, Place
from loopwright.brief.records import ArrayRequest, Brief, CircuitRequest, OwnWiringRequest
from loopwright.brief.topics.array import array_facts, array_form
from loopwright.brief.topics.body import BODY
from loopwright.brief.topics.capacitors import CAPACITORS
from loopwright.brief.topics.carrier import carrier_form, film_stand_off_m
from loopwright.brief.topics.circuit import circuit_form
from loopwright.brief.topics.coaxial import NOT_OFFERED
from loopwright.brief.topics.computation import computation_form
from loopwright.brief.topics.conductor import conductor_form, conductor_height_m
from loopwright.brief.topics.conductor_choice import conductor_choice_form
from loopwright.brief.topics.designs import designs_form
from loopwright.brief.topics.facts import NO_FACTS, Facts, body_facts
from loopwright.brief.topics.family import family_form
from loopwright.brief.topics.heat import heat_form
from loopwright.brief.topics.imaging import imaging_form
from loopwright.brief.topics.interface import interface_form
from loopwright.brief.topics.limits import LIMITS
from loopwright.brief.topics.loading import LOADING
from loopwright.brief.topics.scanner import SCANNER
from loopwright.brief.topics.tolerances import tolerances_form
from loopwright.brief.topics.transmit import transmit_form
from loopwright.brief.tree import Mapping, Node, described, tree_of
from loopwright.brief.whole import BRIEF, COHORT, CONDUCTOR, TITLE
from loopwright.ground.errors import BriefError

__all__ = ["BRIEF", "brief_of", "read_brief", "stand_off_of_film_m"]


def read_brief(text: str, file_name: str, *, geometry: GeometryFiles | None = None) -> Brief:
    """Read a brief from its text.

    Parameters
    ----------
    text
        The YAML text. Nothing is opened here.
    file_name
        Name that complaints carry.
    geometry
        Brings the files of geometry that the brief names; without it a brief that names one is refused.

    Returns
    -------
    Brief
        The brief in SI units, with every default that was taken and its source.

    Raises
    ------
    BriefError
        With everything that is wrong, each with line, field, what was found, what is allowed and a remedy.
    """
    return brief_of(tree_of(text, file_name), file_name, geometry=geometry)


def brief_of(node: Node, file_name: str, *, former: Node | None = None, geometry: GeometryFiles | None = None) -> Brief:
    """Read a brief from its tree; as :func:`read_brief` otherwise.

    ``former`` is the body on which the array was formed, where that is not the brief's own.
    """
    notebook = Notebook(file_name, geometry=geometry)
    brief = _read(node, Place(notebook=notebook, path="", line=1), former)
    if brief is None or notebook.complaints:
        raise BriefError(tuple(sorted(notebook.complaints, key=lambda complaint: complaint.line)))
    return brief


def _read(node: Node, place: Place, former: Node | None) -> Brief | None:
    """Read the topics in order, handing the facts of each to those after it; None after complaints."""
    if not isinstance(node, Mapping):
        _refuse_whole(node, place)
        return None
    complain_about_names(BRIEF, node, place, tuple(key.name for key in BRIEF.keys))
    title = take(TITLE, written(node).get("title"), place)
    scanner, body = _topic("scanner", SCANNER, node, place), _topic("body", BODY, node, place)
    facts = _facts_before_array(node, body)
    ground = facts if former is None else _facts_of_former(former, facts)
    array = _topic("array", array_form(ground), node, place)
    facts = array_facts(ground, array.record).with_body_of(facts)
    conductor = _topic("conductor", conductor_form(facts), node, place)
    if conductor.draft.get("kind") == "coaxial line":
        _refuse_topics_of_loops(node, place)
    circuit = _where_written("circuit", circuit_form(facts), node, place)
    others = {
        "capacitors": _where_written("capacitors", CAPACITORS, node, place),
        "imaging": _topic("imaging", imaging_form(facts), node, place),
        "computation": _topic("computation", computation_form(facts), node, place),
        "conductor_choice": _where_written(
            "conductor_choice", conductor_choice_form(facts, conductor=CONDUCTOR), node, place
        ),
        "designs": _where_written("designs", designs_form(facts, conductor=CONDUCTOR), node, place),
        "cohort": _where_written("cohort", COHORT, node, place),
        "loading_equivalence": _where_written("loading_equivalence", LOADING, node, place),
        **_of_circuit_and_scanner(node, place, facts=facts, array=array.record, circuit=circuit.record),
    }
    limits = take(LIMITS, written(node).get("limits"), place)
    if place.notebook.complaints:
        return None
    return Brief(
        title=title,
        scanner=scanner.record,
        body=body.record,
        array=array.record,
        conductor=conductor.record,
        circuit=circuit.record,
        **{name: outcome.record for name, outcome in others.items()},
        limits=limits or (),
        defaults_used=tuple(place.notebook.defaults),
    )


def _of_circuit_and_scanner(
    node: Mapping, place: Place, *, facts: Facts, array: ArrayRequest | None, circuit: CircuitRequest | None
) -> dict[str, Outcome]:
    """Topics that look at the circuit, at the scanner's plugs, or at one another."""
    carrier = array.carrier if array is not None else None
    interface = _where_written("interface", interface_form(_element_names(array)), node, place)
    transmit = transmit_form(facts, carrier=carrier, circuit=circuit, interface=interface.record)
    heat = heat_form(interface=interface.record, part_names=_part_names(circuit))
    parts_studied = "its parts are studied"
    return {
        "interface": interface,
        "tolerances": _beside("circuit", parts_studied, "tolerances", tolerances_form(circuit), node, place),
        "family": _beside("circuit", parts_studied, "family", family_form(circuit), node, place),
        "transmit": _beside("circuit", parts_studied, "transmit", transmit, node, place),
        "heat": _beside("transmit", "it brings the power", "heat", heat, node, place),
    }


def _facts_before_array(node: Mapping, body: Outcome) -> Facts:
    """Facts of the body, and what the array has to know of the conductor."""
    return replace(
        body_facts(body.draft),
        conductor_height_m=_conductor_height_m(node),
        film_stand_off_m=stand_off_of_film_m(node),
    )


def _refuse_whole(node: Node, place: Place) -> None:
    whole = place.inside("(whole file)", 1)
    whole.complain(found=described(node), allowed="a mapping of keys", remedy="start from `loopwright new DIR`")


def _facts_of_former(former: Node, facts: Facts) -> Facts:
    """Facts of the body on which the array was formed; complaints about it are made where it stands."""
    aside = Place(notebook=Notebook(""), path="", line=1)
    return facts.with_body_of(body_facts(read(BODY, former, aside).draft))


def _conductor_height_m(node: Mapping) -> float | None:
    """What the array has to know of the conductor, which is read after it; its complaints are made there. [m]"""
    aside = Place(notebook=Notebook(""), path="", line=1)
    entry = written(node).get("conductor")
    return None if entry is None else conductor_height_m(read(CONDUCTOR, entry.value, aside).draft)


def stand_off_of_film_m(node: Mapping) -> float | None:
    """What the layers under a film come to; None without a film. [m]

    It reads ``array.carrier`` and ``conductor``, which are read, and complained of, within and after ``array``.
    """
    aside = Place(notebook=Notebook(""), path="", line=1)
    array, conductor = (written(node).get(topic) for topic in ("array", "conductor"))
    carrier = None if array is None else written(array.value).get("carrier")
    if carrier is None:
        return None
    told = Draft() if conductor is None else read(CONDUCTOR, conductor.value, aside).draft
    return film_stand_off_m(read(carrier_form(NO_FACTS), carrier.value, aside).draft, told, conductor_height_m(told))


def _topic(name: str, part: Form | Variants, node: Mapping, place: Place) -> Outcome:
    """Read one topic; one that is absent counts as written without keys where it may be left out."""
    entry = written(node).get(name)
    if entry is not None:
        return read(part, entry.value, place.inside(name, entry.line))
    here = place.inside(name, place.line)
    if name != "computation":
        here.complain(found=NOTHING, allowed="a mapping of keys", remedy=f"add `{name}:` with its keys below")
        return Outcome.of_nothing()
    return read(part, Mapping((), place.line), here)


def _where_written(name: str, part: Form | Variants, node: Mapping, place: Place) -> Outcome:
    """Read a topic that most briefs do without."""
    entry = written(node).get(name)
    return Outcome.of_nothing() if entry is None else read(part, entry.value, place.inside(name, entry.line))


def _refuse_topics_of_loops(node: Mapping, place: Place) -> None:
    """Complain about topics that elements of coaxial line do not have."""
    entries = written(node)
    for name, remedy in NOT_OFFERED.items():
        if name in entries:
            place.inside(name, entries[name].line).complain(
                found=f"`{name}` for elements of coaxial line", allowed="only for other conductors", remedy=remedy
            )


def _beside(other: str, why: str, name: str, part: Form, node: Mapping, place: Place) -> Outcome:
    """Read a topic that needs another one."""
    entry = written(node).get(name)
    if entry is not None and other not in written(node):
        place.inside(name, entry.line).complain(
            found=f"no `{other}`",
            allowed=f"beside `{other}` only: {why}",
            remedy=f"add `{other}:`",
        )
    return _where_written(name, part, node, place)


def _element_names(array: ArrayRequest | None) -> tuple[str, ...] | None:
    """Names of the elements where the brief gives them; those of a tiling follow from its layout."""
    return tuple(element.name for element in array.elements) or None if array is not None else None


def _part_names(circuit: CircuitRequest | None) -> tuple[str, ...] | None:
    """Names of the parts where the brief gives them; those of a ready wiring follow from it."""
    return tuple(part.name for part in circuit.parts) if isinstance(circuit, OwnWiringRequest) else None
