"""Cohort: the patients, the arrays that are put on them, and the limits that the arrays have to keep."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, get_args

from loopwright.brief import defaults
from loopwright.brief.defaults import Default
from loopwright.brief.forms import Draft, Form, Rule, Trouble, Variants
from loopwright.brief.keys import Absent, Choice, Count, Words
from loopwright.brief.lists import QuantityList
from loopwright.brief.notebook import Place
from loopwright.brief.parts import Part, Parts
from loopwright.brief.patient_keys import Age
from loopwright.brief.quantities import Quantity, Share, Tolerance
from loopwright.brief.records import (
    CohortArray,
    CohortLimits,
    CohortPatient,
    CohortRequest,
    PatientAge,
    Rest,
    age_years_of,
)
from loopwright.brief.topics.body import BODY
from loopwright.brief.tree import Mapping, Node, described
from loopwright.ground.units import engineering_text

__all__ = ["MOST_ARRAYS", "cohort_form"]

#: Sets of sizes are told apart by going through all of them: 2^12 with these.
MOST_ARRAYS = 12
_MOST_PATIENTS = 200
_MOST_STAND_OFFS = 6
_MOST_CASES = 2000


@dataclass(frozen=True, slots=True, kw_only=True)
class _KeysOfAnother:
    """Keys of another topic that stand in for those written there; they are read where they stand in."""

    name: str
    of: str
    meaning: str
    field: str
    default: Default | None = None
    absent: Absent = Absent.ALLOWED

    @property
    def allowed(self) -> str:
        """A mapping."""
        return f"a mapping of keys of `{self.of}`"

    @property
    def kind(self) -> str:
        """Keys."""
        return "keys"

    def read_at(self, node: Node, place: Place) -> tuple[str, ...] | None:
        """Return the names of the keys."""
        if not isinstance(node, Mapping):
            place.complain(found=described(node), allowed=self.allowed, remedy="write its keys indented below it")
            return None
        return tuple(entry.key for entry in node.entries)


_NAME = Words(name="name", longest=40, sample="P1", meaning="Results go by it; everyone has their own.")


def _patient(age: PatientAge | None = None, **fields: Any) -> CohortPatient:
    return CohortPatient(age_years=None if age is None else age_years_of(age), **fields)


_PATIENT = Form(
    title="patient",
    keys=(
        _NAME,
        Part(name="body", of=BODY, meaning="The body, as `body` of a brief; a pose or a loading is a body of its own."),
        Age(name="age", absent=Absent.ALLOWED, meaning="For the axes of pictures."),
        Quantity(name="circumference", field="circumference_m", unit="m", low="20 mm", high="3 m", sample="480 mm",
                 absent=Absent.ALLOWED, meaning="For axes and size bands. Left out: that of the skin at z = 0."),
        Words(name="pose", longest=40, sample="supine", absent=Absent.ALLOWED, meaning="A word for the table."),
        Words(name="loading", longest=40, sample="low", absent=Absent.ALLOWED, meaning="A word for the table."),
        _KeysOfAnother(name="imaging", of="imaging", field="imaging_keys",
                       meaning="Keys that stand in for those of `imaging` for this patient: a field of view, a "
                       "region."),
        _KeysOfAnother(name="cover", of="array.tiling.cover", field="cover_keys",
                       meaning="Keys that stand in for those of the cover of a tiling that follows the skin, where it "
                       "has one: planes for a head of this size."),
    ),
    build=_patient,
    strangers={"shape": "write it below `body`", "voxel": "write it below `body`", "sex": "write it below `body`"},
)  # fmt: skip


def _former_gives(draft: Draft) -> Iterator[Trouble]:
    if "give" in draft.written and "former" not in draft.written:
        yield Trouble(
            key="give",
            found="padding that gives way in an array that follows the skin",
            allowed="beside `former` only",
            remedy="take it out, or add `former:`, the body on which the stiff array was formed",
        )
    if "former" in draft.written and "strap_tension" in draft.written:
        yield Trouble(
            key="strap_tension",
            found="a strap round a stiff array",
            allowed="without `former` only: a shell bears the pull itself",
            remedy="take one of the two out",
        )


def _array(array: Form, conductor: Variants) -> Form:
    return Form(
        title="array of a cohort",
        keys=(
            _NAME,
            Part(name="array", of=array, meaning="Its elements, as `array` of a brief."),
            Part(name="conductor", of=conductor, absent=Absent.ALLOWED,
                 meaning="What they are made of. Left out: `conductor` of the brief."),
            Part(name="former", of=BODY, absent=Absent.ALLOWED,
                 meaning="The body on which a stiff array was formed: it keeps that shape on every patient. Left out: "
                 "the array follows the skin of each patient at its stand-off."),
            Quantity(name="give", field="give_m", unit="m", low="0 mm", high="50 mm", default=defaults.GIVE,
                     sample="2 mm", meaning="By how much the padding of a stiff array can be pressed in."),
            Quantity(name="mass", field="mass_kg", unit="kg", low="1 g", high="50 kg", sample="400 g",
                     absent=Absent.ALLOWED,
                     meaning="Of all of the array, as weighed. Left out: conductor and films, which is the least that "
                     "it weighs."),
            Quantity(name="strap_tension", field="strap_tension_n_per_m", unit="N/m", low="0.1 N/m", high="10 kN/m",
                     sample="20 N/m", absent=Absent.ALLOWED,
                     meaning="Pull of a strap over its width, with which the array is drawn round the body."),
        ),
        rules=(_former_gives,),
        build=CohortArray,
        strangers={"tiling": "write it below `array`", "size": "write it below `array.tiling`"},
    )  # fmt: skip


def _spanned_beside_gap(draft: Draft) -> Iterator[Trouble]:
    if "spanned" in draft.written and "gap" not in draft.written:
        yield Trouble(
            key="spanned",
            found="no `gap`",
            allowed="beside `gap` only: one set of sizes keeps both",
            remedy="add `gap`, or take `spanned` out",
        )


_LIMITS = Form(
    title="limits",
    keys=(
        Quantity(name="gap", field="gap_m", unit="m", low="0.1 mm", high="200 mm", sample="8 mm", absent=Absent.ALLOWED,
                 meaning="95th percentile, along the conductors, of the gap beyond the stand-off: the smallest set of "
                 "sizes keeps it on every patient."),
        Share(name="spanned", field="spanned_share", absent=Absent.ALLOWED,
              meaning="Least part that an array spans of a tape round the patient at z = 0; beside `gap`, whose set of "
              "sizes then keeps both."),
        Tolerance(name="snr_loss", absent=Absent.ALLOWED,
              meaning="SNR in the outer layer that may be lost against the best array on the same patient: a second "
              "set of sizes keeps it."),
        Quantity(name="mass", field="mass_kg", unit="kg", low="1 g", high="50 kg", default=defaults.MOST_MASS,
                 sample="500 g", meaning="Mass of an array that lies on a patient."),
        Quantity(name="mass_per_area", field="mass_per_area_kg_per_m2", unit="kg/m^2", low="0.1 kg/m^2",
                 high="100 kg/m^2", default=defaults.MOST_MASS_PER_AREA, sample="15 kg/m^2",
                 meaning="Mass over the area that the elements cover; 10 kg/m^2 are 1 g/cm^2."),
        Count(name="flex_cycles", low=1, high=10_000_000, sample="10000", absent=Absent.ALLOWED,
              meaning="Bends that the array has to live through."),
    ),
    rules=(_spanned_beside_gap,),
    build=CohortLimits,
)  # fmt: skip


def _enough_of_each(draft: Draft) -> Iterator[Trouble]:
    for key in ("patients", "arrays"):
        if draft.get(key) == ():
            yield Trouble(key=key, found="a list of 0", allowed="one or more", remedy=f"add one of the {key}")
    number = len(draft.get("patients") or "1") * len(draft.get("arrays") or "1") * len(draft.get("stand_offs") or "1")
    if number > _MOST_CASES:
        yield Trouble(
            key="patients",
            found=f"{number} cases",
            allowed=f"at most {_MOST_CASES}",
            remedy="shorten the lists, or write two studies",
        )


def _stand_offs_once(draft: Draft) -> Iterator[Trouble]:
    values = draft.get("stand_offs") or ()
    if len(set(values)) < len(values):
        yield Trouble(
            key="stand_offs", found="the same entry twice", allowed="every entry once", remedy="keep one of them"
        )
    tiled = [array.array.tiling is not None for array in draft.get("arrays") or ()]
    if values and not all(tiled):
        yield Trouble(
            key="stand_offs",
            found=f"an array that is no `tiling`, number {1 + tiled.index(False)}",
            allowed="beside arrays with a `tiling` only, whose stand-off these take the place of",
            remedy="take `stand_offs` out, and write an array for each",
        )


def _front_is_open_behind(draft: Draft) -> Iterator[Trouble]:
    stiff = [array.array for array in draft.get("arrays") or () if array.former is not None]
    if draft.get("rest") == "front" and any(tiling.span != "patch" for array in stiff for tiling in array.tilings):
        yield Trouble(
            key="rest",
            found="a stiff array with `span: whole`",
            allowed="front beside stiff arrays with `span: patch` only: nobody is brought into a ring from behind",
            remedy="write `rest: back` or `rest: centre`",
        )


_RULES: tuple[Rule, ...] = (_enough_of_each, _stand_offs_once, _front_is_open_behind)


def cohort_form(*, array: Form, conductor: Variants) -> Form:
    """Form of a study over patients.

    Parameters
    ----------
    array, conductor
        Forms of an array on any body, and of one conductor.

    Returns
    -------
    Form
        Keys and rules of ``cohort``.
    """
    return Form(
        title="cohort",
        keys=(
            Parts(name="patients", of=_PATIENT, most=_MOST_PATIENTS, unique="name", meaning="Who wears the arrays."),
            Parts(name="arrays", of=_array(array, conductor), most=MOST_ARRAYS, unique="name",
                  meaning="What they wear, stiff or following the skin."),
            QuantityList(name="stand_offs", field="stand_offs_m", unit="m", low="0.5 mm", high="100 mm",
                         lengths=tuple(range(1, _MOST_STAND_OFFS + 1)), sample="[5 mm, 10 mm]", absent=Absent.ALLOWED,
                         meaning="In place of the stand-off of every tiling."),
            Quantity(name="outer_layer", field="outer_layer_m", unit="m", low="1 mm", high="200 mm",
                     default=defaults.OUTER_LAYER, sample="20 mm",
                     meaning="The part of the imaging region this close to its own edge counts as outer."),
            Quantity(name="centre_radius", field="centre_radius_m", unit="m", low="1 mm", high="200 mm",
                     default=defaults.CENTRE_RADIUS, sample="10 mm",
                     meaning="The part of the imaging region this close to its centroid counts as centre."),
            Choice(name="rest", options=get_args(Rest), default=defaults.REST,
                   meaning="Where patients lie in a stiff array: origin on origin, or moved to the back (+y) from "
                   "there until the array's padding stops them, or brought to the front (-y) from behind likewise: "
                   "a shell that is laid on the chest."),
            Part(name="limits", of=_LIMITS, default=defaults.NO_KEYS, meaning="What is to be kept."),
        ),
        rules=_RULES,
        build=CohortRequest,
        strangers={
            "bodies": "write `patients`, each with its `body`",
            "ages": "write `patients`, each with its `body`",
            "sizes": "write `arrays`, each with its `former`",
            "accelerations": "write them below `imaging`",
        },
        notes=_NOTES,
    )  # fmt: skip


_NOTES = (
    "Every array on every patient at every stand-off is a case, read as if patient and array stood in `body`, `array` "
    "and `conductor`. In a study `body` and `array` may be left out of the brief. See "
    f"[cohort.md](cohort.md). At most {_MOST_CASES} cases; {engineering_text(20e-3, 'm')} below the edge of the region "
    "is its outer layer unless said otherwise."
)
