"""A fuse in a state that lasts: whether it opens, when, what passes until then, and what the state is after it."""

from dataclasses import dataclass
from enum import Enum
from math import expm1, isfinite

from loopwright.circuits.bias.fuse import Fuse, opening_time_s
from loopwright.circuits.states import ElementState, PartOpen

__all__ = ["FuseFate", "FuseSequence", "after_opening", "fuse_limits", "fuse_sequence"]


class FuseFate(Enum):
    """What becomes of it."""

    CARRIES = "carries the current for ever"
    MAY_OPEN = "may open or not: the current lies between what it carries and what it is known to open at"
    OUTLASTS = "would open, but the sequence is over before it must have"
    OPENS = "opens"


@dataclass(frozen=True, slots=True, kw_only=True)
class FuseSequence:
    """One fuse under one current.

    Attributes
    ----------
    fate : FuseFate
    current_rms_a, rating_a : float
        [A]
    opens_s : float
        At the latest; infinite where it is not known to. [s]
    whole_s : float
        For how long it may be whole while the current flows: until it opens, or until the sequence ends. [s]
    """

    fate: FuseFate
    current_rms_a: float
    rating_a: float
    opens_s: float
    whole_s: float

    @property
    def passed_a2s(self) -> float:
        """I^2 t that may pass while it is whole. [A^2 s]"""
        return self.current_rms_a**2 * self.whole_s

    def energy_j(self, resistance_ohm: float) -> float:
        """Heat that the current may leave in a resistance of the loop while the fuse is whole.

        Parameters
        ----------
        resistance_ohm : float
            Of the part or conductor asked for. [ohm]
        """
        return self.passed_a2s * resistance_ohm

    def share_of_steady(self, time_constant_s: float) -> float:
        """Part of its steady rise that a thing of one time constant may reach while the fuse is whole.

        Parameters
        ----------
        time_constant_s : float
            Of the part that heats. [s]

        Returns
        -------
        float
            1 - exp(-t / tau). Near nought the fuse opens before the current matters; near one it comes too late.
        """
        return -expm1(-self.whole_s / time_constant_s)

    @property
    def sentence(self) -> str:
        """What happens, in words."""
        told = f"{self.current_rms_a:.3g} A rms through a fuse of {self.rating_a:.3g} A: it {self.fate.value}"
        if self.fate is FuseFate.OPENS:
            return f"{told} after {self.opens_s:.3g} s at the latest; up to {self.passed_a2s:.3g} A²s pass before"
        if self.fate is FuseFate.OUTLASTS:
            return f"{told}, in {self.opens_s:.3g} s; {self.passed_a2s:.3g} A²s pass"
        return told


def fuse_sequence(current_rms_a: float, *, rating_a: float, fuse: Fuse, duration_s: float) -> FuseSequence:
    """Follow a fuse through a sequence of steady current.

    Parameters
    ----------
    current_rms_a : float
        Through it, rms over the sequence. [A]
    rating_a : float
        Its rating, rms. [A]
    fuse : Fuse
        Its kind.
    duration_s : float
        Of the sequence; infinite where it is not known. [s]

    Returns
    -------
    FuseSequence

    Notes
    -----
    The time law tells the latest moment. It holds for a current that does not change: a fuse that has warmed in one
    sequence opens sooner in the next.
    """
    opens_s = float(opening_time_s(current_rms_a, rating_a=rating_a, fuse=fuse))
    if isfinite(opens_s):
        fate = FuseFate.OPENS if opens_s <= duration_s else FuseFate.OUTLASTS
    else:
        fate = FuseFate.CARRIES if current_rms_a <= fuse.carried_fraction * rating_a else FuseFate.MAY_OPEN
    return FuseSequence(
        fate=fate, current_rms_a=current_rms_a, rating_a=rating_a, opens_s=opens_s, whole_s=min(opens_s, duration_s)
    )


def after_opening(state: ElementState, part: str) -> ElementState:
    """State of an element once a fuse of it has opened.

    Parameters
    ----------
    state : ElementState
        Before.
    part : str
        Name of the fuse.
    """
    return state.with_faults(PartOpen(part=part))


def fuse_limits() -> tuple[str, ...]:
    """Where the model stops, as sentences for the dossier."""
    return (
        (
            "A fuse is told by one point of its time-current curve and a power of the current; between what it carries "
            "for ever and that point it may open or not, and both are told as they are."
        ),
        (
            "The current is taken as steady and as its rms over the sequence; a fuse much quicker than the sequence's "
            "pauses follows the pulses and opens sooner."
        ),
    )
