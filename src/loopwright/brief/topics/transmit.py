"""Transmit: the array in the scanner's transmit field, in every state and with every single fault."""

from collections.abc import Iterator
from functools import partial
from math import sqrt
from typing import get_args

from loopwright.brief import defaults
from loopwright.brief.defaults import Default
from loopwright.brief.forms import Draft, Form, Rule, Trouble
from loopwright.brief.keys import Absent, Choice, Count
from loopwright.brief.lists import QuantityList, WordsList
from loopwright.brief.parts import Part
from loopwright.brief.quantities import Quantity, Tolerance
from loopwright.brief.records import (
    CarrierRequest,
    CircuitRequest,
    FilmCarrierRequest,
    InterfaceRequest,
    LevelRequest,
    PeakLevel,
    RmsLevel,
    SarLevel,
    ScannerLimitsRequest,
    StretchingCarrierRequest,
    TransmitRequest,
)
from loopwright.brief.records.transmit import OperatingMode, WornAs
from loopwright.brief.topics.facts import AXES, Facts
from loopwright.brief.topics.level import level_form
from loopwright.brief.topics.region import region_form
from loopwright.brief.topics.resonator import RESONATOR
from loopwright.ground.units import engineering_text

__all__ = ["transmit_form"]


def _body_inside(facts: Facts) -> Rule:
    """Refuse a body that reaches through the conductors of the resonator."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        resonator, middle, box = draft.get("resonator"), draft.get("middle"), facts.box_m
        if resonator is None or box is None or ("middle" in draft.written and middle is None):
            return
        centre = middle or [(low + high) / 2 for low, high in zip(*box, strict=True)]
        across = zip(AXES[:2], *(corner[:2] for corner in box), centre[:2], strict=True)
        reach_m, axis = max((max(high - at, at - low), axis) for axis, low, high, at in across)
        if reach_m >= resonator.radius_m:
            yield Trouble(
                key="middle" if middle else "resonator",
                found=f"a body that reaches {engineering_text(reach_m, 'm', digits=3)} from the axis along {axis}",
                allowed=f"less than the resonator's radius, {engineering_text(resonator.radius_m, 'm')}",
                remedy="move `middle`, or write the radius of the scanner's resonator",
            )

    return rule


def _body_along(facts: Facts) -> Rule:
    """Refuse a resonator beyond whose ends all of the body lies."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        resonator, middle, box = draft.get("resonator"), draft.get("middle"), facts.box_m
        if resonator is None or middle is None or box is None:
            return
        (low, high), half_m = (corner[2] for corner in box), resonator.length_m / 2
        away_m = max(low - middle[2], middle[2] - high)
        if away_m >= half_m:
            yield Trouble(
                key="middle",
                found=f"a body that begins {engineering_text(away_m, 'm', digits=3)} from the middle along z",
                allowed=f"less than half of the resonator's length, {engineering_text(half_m, 'm')}",
                remedy="move `middle`: what is imaged lies about it",
            )

    return rule


def _within_the_scanner(interface: InterfaceRequest | None, draft: Draft) -> Iterator[Trouble]:
    """What is written twice has to agree, and a level stays within what the scanner allows."""
    scanner, level = draft.get("scanner_limits"), draft.get("level")
    own_t = scanner.largest_b1_rms_t if scanner is not None else None
    at_plug_t = interface.largest_b1_rms_t if interface is not None else None
    if own_t is not None and at_plug_t is not None and own_t != at_plug_t:
        yield Trouble(
            key="scanner_limits",
            found=f"a largest B1+ rms of {engineering_text(own_t, 'T')}, in `interface` "
            f"{engineering_text(at_plug_t, 'T')}",
            allowed="the same in both",
            remedy="keep one of them",
        )
    largest_t, rms_t = own_t or at_plug_t, _rms_of(level)
    if largest_t is not None and rms_t is not None and rms_t > largest_t * (1 + 1e-9):  # roots are rounded
        yield Trouble(
            key="level",
            found=f"B1+ rms of {engineering_text(rms_t, 'T', digits=3)}",
            allowed=f"{engineering_text(largest_t, 'T')} or less, the largest of the scanner",
            remedy=f"write a smaller {_STRENGTH[level.kind]}, or the largest that the scanner really allows",
        )


#: Which keys say how strong a level is.
_STRENGTH = {"b1 rms": "`b1_rms`", "peak and duty": "`peak_b1` or `duty`"}


def _rms_of(level: LevelRequest | None) -> float | None:
    """The rms field of a level that says it by itself; that of pulses and of SAR is found in the run. [T]"""
    match level:
        case RmsLevel():
            return level.b1_rms_t
        case PeakLevel():
            return level.peak_b1_t * sqrt(level.duty)
        case _:
            return None


def _mass_for_sar(facts: Facts, draft: Draft) -> Iterator[Trouble]:
    """Whole-body SAR is power over the mass of the patient, which only a patient brings along."""
    known = facts.body_kind in ("patient", None)
    if isinstance(draft.get("level"), SarLevel) and not known and "patient_mass" not in draft.written:
        yield Trouble(
            key="patient_mass",
            found="a level by whole-body SAR, for a body that has no mass of a patient",
            allowed="with `patient_mass`, unless the body has `shape: patient`",
            remedy="add for example `patient_mass: 20 kg`",
        )


def _stretch_of_what(draft: Draft) -> Iterator[Trouble]:
    if "stretch" in draft.written and "stretched" not in (draft.get("wearing") or ("stretched",)):
        yield Trouble(
            key="stretch",
            found="a stretch of what is not worn stretched",
            allowed="with `stretched` in `wearing` only",
            remedy="take it out, or add `stretched` to `wearing`",
        )


def _worn(carrier: CarrierRequest | None) -> Default:
    match carrier:
        case FilmCarrierRequest():
            return defaults.FILM_WORN
        case StretchingCarrierRequest():
            return defaults.CLOTH_WORN
        case _:
            return defaults.STIFF_WORN


_SCANNER_LIMITS = Form(
    title="scanner limits",
    keys=(
        Quantity(name="largest_b1_rms", field="largest_b1_rms_t", unit="T", low="0.01 uT", high="100 uT",
                 sample="3.2 uT", absent=Absent.ALLOWED,
                 meaning="Largest B1+ rms of the scanner over a sequence. Left out: that of `interface`, where it is "
                 "written; else levels are held against none."),
        Choice(name="operating_mode", options=get_args(OperatingMode), default=defaults.OPERATING_MODE,
               meaning="Operating mode whose limits of SAR count."),
    ),
    build=ScannerLimitsRequest,
    strangers={"b1_rms": "write `largest_b1_rms`", "mode": "write `operating_mode`"},
)  # fmt: skip


def transmit_form(
    facts: Facts,
    *,
    carrier: CarrierRequest | None = None,
    circuit: CircuitRequest | None = None,
    interface: InterfaceRequest | None = None,
) -> Form:
    """Form of the transmission.

    Parameters
    ----------
    facts
        What is known of body and array.
    carrier, circuit, interface
        Of the same brief, where there are any.

    Returns
    -------
    Form
        Keys and rules of ``transmit``.
    """
    return Form(
        title="transmit",
        keys=(
            Part(name="resonator", of=RESONATOR, default=defaults.RESONATOR, meaning="What makes the transmit field."),
            QuantityList(name="middle", field="middle_m", unit="m", low="-2 m", high="2 m", lengths=(3,),
                         sample="[0 mm, 0 mm, 100 mm]", absent=Absent.ALLOWED,
                         meaning="Middle of the resonator in the body frame; its axis runs along z. Left out: the "
                         "middle of the body's box in x and y, that of the array in z."),
            Part(name="level", of=level_form(circuit, interface), default=defaults.LEVEL,
                 meaning="How strongly it is sent."),
            Quantity(name="duration", field="duration_s", unit="s", low="1 s", high="1440 min",
                     default=defaults.EXPOSURE, meaning="For how long the sequence is played."),
            Part(name="scanner_limits", of=_SCANNER_LIMITS, default=defaults.SCANNER_LIMITS,
                 meaning="What the scanner keeps."),
            Part(name="region", of=region_form(facts), absent=Absent.ALLOWED,
                 meaning="Where changes of B1+ are judged. Left out: `imaging.region`."),
            Count(name="worst_states", low=1, high=64, default=defaults.WORST_STATES,
                  meaning="How many of the worst states get averages over 10 g, by the order of the table of faults, "
                  "and for how many of the hottest states places of probes are sought."),
            Quantity(name="patient_mass", field="patient_mass_kg", unit="kg", low="0.3 kg", high="350 kg",
                     sample="20 kg", absent=Absent.ALLOWED,
                     meaning="Mass of the patient, for whole-body SAR. Left out: that of the patient in `body`, "
                     "where there is one."),
            WordsList(name="wearing", options=get_args(WornAs), lengths=tuple(range(5)),
                      sample="[folded, wet]", default=_worn(carrier),
                      meaning="Ways in which the carrier may be worn wrongly, each a state of its own: two elements "
                      "folded over each other, stretched, wet with sweat or saline, inside out. Left out: of a film "
                      "folded, wet and inside out, of a cloth that stretches all four. `[]`: none."),
            Tolerance(name="stretch", default=defaults.WORN_STRETCH,
                      meaning="Strain of the carrier where it is worn `stretched`."),
        ),
        rules=(
            _body_inside(facts),
            _body_along(facts),
            partial(_within_the_scanner, interface),
            partial(_mass_for_sar, facts),
            _stretch_of_what,
        ),
        build=TransmitRequest,
        strangers={
            "b1_rms": "write it below `level`",
            "peak_b1": "write it below `level`",
            "faults": "every single fault of every part is looked at; `wearing` names those of the carrier",
            "centre": "write `middle`",
            "axis": "the bore runs along z of the body frame; `middle` says where",
        },
        notes="Needs `circuit`, whose parts give the states and the faults. Every amplitude of B1+ is that at the "
        "middle of the unloaded resonator. `loopwright run` looks at it; comparisons of designs, studies over patients "
        "and measurements leave it aside.",
    )  # fmt: skip
