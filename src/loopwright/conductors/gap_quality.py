"""What the loss of the capacitors in the gaps is, value by value, as the brief tells them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from loopwright.brief.records import CapacitorsRequest, LumpedCapacitorRequest, PrintedCapacitorRequest
from loopwright.conductors.dressed_layout import DressedLayout
from loopwright.conductors.lumped_capacitor import GivenQ, GivenResistance, LumpedLoss, lumped_q
from loopwright.conductors.printed_capacitor import plate_for, printed_q
from loopwright.conductors.printing import print_stack_of, printed_step_f
from loopwright.ground.errors import OutsideModelError

__all__ = ["GapCapacitors", "with_gap_qualities"]


@dataclass(frozen=True, slots=True, kw_only=True)
class GapCapacitors:
    """Capacitors across gaps at one frequency.

    Attributes
    ----------
    request : LumpedCapacitorRequest or PrintedCapacitorRequest
    frequency_hz : float
        Operating frequency. [Hz]
    """

    request: CapacitorsRequest
    frequency_hz: float

    def quality(self, capacitance_f: float) -> float | None:
        """Quality factor of a capacitor of this value; None where its plate cannot be printed. [F]"""
        match self.request:
            case LumpedCapacitorRequest() as request:
                return lumped_q(self._loss(request), capacitance_f, self.frequency_hz)
            case PrintedCapacitorRequest() as request:
                return _printed(request, capacitance_f, self.frequency_hz)

    def _loss(self, request: LumpedCapacitorRequest) -> LumpedLoss:
        if request.q is not None:
            return GivenQ(quality_factor=request.q)
        return GivenResistance(
            resistance_ohm=request.esr_ohm or 0.0, at_hz=request.esr_frequency_hz or self.frequency_hz
        )

    def step_f(self, capacitance_f: float) -> float | None:
        """Finest step by which a printed capacitor of this value is trimmed; None for bought ones. [F]"""
        match self.request:
            case PrintedCapacitorRequest() as request:
                return printed_step_f(request, capacitance_f)
            case _:
                return None


def _printed(request: PrintedCapacitorRequest, capacitance_f: float, frequency_hz: float) -> float | None:
    stack = print_stack_of(request)
    try:
        plate = plate_for(
            stack, capacitance_f, narrowest_m=request.plate_width_least_m, widest_m=request.plate_width_most_m
        )
    except OutsideModelError:
        return None
    return printed_q(stack, plate, frequency_hz)


def with_gap_qualities(
    dressed: DressedLayout, capacitors: GapCapacitors, capacitances_f: Sequence[float]
) -> DressedLayout:
    """Give every element the quality of capacitors of its own value.

    Parameters
    ----------
    dressed : DressedLayout
        Its ``capacitor_q`` stays where a plate cannot be printed.
    capacitors : GapCapacitors
        What bridges the gaps.
    capacitances_f : sequence of float
        In each gap of every element. [F]
    """
    found = (capacitors.quality(capacitance_f) for capacitance_f in capacitances_f)
    return replace(dressed, gap_qualities=tuple(dressed.capacitor_q if q is None else q for q in found))
