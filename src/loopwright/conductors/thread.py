"""Conductive thread, laid straight or sprung into a helix round the centre-line."""

from dataclasses import dataclass
from math import log, pi, sqrt

from loopwright.conductors.refusals import refuse_unless_measured, refuse_unless_positive
from loopwright.ground.constants import MU_0_H_PER_M
from loopwright.ground.errors import OutsideModelError

__all__ = ["Helix", "Thread", "helix_inductance_h_per_m", "helix_length_ratio"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Helix:
    """A thread sprung round the centre-line; the diameter is that of the thread's own middle."""

    diameter_m: float
    pitch_m: float
    thread_diameter_m: float

    def __post_init__(self) -> None:
        """Refuse turns that run into each other or into their own axis."""
        refuse_unless_positive(
            diameter_m=self.diameter_m, pitch_m=self.pitch_m, thread_diameter_m=self.thread_diameter_m
        )
        if self.thread_diameter_m > self.diameter_m:
            raise OutsideModelError(
                f"a thread of thread_diameter_m = {self.thread_diameter_m:g} cannot be sprung to diameter_m = "
                f"{self.diameter_m:g}"
            )
        if self.thread_diameter_m > self.turns_apart_m:
            raise OutsideModelError(
                f"turns with pitch_m = {self.pitch_m:g} lie {self.turns_apart_m:g} m apart, less than "
                f"thread_diameter_m = {self.thread_diameter_m:g}"
            )

    @property
    def length_ratio(self) -> float:
        """Metres of thread in a metre of centre-line."""
        return helix_length_ratio(diameter_m=self.diameter_m, pitch_m=self.pitch_m)

    @property
    def turns_apart_m(self) -> float:
        """Distance between neighbouring turns, square to the thread. [m]"""
        return pi * self.diameter_m / self.length_ratio


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """A woven, twisted or sprung thread, told by the resistance of a metre of it as measured.

    ``thread_ohm_per_m`` is of a metre of thread at the frequency of use, ``length_ratio`` the metres of thread in a
    metre of centre-line. ``outer_diameter_m`` is over all, the turns of a helix included.
    """

    outer_diameter_m: float
    thread_ohm_per_m: float
    length_ratio: float = 1.0
    helix: Helix | None = None
    measured_ohm_per_m: float | None = None

    def __post_init__(self) -> None:
        """Refuse a thread shorter than its own line."""
        refuse_unless_positive(outer_diameter_m=self.outer_diameter_m, thread_ohm_per_m=self.thread_ohm_per_m)
        refuse_unless_measured(self.measured_ohm_per_m)
        if not self.length_ratio >= 1:
            raise OutsideModelError(f"length_ratio = {self.length_ratio:g}: no thread is shorter than its line")


def helix_length_ratio(*, diameter_m: float, pitch_m: float) -> float:
    """Metres of thread in a metre along the axis of a helix.

    Parameters
    ----------
    diameter_m, pitch_m : float
        Mean diameter of the helix, and advance of one turn. [m]
    """
    return sqrt(1 + (pi * diameter_m / pitch_m) ** 2)


def helix_inductance_h_per_m(helix: Helix) -> float:
    r"""Inductance that a sprung conductor has beyond that of a smooth tube of its mean diameter.

    Parameters
    ----------
    helix : Helix
        The turns.

    Returns
    -------
    float
        Inductance of a metre of axis. [H/m]

    Notes
    -----
    :math:`L' = \mu_0\Big[\frac{\pi a^2}{p^2} + \frac{s}{2\pi}\ln\frac{a}{s\rho}\Big]`, a the mean radius, p the pitch,
    :math:`\rho` the radius of the thread, s the metres of thread in a metre.  The first term is the flux along the axis
    of a long sheet solenoid.  The second exchanges the sheet for parallel round threads :math:`2\pi a/s` apart, each
    with :math:`\frac{\mu_0}{2\pi}\ln\frac{2\pi a/s}{2\pi\rho}` of its own; for close turns it is Rosa's correction, and
    for a pitch without end it turns the tube back into the thread.  Current on the thread's surface; the axis straight
    over many turns.  Together with the tube within 1.5 % of the summed filaments of a helix closed on a circle, for
    pitches from half to six mean diameters; the first term alone is 44 % low where the thread is thin.

    References
    ----------
    E. B. Rosa, "Calculation of the self-inductance of single-layer coils", Bull. Bur. Stand. 2, 161-187 (1906), from
    memory.
    """
    a, p, rho, s = helix.diameter_m / 2, helix.pitch_m, helix.thread_diameter_m / 2, helix.length_ratio
    return MU_0_H_PER_M * (pi * a**2 / p**2 + s / (2 * pi) * log(a / (s * rho)))
