"""Pulses of a sequence: their shape, how far they turn the magnetisation or how high they reach."""

from collections.abc import Iterator
from typing import Any

from loopwright.brief import defaults
from loopwright.brief.forms import Draft, Form, Trouble, Variants
from loopwright.brief.keys import Absent, Count, Key, Number, Words
from loopwright.brief.parts import Parts
from loopwright.brief.quantities import Angle, Quantity
from loopwright.brief.records import PulsesLevel, RectanglePulse, SincPulse
from loopwright.ground.units import engineering_text

__all__ = ["PULSES"]


def _angle_or_peak(draft: Draft) -> Iterator[Trouble]:
    told = {"flip_angle", "peak_b1"} & draft.written
    if len(told) != 1:
        yield Trouble(
            key="peak_b1" if told else "flip_angle",
            found="both `flip_angle` and `peak_b1`" if told else "neither `flip_angle` nor `peak_b1`",
            allowed="one of the two: either follows from the other",
            remedy="keep one" if told else "add `flip_angle: 90 deg`, or `peak_b1: 15 uT`",
        )


_KEYS: tuple[Key, ...] = (
    Words(name="name", longest=40, sample="refocusing", meaning="Name to be printed."),
    Angle(name="flip_angle", field="flip_angle_rad", low_deg=0.1, high_deg=720, absent=Absent.ALLOWED,
          meaning="Angle by which one pulse turns the magnetisation on resonance. This or `peak_b1`."),
    Quantity(name="peak_b1", field="peak_b1_t", unit="T", low="0.01 uT", high="1 mT", sample="15 uT",
             absent=Absent.ALLOWED, meaning="Largest amplitude of B1+ in the pulse."),
    Quantity(name="duration", field="duration_s", unit="s", low="1 us", high="1 s", sample="2 ms",
             meaning="Duration of one pulse."),
    Count(name="count", low=1, high=4096, default=defaults.PULSE_COUNT, meaning="How often it is played in one "
          "repetition time."),
)  # fmt: skip


def _pulse(title: str, build: Any, *further: Key, notes: str) -> Form:
    return Form(
        title=title,
        keys=(*_KEYS, *further),
        rules=(_angle_or_peak,),
        build=build,
        strangers={
            "angle": "write `flip_angle`",
            "amplitude": "write `peak_b1`",
            "time_bandwidth": "of `shape: windowed sinc` only",
        },
        notes=notes,
    )


_PULSE = Variants(
    title="pulse",
    by="shape",
    meaning="Course of the amplitude in time.",
    forms={
        "rectangle": _pulse("rectangle", RectanglePulse, notes="The amplitude is constant."),
        "windowed sinc": _pulse(
            "windowed sinc",
            SincPulse,
            Number(
                name="time_bandwidth",
                low=1,
                high=64,
                sample="4",
                default=defaults.TIME_BANDWIDTH,
                meaning="Duration times bandwidth: the number of zero crossings from end to end.",
            ),
            notes="A sinc under a Hann window, symmetric about its middle.",
        ),
    },
)


def _they_fit(draft: Draft) -> Iterator[Trouble]:
    pulses, period_s = draft.get("pulses"), draft.get("repetition_time")
    if pulses == ():
        yield Trouble(key="pulses", found="a list of 0", allowed="one pulse or more", remedy="add one")
    if not pulses or period_s is None:
        return
    played_s = sum(pulse.duration_s * pulse.count for pulse in pulses)
    if played_s > period_s * (1 + 1e-9):  # sums of decimal fractions are rounded
        yield Trouble(
            key="repetition_time",
            found=f"{engineering_text(period_s, 's')} for pulses of {engineering_text(played_s, 's')} in all",
            allowed=f"{engineering_text(played_s, 's')} or longer",
            remedy="write a longer `repetition_time`, or fewer or shorter pulses",
        )


PULSES = Form(
    title="pulses",
    keys=(
        Parts(name="pulses", of=_PULSE, most=24, unique="name", meaning="All pulses of one repetition time."),
        Quantity(
            name="repetition_time",
            field="repetition_time_s",
            unit="s",
            low="100 us",
            high="60 s",
            sample="500 ms",
            meaning="After which the same pulses are played again. Where slices are excited in turn within the TR of "
            "the protocol: that TR divided by the number of slices.",
        ),
    ),
    rules=(_they_fit,),
    build=PulsesLevel,
    strangers={"tr": "write `repetition_time`"},
)
