"""Capacitors: bought parts, or plates printed on both faces of a film."""

from collections.abc import Iterator

from loopwright.brief import defaults
from loopwright.brief.defaults import Default
from loopwright.brief.films import FILMS
from loopwright.brief.forms import Draft, Form, Trouble, Variants
from loopwright.brief.keys import Absent, Choice, Count, Key, Number
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import LumpedCapacitorRequest, PrintedCapacitorRequest
from loopwright.ground.units import engineering_text

__all__ = ["CAPACITORS"]

_SERIES = ("E6", "E12", "E24", "E48", "E96")


def _one_loss(draft: Draft) -> Iterator[Trouble]:
    """Loss is told in one way."""
    both = {"q", "esr"} & draft.written
    if len(both) != 1:
        yield Trouble(
            key="esr" if both else "q",
            found="both `q` and `esr`" if both else "neither `q` nor `esr`",
            allowed="one of the two",
            remedy="take out the one that you know less well" if both else "add `q: 1500`, or `esr: 0.05 ohm`",
        )
    if "esr_frequency" in draft.written and "esr" not in draft.written:
        yield Trouble(
            key="esr_frequency",
            found="a frequency without `esr`",
            allowed="only beside `esr`",
            remedy="write `esr`, or take it out: a `q` holds at the Larmor frequency",
        )


def _least_below_most(draft: Draft) -> Iterator[Trouble]:
    least_m, most_m, tab_m = (draft.get(k) for k in ("plate_width_least", "plate_width_most", "smallest_tab"))
    if least_m is not None and most_m is not None and least_m > most_m:
        yield Trouble(
            key="plate_width_least",
            found=f"{engineering_text(least_m, 'm')} with a `plate_width_most` of {engineering_text(most_m, 'm')}",
            allowed="at most `plate_width_most`",
            remedy="exchange the two",
        )
    if tab_m is not None and most_m is not None and tab_m > most_m:
        yield Trouble(
            key="smallest_tab",
            found=f"{engineering_text(tab_m, 'm')} with a `plate_width_most` of {engineering_text(most_m, 'm')}",
            allowed="at most `plate_width_most`",
            remedy="write the smallest side that the process prints, such as 0.5 mm",
        )


def _step_above_error(draft: Draft) -> Iterator[Trouble]:
    step, error = draft.get("finest_step"), draft.get("measurement_error")
    if step is not None and error is not None and 2 * error >= step:
        yield Trouble(
            key="measurement_error",
            found=f"{error:g} with a finest step of {step:g}",
            allowed="less than half of `finest_step`: a reading decides on every cut",
            remedy="measure better, or ask for a coarser `finest_step`",
        )


def _wide_against_film(draft: Draft) -> Iterator[Trouble]:
    film_m, most_m = draft.get("film_thickness"), draft.get("plate_width_most")
    if film_m is not None and most_m is not None and most_m < 10 * film_m:
        yield Trouble(
            key="film_thickness",
            found=f"{engineering_text(film_m, 'm')} with plates of {engineering_text(most_m, 'm')} at most",
            allowed="at most a tenth of `plate_width_most`, or most of the field is beside the film",
            remedy="choose a thinner film, or wider plates",
        )


def _registration_bites(draft: Draft) -> Iterator[Trouble]:
    shift_m, margin_m, least_m = (draft.get(k) for k in ("registration", "margin", "plate_width_least"))
    if None not in (shift_m, margin_m, least_m) and shift_m - margin_m >= least_m / 2:
        yield Trouble(
            key="registration",
            found=f"{engineering_text(shift_m, 'm')} with a margin of {engineering_text(margin_m, 'm')}",
            allowed="beyond the margin less than half of `plate_width_least`, or the plates miss each other",
            remedy="widen `margin`, or `plate_width_least`",
        )


def _length(
    name: str, low: str, high: str, meaning: str, *, sample: str = "", default: Default | None = None
) -> Quantity:
    return Quantity(
        name=name, field=f"{name}_m", unit="m", low=low, high=high, meaning=meaning, sample=sample, default=default
    )


def _relative(name: str, high: float, meaning: str, default: Default) -> Number:
    return Number(name=name, low=0, high=high, sample=default.value, meaning=meaning, default=default)


_LUMPED: tuple[Key, ...] = (
    Number(
        name="q", low=10, high=1e5, sample="1500", absent=Absent.ALLOWED,
        meaning="Quality factor at the Larmor frequency, the same for every value.",
    ),
    Quantity(
        name="esr", field="esr_ohm", unit="ohm", low="0 ohm", high="2 ohm", sample="0.05 ohm", absent=Absent.ALLOWED,
        meaning="Series resistance of one part instead of `q`; it grows as the root of the frequency.",
    ),
    Quantity(
        name="esr_frequency", field="esr_frequency_hz", unit="Hz", low="1 MHz", high="1 GHz", sample="128 MHz",
        absent=Absent.ALLOWED, meaning="Frequency at which `esr` was measured. Left out: the Larmor frequency.",
    ),
    Quantity(
        name="rating", field="rating_v", unit="V", low="10 V", high="10 kV", default=defaults.CAPACITOR_RATING,
        meaning="Rated voltage, peak.",
    ),
    _relative("tolerance", 0.2, "Tolerance to either side, relative.", defaults.CAPACITOR_TOLERANCE),
    Choice(
        name="series", options=_SERIES, default=defaults.CAPACITOR_SERIES,
        meaning="Series of preferred values that parts are chosen from.",
    ),
)  # fmt: skip

_FILM: tuple[Key, ...] = (
    Choice(
        name="film", options=tuple(FILMS),
        meaning="Polymer, for permittivity, loss and breakdown field: "
        + "; ".join(
            f"{film.name} {film.eps_r.value:g}, {film.loss_tangent.value:g}, "
            f"{engineering_text(film.breakdown_v_per_m.value, 'V/m')}"
            for film in FILMS.values()
        )
        + ". Sources stand in the table of films below; measure your own.",
    ),
    _length("film_thickness", "5 um", "1 mm", "Thickness of the film.", sample="50 um"),
    Number(
        name="permittivity", field="eps_r", low=1, high=20, sample="3.4", absent=Absent.ALLOWED,
        meaning="Relative permittivity as measured, instead of that of the name.",
    ),
    Number(
        name="loss_tangent", low=0, high=0.2, sample="0.006", absent=Absent.ALLOWED,
        meaning="Loss tangent as measured at the Larmor frequency, instead of that of the name.",
    ),
    Quantity(
        name="breakdown", field="breakdown_v_per_m", unit="V/m", low="1 kV/mm", high="1000 kV/mm", sample="200 kV/mm",
        absent=Absent.ALLOWED,
        meaning="Breakdown field of a film of this kind 25 um thick, instead of that of the name; thicker films bear "
        "less, as the root of the thickness.",
    ),
    _length("ink_thickness", "1 um", "200 um", "Thickness of the finished print of either plate.", sample="15 um"),
    Quantity(
        name="ink_conductivity", field="ink_conductivity_s_per_m", unit="S/m", low="0.01 MS/m", high="70 MS/m",
        sample="8 MS/m", meaning="Conductivity of the finished print, not of the bulk metal.",
    ),
)  # fmt: skip

_PROCESS: tuple[Key, ...] = (
    _relative("thickness_spread", 0.3, "Limit of the film's thickness, relative.", defaults.FILM_THICKNESS_SPREAD),
    _relative("permittivity_spread", 0.3, "Limit of its permittivity, relative.", defaults.PERMITTIVITY_SPREAD),
    _length("edge_spread", "0 mm", "1 mm", "Limit of every printed edge.", default=defaults.EDGE_SPREAD),
    _length("registration", "0 mm", "5 mm", "Limit of the shift between both faces, along either side.",
            default=defaults.REGISTRATION),
    _length("margin", "0 mm", "5 mm", "How far the lower plate reaches beyond the upper one; a shift inside it costs "
            "nothing.", default=defaults.PLATE_MARGIN),
    _length("plate_width_least", "0.2 mm", "50 mm", "Least side of a plate.", default=defaults.PLATE_WIDTH_LEAST),
    _length("plate_width_most", "0.5 mm", "50 mm", "Largest width of a plate; beyond it plates grow in length.",
            default=defaults.PLATE_WIDTH_MOST),
    _length("smallest_tab", "0.1 mm", "10 mm", "Least side of a tab that the process prints and a knife finds.",
            default=defaults.SMALLEST_TAB),
)  # fmt: skip

_LADDER: tuple[Key, ...] = (
    Number(
        name="finest_step", low=0.001, high=0.1, sample="0.01", default=defaults.FINEST_STEP,
        meaning="Step of the trimming, relative to the wanted value: half of it to either side is met.",
    ),
    _relative("measurement_error", 0.05, "Largest error of a reading, relative to the wanted value.",
              defaults.CAPACITANCE_READING),
    Count(name="fine_tabs", low=1, high=8, default=defaults.FINE_TABS, meaning="Equal tabs of the finest size."),
    Count(
        name="bridges", low=0, high=4, default=defaults.BRIDGES,
        meaning="Tabs printed apart: a large one for prints that come out low, then fine ones for a cut too many.",
    ),
    Number(
        name="derating", low=0.01, high=1, sample="0.05", default=defaults.BREAKDOWN_DERATING,
        meaning="Part of the breakdown field at mains frequency that is allowed at radio frequency.",
    ),
)  # fmt: skip

CAPACITORS = Variants(
    title="capacitors",
    by="kind",
    meaning="What bridges the gaps.",
    forms={
        "lumped": Form(
            title="lumped capacitors",
            keys=_LUMPED,
            rules=(_one_loss,),
            build=LumpedCapacitorRequest,
            strangers={"film": "a film belongs to `kind: printed`", "value": "values follow from the tuning"},
        ),
        "printed": Form(
            title="printed capacitors",
            keys=(*_FILM, *_PROCESS, *_LADDER),
            rules=(_least_below_most, _step_above_error, _wide_against_film, _registration_bites),
            build=PrintedCapacitorRequest,
            strangers={
                "q": "the Q of a print follows from film and ink; write `loss_tangent` where you measured it",
                "esr": "the resistance of a print follows from its ink",
                "thickness": "write `film_thickness` and `ink_thickness`",
                "value": "values follow from the tuning",
            },
        ),
    },
)
