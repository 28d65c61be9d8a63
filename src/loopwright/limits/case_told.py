"""What is told of one case: a normal condition of the array, or a single fault."""

from dataclasses import dataclass
from math import inf, isnan

from loopwright.circuits.faults.cases import ArrayCase
from loopwright.limits.heat_told import HotPlace
from loopwright.transmit.answers import CaseAnswer
from loopwright.transmit.b1 import B1Change
from loopwright.transmit.detection import Detection
from loopwright.transmit.lie import OUT_OF_PLACE
from loopwright.transmit.local_sar import LocalSar

__all__ = ["CaseTold"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseTold:
    """One case of the array: a normal condition or a single fault.

    Attributes
    ----------
    case : ArrayCase
    answer : CaseAnswer
        Currents, voltages and heat, element by element and part by part.
    b1 : B1Change
        B1+ in the region over that without the array.
    absorbed_w : float
        By the body, at the rms field. [W]
    local_sar_ratio_bound : float
        What the largest 10 g average over the largest without the array cannot exceed; NaN where the fields of the
        case are not in place. [1]
    local_sar : LocalSar or None
        Averages over 10 g at the rms field; None where the bound told enough.
    hot_places : tuple of HotPlace
        Of this case, the hottest on the patient first; empty where no heat was asked for or it is not among the worst.
    detection : Detection
        What would notice it.
    notes : tuple of str
        What of this case is not as it was taken: diodes that the field makes conduct, or does not.
    """

    case: ArrayCase
    answer: CaseAnswer
    b1: B1Change
    absorbed_w: float
    local_sar_ratio_bound: float
    local_sar: LocalSar | None
    hot_places: tuple[HotPlace, ...]
    detection: Detection
    notes: tuple[str, ...] = ()

    @property
    def estimated_because(self) -> str:
        """Why B1+ and the power in the body are estimates; empty where their fields are in place."""
        return "fields in the body are estimates, because it was not solved anew" if OUT_OF_PLACE in self.notes else ""

    @property
    def largest_current_a(self) -> float:
        """Along any conductor, peak, at the peak field. [A]"""
        return max(element.largest_current_a for element in self.answer.elements)

    @property
    def largest_current_in(self) -> str:
        """Name of the element in which that flows."""
        return max(self.answer.elements, key=lambda element: element.largest_current_a).name

    @property
    def array_w(self) -> float:
        """Heat of all parts and conductors at the rms field. [W]"""
        parts = sum(part.power_w for element in self.answer.elements for part in element.parts)
        return parts + sum(element.trace_w for element in self.answer.elements)

    @property
    def ratings_exceeded(self) -> tuple[str, ...]:
        """Element and part of everything that bears more than its rating, as "E01 trap coil"."""
        return tuple(
            f"{element.name} {part.name}"
            for element in self.answer.elements
            for part in element.parts
            if part.share > 1
        )

    @property
    def rating_over_stress(self) -> float | None:
        """Least of all parts; None where no rating was given. [1]"""
        shares = [part.share for element in self.answer.elements for part in element.parts if not isnan(part.share)]
        return 1 / max(shares) if shares and max(shares) > 0 else None

    @property
    def fuse_opens_after_s(self) -> float:
        """Time until the first fuse opens, at the latest; infinite where none does. [s]"""
        times = [part.opens_after_s for element in self.answer.elements for part in element.parts]
        return min((time for time in times if not isnan(time)), default=inf)
