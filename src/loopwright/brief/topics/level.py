"""How strongly the scanner transmits: by the rms field, by the peak, by whole-body SAR, or by pulses."""

from collections.abc import Iterator

from loopwright.brief.defaults import B1_RMS, TRANSMIT_FIELD, Default
from loopwright.brief.forms import Draft, Form, Trouble, Variants
from loopwright.brief.keys import Number
from loopwright.brief.quantities import Quantity
from loopwright.brief.records import CircuitRequest, InterfaceRequest, PeakLevel, RmsLevel, SarLevel
from loopwright.brief.topics.pulses import PULSES
from loopwright.ground.sources import Flag, Source
from loopwright.ground.units import engineering_text

__all__ = ["level_form"]


def _peak_above_rms(draft: Draft) -> Iterator[Trouble]:
    rms_t, peak_t = draft.get("b1_rms"), draft.get("peak_b1")
    if rms_t is not None and peak_t is not None and peak_t < rms_t:
        yield Trouble(
            key="peak_b1",
            found=f"{engineering_text(peak_t, 'T')} beside an rms field of {engineering_text(rms_t, 'T')}",
            allowed=f"{engineering_text(rms_t, 'T')} or more: no mean passes the largest value",
            remedy="write the largest amplitude that a pulse reaches, or a smaller `b1_rms`",
        )


def _peak(default: Default | None) -> Quantity:
    return Quantity(
        name="peak_b1",
        field="peak_b1_t",
        unit="T",
        low="0.01 uT",
        high="1 mT",
        sample="15 uT",
        default=default,
        meaning="Largest amplitude of B1+ in a pulse, at the middle of the unloaded resonator.",
    )


def _peak_of(circuit: CircuitRequest | None) -> Default:
    """The field in which the circuit's states are told stands for the peak, where the level does not say it."""
    if circuit is None:
        return TRANSMIT_FIELD
    source = Source(key="", where="`circuit.transmit_field`", flag=Flag.ASKED)
    return Default(value=engineering_text(circuit.transmit_field_t, "T", digits=12), source=source)


def _rms_of(interface: InterfaceRequest | None) -> Default:
    """The largest that the scanner allows, where the brief tells it at the plugs."""
    if interface is None or interface.largest_b1_rms_t is None:
        return B1_RMS
    source = Source(key="", where="`interface.largest_b1_rms`", flag=Flag.ASKED)
    return Default(value=engineering_text(interface.largest_b1_rms_t, "T", digits=12), source=source)


def level_form(circuit: CircuitRequest | None, interface: InterfaceRequest | None) -> Variants:
    """Form of the level.

    Parameters
    ----------
    circuit
        The circuit whose states are told in a peak field; None where it is not known.
    interface
        The scanner's plugs, where the brief has them.

    Returns
    -------
    Variants
        Keys and rules of ``transmit.level``, by its kind.
    """
    peak = _peak(_peak_of(circuit))
    strangers = {
        "pulses": "with `kind: pulses` only",
        "duty": "with `kind: peak and duty` only",
        "sar": "with `kind: whole-body SAR` only",
        "b1_rms": "with `kind: b1 rms` only",
    }
    b1_rms = Quantity(
        name="b1_rms",
        field="b1_rms_t",
        unit="T",
        low="0.001 uT",
        high="100 uT",
        default=_rms_of(interface),
        meaning="B1+ rms over a period of the sequence, at the middle of the unloaded resonator.",
    )
    duty = Number(
        name="duty", low=1e-6, high=1, sample="0.05", meaning="Mean power over that at the peak: (rms / peak)^2."
    )
    sar = Quantity(
        name="sar",
        field="sar_w_per_kg",
        unit="W/kg",
        low="0.001 W/kg",
        high="8 W/kg",
        sample="2 W/kg",
        meaning="Whole-body SAR without the array, at which the sequence is played.",
    )
    return Variants(
        title="level",
        by="kind",
        meaning="What is known of the sequence.",
        forms={
            "b1 rms": Form(
                title="b1 rms", keys=(b1_rms, peak), rules=(_peak_above_rms,), build=RmsLevel, strangers=strangers
            ),
            "peak and duty": Form(
                title="peak and duty", keys=(_peak(None), duty), build=PeakLevel, strangers=strangers
            ),
            "whole-body SAR": Form(title="whole-body SAR", keys=(sar, peak), build=SarLevel, strangers=strangers),
            "pulses": PULSES,
        },
    )
