"""The whole brief: its topics in their order."""

from loopwright.brief.forms import Form
from loopwright.brief.keys import Absent, Words
from loopwright.brief.parts import Part
from loopwright.brief.records import Brief
from loopwright.brief.topics.array import array_form
from loopwright.brief.topics.body import BODY
from loopwright.brief.topics.capacitors import CAPACITORS
from loopwright.brief.topics.circuit import circuit_form
from loopwright.brief.topics.cohort import cohort_form
from loopwright.brief.topics.computation import computation_form
from loopwright.brief.topics.conductor import conductor_form
from loopwright.brief.topics.conductor_choice import conductor_choice_form
from loopwright.brief.topics.designs import designs_form
from loopwright.brief.topics.facts import NO_FACTS
from loopwright.brief.topics.family import family_form
from loopwright.brief.topics.heat import heat_form
from loopwright.brief.topics.imaging import imaging_form
from loopwright.brief.topics.interface import interface_form
from loopwright.brief.topics.limits import LIMITS
from loopwright.brief.topics.loading import LOADING
from loopwright.brief.topics.scanner import SCANNER
from loopwright.brief.topics.tolerances import tolerances_form
from loopwright.brief.topics.transmit import transmit_form

__all__ = ["BRIEF", "COHORT", "CONDUCTOR", "TITLE"]

TITLE = Words(name="title", sample="Trunk array for a child", meaning="One line that stands on top of the dossier.")

CONDUCTOR = conductor_form(NO_FACTS)
_ARRAY = array_form(NO_FACTS)
COHORT = cohort_form(array=_ARRAY, conductor=CONDUCTOR)

#: The whole brief, with the rules that need no other topic; read_brief gives each topic the facts of those before it.
BRIEF = Form(
    title="brief",
    keys=(
        TITLE,
        Part(name="scanner", of=SCANNER, meaning="The scanner that the array is built for."),
        Part(name="body", of=BODY, meaning="The patient or phantom."),
        Part(name="array", of=_ARRAY, meaning="The receive elements."),
        Part(name="conductor", of=CONDUCTOR, meaning="What the elements are made of."),
        Part(
            name="capacitors",
            of=CAPACITORS,
            absent=Absent.ALLOWED,
            meaning="What bridges the gaps. Left out: parts of the quality `conductor.capacitor_q`.",
        ),
        Part(
            name="circuit",
            of=circuit_form(NO_FACTS),
            absent=Absent.ALLOWED,
            meaning="What is wired to every element, from its gaps to the preamplifier. Left out: every element is "
            "resonant by equal capacitors and matched without loss.",
        ),
        Part(name="imaging", of=imaging_form(NO_FACTS), meaning="What the images shall be like."),
        Part(
            name="computation",
            of=computation_form(NO_FACTS),
            absent=Absent.ALLOWED,
            meaning="How finely it is computed. Left out: every key takes its default.",
        ),
        Part(
            name="conductor_choice",
            of=conductor_choice_form(NO_FACTS, conductor=CONDUCTOR),
            absent=Absent.ALLOWED,
            meaning="A rigid coil to be held against: what the conductor costs, and where the two break even.",
        ),
        Part(
            name="interface",
            of=interface_form(None),
            absent=Absent.ALLOWED,
            meaning="What the scanner offers at its plugs, and the array's bias lines. Left out: neither is checked.",
        ),
        Part(
            name="tolerances",
            of=tolerances_form(None),
            absent=Absent.ALLOWED,
            meaning="What strays from one built array to the next. Left out: none is drawn.",
        ),
        Part(
            name="family",
            of=family_form(None),
            absent=Absent.ALLOWED,
            meaning="Bodies and shapes that one fixed network has to serve. Left out: only the body of the brief.",
        ),
        Part(
            name="loading_equivalence",
            of=LOADING,
            absent=Absent.ALLOWED,
            meaning="Patients and phantoms that load one element, to be held against each other.",
        ),
        Part(
            name="transmit",
            of=transmit_form(NO_FACTS),
            absent=Absent.ALLOWED,
            meaning="The array while the scanner transmits, in every state and with every single fault. Left out: not "
            "looked at.",
        ),
        Part(
            name="heat",
            of=heat_form(),
            absent=Absent.ALLOWED,
            meaning="What lies about parts that get warm. Left out: no temperatures are told.",
        ),
        LIMITS,
        Part(
            name="designs",
            of=designs_form(NO_FACTS, conductor=CONDUCTOR),
            absent=Absent.ALLOWED,
            meaning="Other designs of the array, for `loopwright compare-designs`. `loopwright run` carries out the "
            "array as it is written above and leaves these aside.",
        ),
        Part(
            name="cohort",
            of=COHORT,
            absent=Absent.ALLOWED,
            meaning="Patients and arrays for `loopwright cohort`, which takes them in place of `body` and `array`. "
            "`loopwright run` leaves them aside.",
        ),
    ),
    build=Brief,
    strangers={"tiling": "write it below `array`", "elements": "write it below `array`", "material": "see `body`"},
)
