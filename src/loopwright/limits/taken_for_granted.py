"""What figures of the transmitting scanner take for granted, and what a brief leaves open."""

from collections.abc import Iterator

from loopwright.brief.records import Brief, InterfaceRequest
from loopwright.brief.records.transmit import TransmitRequest
from loopwright.circuits.bias.interface_check import InterfaceCheck
from loopwright.circuits.faults.listing import FAULT_LIMITS
from loopwright.circuits.under_field.driven_diodes import driven_diode_limits
from loopwright.circuits.under_field.pin_hold import pin_hold_limits
from loopwright.heating.array_heat import ARRAY_HEAT_LIMITS
from loopwright.heating.asked import ASKED_LIMITS
from loopwright.heating.local import SPOT_LIMITS
from loopwright.heating.worn import heat_limits
from loopwright.limits.bias_heat import BIAS_HEAT_LIMITS
from loopwright.limits.hot_places import HeatOfCases
from loopwright.transmit.answers import ANSWER_LIMITS
from loopwright.transmit.b1 import B1_LIMITS
from loopwright.transmit.case_sar import BOUND_LIMIT
from loopwright.transmit.detection import DETECTION_LIMITS
from loopwright.transmit.global_sar import GLOBAL_SAR_LIMITS
from loopwright.transmit.lie import Lie
from loopwright.transmit.local_sar import LOCAL_SAR_LIMITS
from loopwright.transmit.pairs_in_field import PAIRS_IN_FIELD_LIMITS

__all__ = ["granted", "largest_b1_rms_t", "not_described"]


#: Of temperatures in lies that are not the designed one.
_WORN = (
    "Temperatures are those of the layers and places as designed, also where the carrier is stretched or wet. None is "
    "told where it is folded over itself or inside out: other layers lie there, and heat of two elements in one place."
)


def granted(lie: Lie, heat: HeatOfCases | None) -> tuple[str, ...]:
    """Sentences on the models, stage after stage."""
    warm = (
        ()
        if heat is None
        else (
            *heat_limits(heat.at_rest_c, heat.core_c),
            *ASKED_LIMITS,
            *ARRAY_HEAT_LIMITS,
            _WORN,
            *BIAS_HEAT_LIMITS,
            *SPOT_LIMITS,
        )
    )
    return tuple(
        dict.fromkeys(
            (
                *lie.reply.limits,
                "Values of the circuits' parts are those found for reception; here the gaps carry their full currents.",
                *FAULT_LIMITS,
                *ANSWER_LIMITS,
                *PAIRS_IN_FIELD_LIMITS,
                *driven_diode_limits(),
                *pin_hold_limits(),
                *B1_LIMITS,
                *GLOBAL_SAR_LIMITS,
                *LOCAL_SAR_LIMITS,
                BOUND_LIMIT,
                *DETECTION_LIMITS,
                *warm,
            )
        )
    )


def largest_b1_rms_t(request: TransmitRequest, interface: InterfaceRequest | None) -> float | None:
    """Of the scanner, as either part of the brief tells it; None where neither does. [T]"""
    own_t = request.scanner_limits.largest_b1_rms_t
    return own_t if own_t is not None or interface is None else interface.largest_b1_rms_t


def not_described(brief: Brief, check: InterfaceCheck | None) -> Iterator[str]:
    """What the brief leaves open, so that nothing is told of it."""
    if check is None:
        yield (
            "The brief has no `interface`: nothing is told of bias lines, of whether bias holds the PIN diodes, and of "
            "what the bias monitor would notice."
        )
    elif check.without_line:
        yield f"No bias line serves {', '.join(check.without_line)}: whether bias holds their diodes is not told."
    if brief.heat is None:
        yield "The brief has no `heat`: no temperature is told, and no place for probes."
    if brief.transmit is not None and largest_b1_rms_t(brief.transmit, brief.interface) is None:
        yield "Neither `transmit` nor `interface` tells the largest B1+ rms of the scanner."
